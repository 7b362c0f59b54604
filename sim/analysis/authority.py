"""Authority: what thrust and moments are left at a trim, which way, and which runs out first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.motor_loss import MotorLoss, motor_losses
from sim.analysis.operating_point import commanded
from sim.analysis.rotor_set import AXES, RotorSet, rotor_set, setting_of
from sim.analysis.tilt_loop import pattern_signs
from sim.analysis.trim import Trim
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray

WAYS: Final = {
    ("thrust", 1): "more lift",
    ("thrust", -1): "less lift",
    ("roll", 1): "roll right",
    ("roll", -1): "roll left",
    ("pitch", 1): "nose up",
    ("pitch", -1): "nose down",
    ("yaw", 1): "turn right",
    ("yaw", -1): "turn left",
}
SLICES: Final = (("roll", "pitch"), ("roll", "yaw"), ("pitch", "thrust"))
_EVEN: Final = 1e-3


@final
@dataclass(frozen=True)
class Way:
    """One axis, one way: how much of it the trim takes, how much is left.

    Attributes
    ----------
    axis : str
        "thrust", "roll", "pitch" or "yaw".
    sense : int
        +1 or -1 along the axis: lift, right side down, nose up, nose to the right.
    used, left : float
        [N, N m] Taken by the trim this way, zero if it leans the other way; left with the other
        three axes kept, nan when not found.
    hull_left : float
        [N, N m] Left by the convex hull of the sampled settings: more where a mixture of settings
        promises what no one setting gives, up to a hundredth less between the samples.
    share : float
        [-] Used over used and left.
    quickness : float
        [m/s2, rad/s2] What is left over mass or inertia.
    stops : tuple of (int, str)
        Rotors on a bound at the end, and which: "full", "least" or "tilt".
    """

    axis: str
    sense: int
    used: float
    left: float
    hull_left: float
    share: float
    quickness: float
    stops: tuple[tuple[int, str], ...]

    @property
    def words(self) -> str:
        """What the craft does that way."""
        return WAYS[self.axis, self.sense]


@final
@dataclass(frozen=True)
class Slice:
    """The set cut open along two axes, the other two as in the trim.

    Attributes
    ----------
    across, upward : str
        The axes.
    edge, hull_edge : ndarray, shape (points, 2)
        [N, N m] Around it: what the rotors reach, and the convex hull.
    trim : ndarray, shape (2,)
        [N, N m]
    """

    across: str
    upward: str
    edge: FloatArray
    hull_edge: FloatArray
    trim: FloatArray


@final
@dataclass(frozen=True)
class AuthorityAnswer:
    """What rotors and tilts can do at a trim.

    Attributes
    ----------
    trim : ndarray, shape (4,)
        [N, N m] Thrust and moments of the rotors in the trim.
    ways : tuple of Way
        Each axis, both ways.
    volume : float
        [N (N m)3] Of the convex hull.
    overstated : float
        [-] The most by which the hull promises more than the rotors reach, over the eight ways.
    slices : tuple of Slice
        Empty when not asked for.
    losses : tuple of MotorLoss
        Each motor stopped in turn, then each weak in turn; empty when not asked for.
    backwards : tuple of str
        Axes that turn the other way than the mixer means when it tilts the rotors.
    mass_kg, inertia_kg_m2 : float, ndarray of shape (3,)
        Whole craft; solid part about its axes.
    rotor_names : tuple of str
    """

    trim: FloatArray
    ways: tuple[Way, ...]
    volume: float
    overstated: float
    slices: tuple[Slice, ...]
    losses: tuple[MotorLoss, ...]
    backwards: tuple[str, ...]
    mass_kg: float
    inertia_kg_m2: FloatArray
    rotor_names: tuple[str, ...]

    @property
    def first(self) -> Way:
        """The way of which the trim takes the largest share: it runs out first."""
        return max(self.ways, key=lambda way: way.share)

    @property
    def slowest(self) -> Way:
        """The turn with the least angular acceleration left."""
        turns = [way for way in self.ways if way.axis != "thrust" and math.isfinite(way.quickness)]
        return min(turns, key=lambda way: way.quickness)

    @property
    def passes(self) -> bool:
        """Whether something is left every way, and no tilt works backwards."""
        return all(way.left > 0.0 for way in self.ways) and not self.backwards


def axis_direction(axis: str, sense: int) -> FloatArray:
    """Give the unit vector [N, N m] along one of the four axes, shape (4,)."""
    direction = np.zeros(len(AXES))
    direction[AXES.index(axis)] = float(sense)
    return direction


def used_along(rotors: RotorSet, wrench: FloatArray, axis: str, sense: int) -> float:
    """Give what a wrench takes one way [N, N m]: moments from level, lift from none at all.

    A thousandth of the whole width of the set counts as nothing.
    """
    along = float(wrench[AXES.index(axis)])
    if axis == "thrust":
        return along if sense > 0 else 0.0
    taken = max(sense * along, 0.0)
    return taken if taken > _EVEN * float(rotors.width[AXES.index(axis)]) else 0.0


def way_of(
    rotors: RotorSet,
    setting: FloatArray,
    wrench: FloatArray,
    axis: str,
    sense: int,
    body: tuple[float, FloatArray],
) -> Way:
    """Find what is left along one axis one way.

    Parameters
    ----------
    rotors : RotorSet
    setting : ndarray, shape (settings,)
        Near the wrench, to begin the search at.
    wrench : ndarray, shape (4,)
        [N, N m] From which the way leads.
    axis, sense : str, int
        See `Way`.
    body : tuple of float and ndarray of shape (3,)
        [kg] and [kg m2].
    """
    direction = axis_direction(axis, sense)
    found = rotors.reach(setting, wrench, direction)
    used = used_along(rotors, wrench, axis, sense)
    left = math.nan if found.amount is None else found.amount
    whole = used + left
    resists = body[0] if axis == "thrust" else float(body[1][AXES.index(axis) - 1])
    return Way(
        axis=axis,
        sense=sense,
        used=used,
        left=left,
        hull_left=rotors.hull.reach(wrench, direction),
        share=used / whole if whole > 0.0 else 0.0,
        quickness=left / resists,
        stops=rotors.bounds_met(found.setting),
    )


def slice_of(
    rotors: RotorSet,
    setting: FloatArray,
    wrench: FloatArray,
    axes: tuple[str, str],
    rays: int,
) -> Slice:
    """Cut the set open along two axes through a wrench [N, N m], by rays from it."""
    columns = [AXES.index(axis) for axis in axes]
    scale = rotors.width[columns]
    edge, hull_edge = [], []
    begin = setting
    for angle in np.linspace(0.0, 2.0 * np.pi, rays, endpoint=False):
        direction = np.zeros(len(AXES))
        direction[columns] = scale * (np.cos(angle), np.sin(angle))
        found = rotors.reach(begin, wrench, direction)
        if found.amount is None:
            found = rotors.reach(setting, wrench, direction)
        if found.amount is not None:
            begin = found.setting
            edge.append((wrench + found.amount * direction)[columns])
        hull_edge.append((wrench + rotors.hull.reach(wrench, direction) * direction)[columns])
    return Slice(*axes, np.array(edge).reshape(-1, 2), np.array(hull_edge), wrench[columns].copy())


def backwards(rotors: RotorSet, setting: FloatArray) -> tuple[str, ...]:
    """Name the axes whose moment does not rise when the mixer tilts for more of it.

    Pitch of two rotors turns round with a centre of gravity above their pivots.
    """
    slope = rotors.slope(setting)[:, rotors.rotors :]
    wrong = []
    for axis, signs in pattern_signs(rotors.craft[0]).items():
        tilts = np.array(signs)[list(rotors.tilting)]
        if not float(slope[AXES.index(axis)] @ tilts) > 0.0:
            wrong.append(axis)
    return tuple(wrong)


def authority_answer(
    packed: PackedCraft,
    trim: Trim,
    rotor_names: tuple[str, ...],
    *,
    slice_rays: int = 0,
    losses: bool = True,
    flown: bool = False,
) -> AuthorityAnswer:
    """Answer what rotors and tilts can do at a trim, and what a lost motor leaves.

    Parameters
    ----------
    packed : PackedCraft
    trim : Trim
        Of the craft, such as its hover.
    rotor_names : tuple of str
        As in the craft file.
    slice_rays : int
        Points around each slice; 0 draws none.
    losses : bool
        Whether lost and weak motors are wanted.
    flown : bool
        Fly each lost or weak motor as well.
    """
    state = commanded(trim)
    rotors = rotor_set(packed.record, trim.flights[0], state)
    setting = setting_of(state, rotors)
    wrench = rotors.wrenches(setting)[0]
    inertia = np.diagonal(np.asarray(packed.record.inertia_kg_m2)).copy()
    body = (packed.whole_mass_kg, inertia)
    ways = tuple(way_of(rotors, setting, wrench, *way, body) for way in WAYS)
    promised = [way.hull_left / way.left - 1.0 for way in ways if way.left > 0.0]
    return AuthorityAnswer(
        trim=wrench,
        ways=ways,
        volume=rotors.hull.volume,
        overstated=max(promised, default=math.nan),
        slices=tuple(
            slice_of(rotors, setting, wrench, axes, slice_rays) for axes in SLICES if slice_rays
        ),
        losses=motor_losses(packed, trim, flown=flown) if losses else (),
        backwards=backwards(rotors, setting),
        mass_kg=packed.whole_mass_kg,
        inertia_kg_m2=inertia,
        rotor_names=rotor_names,
    )
