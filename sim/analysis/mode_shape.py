"""How fabric and craft move together in a natural motion: the shape of its eigenvector."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np
import scipy.linalg
from numpy.typing import NDArray

from sim.analysis.chart import TURNS
from sim.analysis.linear_loop import continuous_roots
from sim.analysis.linearise import LinearModel
from sim.analysis.modes import Mode, mode_of_root
from sim.numerics.quaternion import write_rotation
from sim.params.record import FloatArray

FABRIC: Final = "drape"
LEAST_FABRIC_SHARE: Final = 0.25
HEM_M: Final = 0.1
_COORDINATES: Final = 6
_SEEN_RAD: Final = np.radians(0.05)
_SEEN_M: Final = 0.0005
_SEEN_S: Final = 0.3
# Roots at rest come out as pairs that turn once in weeks.
_SLOWEST_HZ: Final = 1e-3

Complexes = NDArray[np.complex128]


@final
@dataclass(frozen=True)
class ModeShape:
    """One motion of the fabric and what the craft does in it.

    All amplitudes are for the particle that moves most against the craft moving by 10 cm; the
    motion is the real part of the shape times exp(j w t), its phase chosen so that the fabric is
    farthest out at t = 0.

    Attributes
    ----------
    mode : Mode
    strips : tuple of tuple of int
        Particles of each strip, from the rim down.
    rim_m : ndarray, shape (strips, 3)
        [m] Where each hangs from, body axes from the CG.
    rest_m : ndarray, shape (particles, 3)
        [m] In the trim, body axes from the CG.
    swing_m : ndarray of complex, shape (particles, 3)
        [m] Against the craft, body axes.
    turn_rad : ndarray of complex, shape (3,)
        [rad] Of the craft: roll, pitch, yaw.
    shift_m : ndarray of complex, shape (3,)
        [m] Of the craft's CG: north, east, down.
    """

    mode: Mode
    strips: tuple[tuple[int, ...], ...]
    rim_m: FloatArray
    rest_m: FloatArray
    swing_m: Complexes
    turn_rad: Complexes
    shift_m: Complexes

    @property
    def view(self) -> str:
        """Where it is seen best from: "side" (fore and aft) or "behind" (sideways)."""
        reach = np.linalg.norm(self.swing_m, axis=0)
        return "side" if reach[0] >= reach[1] else "behind"

    @property
    def together(self) -> float:
        """[-] How much the fabric goes one way as a whole: 1 all alike, 0 strips cancel out."""
        length = float(np.sum(np.linalg.norm(self.swing_m, axis=1)))
        return float(np.linalg.norm(np.sum(self.swing_m, axis=0))) / length if length else 0.0

    @property
    def craft_words(self) -> str:
        """What the craft does with it, as `the craft rolls 0.8 deg and moves 4 mm with it`."""
        turns = np.abs(self.turn_rad)
        number = int(np.argmax(turns))
        parts = []
        if turns[number] > _SEEN_RAD:
            verb = ("rolls", "pitches", "yaws")[number]
            parts.append(f"{verb} {np.degrees(turns[number]):.2g} deg")
        if self.shifts_m > _SEEN_M:
            parts.append(f"moves {1e3 * self.shifts_m:.2g} mm")
        if not parts:
            return "the craft hardly moves with it"
        return f"while its hem swings by 10 cm the craft {' and '.join(parts)}"

    @property
    def shifts_m(self) -> float:
        """[m] How far the craft's CG is carried to and fro."""
        return float(np.linalg.norm(self.shift_m))

    @property
    def sentence(self) -> str:
        """The motion in words, as `drape swings at 0.6 Hz and takes 9 s to halve; ...`."""
        return f"{self.mode.sentence}; {self.craft_words}"


def fabric_strips(craft: Any) -> tuple[tuple[int, ...], ...]:
    """Give the particles of every strip of a craft record, each from the rim down."""
    aboves = craft.drape.panel.above[: int(craft.drape.panel_count)].tolist()
    below: dict[int, int] = {above: k for k, above in enumerate(aboves)}
    strips = []
    for k, above in enumerate(aboves):
        if above >= 0:
            continue
        strip = [k]
        while strip[-1] in below:
            strip.append(below[strip[-1]])
        strips.append(tuple(strip))
    return tuple(strips)


def mode_shapes(model: LinearModel, craft: Any, state: Any) -> tuple[ModeShape, ...]:
    """Give the shape of every swinging motion in which the fabric takes a good part.

    Parameters
    ----------
    model : LinearModel
        Of the step at a trim.
    craft : record
        As packed.
    state : ndarray of one state record
        The trim.

    Returns
    -------
    tuple of ModeShape
        The slowest to die away first; empty without fabric.
    """
    if not int(craft.drape.panel_count):
        return ()
    balanced, (scale, _) = scipy.linalg.matrix_balance(model.a, permute=False, separate=True)
    roots, left, right = scipy.linalg.eig(balanced, left=True, right=True)
    continuous = continuous_roots(roots, model.period_s)
    taking_part = np.abs(left * right)
    found = []
    for k in np.flatnonzero(continuous.imag > 0.0):
        mode = mode_of_root(complex(continuous[k]), model.chart.groups, taking_part[:, k])
        share = dict(mode.shares).get(FABRIC, 0.0)
        slow = mode.neutral and mode.frequency_hz < _SLOWEST_HZ
        if mode.swings and not slow and share >= LEAST_FABRIC_SHARE:
            found.append(_shape(mode, scale * right[:, k], model, craft, state))
    return tuple(sorted(found, key=lambda shape: (-shape.mode.rate_1_s, shape.mode.frequency_hz)))


def _shape(mode: Mode, vector: Complexes, model: LinearModel, craft: Any, state: Any) -> ModeShape:
    """Turn an eigenvector into places against the craft, and scale it to 10 cm."""
    chart, body = model.chart, state[0].body
    rotation = np.empty((3, 3))
    write_rotation(body.attitude, rotation)
    count = int(craft.drape.panel_count)
    groups = np.array(chart.groups)
    fabric = vector[groups == FABRIC].reshape(count, _COORDINATES)[:, :3]
    shift = vector[groups == "drift"][:3]
    turn = vector[chart.attitude : chart.attitude + len(TURNS)]
    places = np.array([state[0].particle[k].position_m for k in range(count)])
    rest = (places - body.position_m) @ rotation
    swing = (fabric - shift) @ rotation - np.cross(turn, rest)
    size = np.linalg.norm(swing, axis=1)
    most = int(np.argmax(size))
    # Farthest out at t = 0: the sum of squares of the real part is greatest.
    phase = np.exp(-0.5j * np.angle(np.sum(swing**2)))
    factor = HEM_M * phase / size[most]
    strips = fabric_strips(craft)
    tops = [int(craft.drape.panel.above[strip[0]]) for strip in strips]
    return ModeShape(
        mode=mode,
        strips=strips,
        rim_m=np.array([craft.drape.rim[-1 - top].place_m for top in tops]),
        rest_m=rest,
        swing_m=swing * factor,
        turn_rad=turn * factor,
        shift_m=shift * factor,
    )


def telling_shapes(shapes: tuple[ModeShape, ...]) -> tuple[ModeShape, ...]:
    """Pick the shapes worth drawing: the slowest to die away, and what moves the CG most.

    Threads that twang are gone before they are seen; how stiff they are is the solver's choice.
    """
    seen = [shape for shape in shapes if shape.mode.time_to_half_or_double_s > _SEEN_S]
    if not seen:
        return ()
    first = seen[0]
    moving = max(seen, key=lambda shape: shape.shifts_m)
    return (first,) if moving is first else (first, moving)
