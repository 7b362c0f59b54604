"""All that the rotors can do in some air: thrust and moments over all throttles and tilts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final, final

import numpy as np
from scipy.optimize import minimize
from scipy.spatial import ConvexHull

from sim.errors import SimError
from sim.flight.start import blank_works
from sim.params.record import FloatArray
from sim.step.rotor_wrench import wrenches_at

AXES: Final = ("thrust", "roll", "pitch", "yaw")
_UP: Final = 2
_FIRST_MOMENT: Final = 3
_LEVELS: Final = {2: (5, 7), 3: (5, 7)}
_FEWEST_LEVELS: Final = (3, 5)
_DIFFERENCE: Final = 1e-5
_ROUNDS: Final = 80
_SAME: Final = 1e-6
_FARTHEST: Final = 4.0
_AT_BOUND: Final = 1e-3


@final
@dataclass(frozen=True)
class RotorSet:
    """Settings that the mixer may choose, and what the step's rotors give at each.

    A setting is the throttle of every rotor [-], then the tilt of every tilting rotor [rad]. It
    gives thrust along the craft's own axis [N], then roll, pitch and yaw moment about the centre of
    gravity [N m], with rotor speeds settled on the common pack and its sag.

    Attributes
    ----------
    craft, flight, state : ndarray of one record each
        The craft, its air, and how it moves through it.
    lowest, highest : ndarray, shape (settings,)
        Bounds: from the throttle of the mixer's least thrust to full, and the travel of each tilt.
    tilting : tuple of int
        Rotors with a tilt servo.
    """

    craft: Any
    flight: Any
    state: Any
    lowest: FloatArray
    highest: FloatArray
    tilting: tuple[int, ...]

    @property
    def rotors(self) -> int:
        """Number of rotors."""
        return int(self.craft[0].rotor_count)

    def wrenches(self, settings: FloatArray) -> FloatArray:
        """Give thrust [N] and moments [N m], shape (n, 4), at settings, shape (n, settings).

        Raises
        ------
        SimError
            If rotor speeds do not settle.
        """
        rows = np.atleast_2d(settings)
        throttles = np.ascontiguousarray(rows[:, : self.rotors])
        tilts = np.zeros_like(throttles)
        tilts[:, list(self.tilting)] = rows[:, self.rotors :]
        found = np.zeros((len(rows), 6))
        state, works = self.state.copy(), blank_works()
        steady = wrenches_at(
            self.craft[0], self.flight[0], state[0], works[0], throttles, tilts, found
        )
        if not steady:
            message = "the rotors do not come to a steady speed at some throttles"
            raise SimError(message)
        return np.column_stack([-found[:, _UP], found[:, _FIRST_MOMENT:]])

    def slope(self, setting: FloatArray) -> FloatArray:
        """Give the derivative of thrust and moments by the setting, shape (4, settings)."""
        steps = _DIFFERENCE * np.eye(len(setting))
        apart = self.wrenches(setting + steps) - self.wrenches(setting - steps)
        slope: FloatArray = apart.T / (2.0 * _DIFFERENCE)
        return slope

    @cached_property
    def sampled(self) -> FloatArray:
        """Thrust and moments over a grid of all settings, corners and edges included, (n, 4).

        Throttles are spaced evenly in thrust, taken to go as the square.
        """
        free = self.highest > self.lowest
        powers, tilts = _LEVELS.get(self.rotors, _FEWEST_LEVELS)
        grids = []
        for i, (low, high) in enumerate(zip(self.lowest, self.highest, strict=True)):
            if not free[i]:
                grids.append(np.array([low]))
            elif i < self.rotors:
                grids.append(np.sqrt(np.linspace(low**2, high**2, powers)))
            else:
                grids.append(np.linspace(low, high, tilts))
        settings = np.stack(np.meshgrid(*grids, indexing="ij"), axis=-1)
        return self.wrenches(settings.reshape(-1, len(grids)))

    @cached_property
    def width(self) -> FloatArray:
        """[N, N m] From least to most along each of the four axes, shape (4,)."""
        return np.asarray(np.ptp(self.sampled, axis=0), dtype=np.float64)

    @cached_property
    def hull(self) -> Hull:
        """The smallest convex body that holds all that was sampled."""
        scale = self.width
        hull = ConvexHull(self.sampled / scale)
        faces = hull.equations[:, :-1] / scale
        return Hull(faces, -hull.equations[:, -1], float(hull.volume * np.prod(scale)))

    def reach(self, setting: FloatArray, wrench: FloatArray, direction: FloatArray) -> Reach:
        """Find how far thrust and moments can go one way with the rest of them kept.

        The most s for which a setting gives `wrench` + s `direction`: a sequential quadratic
        programme (Kraft 1988, as in SciPy), begun at `setting`. Unlike the hull, this is what the
        rotors really give, all at once.

        Parameters
        ----------
        setting : ndarray, shape (settings,)
            Where to begin, such as the trim's.
        wrench, direction : ndarray, shape (4,)
            [N, N m]
        """
        scale = self.width
        long = float(np.linalg.norm(direction / scale))
        unit = direction / long

        def missed(point: FloatArray) -> FloatArray:
            given = self.wrenches(point[:-1])[0]
            return np.asarray((given - wrench - point[-1] * unit) / scale, dtype=np.float64)

        def missed_slope(point: FloatArray) -> FloatArray:
            return np.column_stack([self.slope(point[:-1]) / scale[:, None], -unit / scale])

        along = np.zeros(len(setting) + 1)
        along[-1] = -1.0
        began = np.append(np.clip(setting, self.lowest, self.highest), 0.0)
        found = minimize(
            lambda point: -point[-1],
            began,
            jac=lambda _: along,
            bounds=[*zip(self.lowest, self.highest, strict=True), (0.0, _FARTHEST)],
            constraints={"type": "eq", "fun": missed, "jac": missed_slope},
            method="SLSQP",
            options={"maxiter": _ROUNDS, "ftol": 1e-10},
        )
        end = np.asarray(found.x, dtype=np.float64)
        if np.abs(missed(end)).max() > _SAME:
            return Reach(None, end[:-1])
        return Reach(float(end[-1]) / long, end[:-1])

    def bounds_met(self, setting: FloatArray) -> tuple[tuple[int, str], ...]:
        """Tell which bounds a setting sits on: rotor and `full`, `least` or `tilt`."""
        room = _AT_BOUND * (self.highest - self.lowest)
        met: list[tuple[int, str]] = []
        for i, value in enumerate(setting):
            low, high = value <= self.lowest[i] + room[i], value >= self.highest[i] - room[i]
            if i >= self.rotors and (low or high):
                met.append((self.tilting[i - self.rotors], "tilt"))
            elif i < self.rotors and self.highest[i] > self.lowest[i] and (low or high):
                met.append((i, "full" if high else "least"))
        return tuple(met)


@final
@dataclass(frozen=True)
class Reach:
    """How far thrust and moments go one way.

    Attributes
    ----------
    amount : float or None
        [-] In lengths of the direction asked for; None when no setting keeps the rest.
    setting : ndarray, shape (settings,)
        That gives it.
    """

    amount: float | None
    setting: FloatArray


@final
@dataclass(frozen=True)
class Hull:
    """A convex body of thrust and moments: all y with faces y <= offsets.

    Attributes
    ----------
    faces : ndarray, shape (faces, 4)
        [1/N, 1/(N m)] Outward normals.
    offsets : ndarray, shape (faces,)
        [-]
    volume : float
        [N (N m)3]
    """

    faces: FloatArray
    offsets: FloatArray
    volume: float

    def reach(self, wrench: FloatArray, direction: FloatArray) -> float:
        """Give how many lengths of a direction lead from a point inside to the surface."""
        rate = self.faces @ direction
        room = self.offsets - self.faces @ wrench
        ahead = rate > np.finfo(np.float64).eps * np.abs(self.faces).max()
        return float(np.min(room[ahead] / rate[ahead]))


def rotor_set(craft: Any, flight: Any, state: Any) -> RotorSet:
    """Give the set of a craft in the air and motion of a state.

    Parameters
    ----------
    craft : record
        As packed.
    flight : record
        With the day's air.
    state : ndarray of one state record
        Such as a trim.
    """
    count = int(craft.rotor_count)
    tilting = tuple(i for i in range(count) if craft.rotor[i].tilts)
    mixer = craft.mixer
    share = float(mixer.least_thrust_n) / np.asarray(mixer.full_thrust_n[:count])
    least = share ** (1.0 / float(mixer.thrust_exponent))
    stopped = np.array([float(craft.rotor[i].full_command) <= 0.0 for i in range(count)])
    travel = np.array([float(craft.rotor[i].tilt_travel_rad) for i in tilting])
    highest = np.where(stopped, 0.0, 1.0)
    flights = np.array([flight], dtype=flight.dtype)
    flights["keeps_charge"] = 1
    return RotorSet(
        craft=np.array([craft], dtype=craft.dtype),
        flight=flights,
        state=state.copy(),
        lowest=np.concatenate([np.where(stopped, 0.0, least), -travel]),
        highest=np.concatenate([highest, travel]),
        tilting=tilting,
    )


def setting_of(state: Any, rotors: RotorSet) -> FloatArray:
    """Give the setting that a state record holds: its throttles and its tilts."""
    motion = state["rotor"][0]
    return np.concatenate(
        [motion["throttle"][: rotors.rotors], motion["tilt_rad"][list(rotors.tilting)]]
    )
