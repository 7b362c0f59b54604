"""The state record as a vector: which numbers are states, what they belong to, how attitude adds.

Attitude enters as a rotation vector in body axes from a base attitude, so that the linear model has
three attitude states and none of the quaternion's constraint.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np
from numpy.typing import NDArray

from sim.params.record import FloatArray
from sim.params.state_record import DEMANDS, STATE_TYPE

WORD = 8
TURNS = ("roll", "pitch", "yaw")
CONTROL = "control"


@final
@dataclass(frozen=True)
class Chart:
    """Coordinates of the state of one craft.

    Attributes
    ----------
    offsets : ndarray of int, shape (states,)
        Place of each coordinate in the record seen as float64 words; attitude coordinates hold -1.
    groups : tuple of str
        What each coordinate belongs to ("drape", "pitch", ...).
    scales : ndarray, shape (states,)
        Step for differences, in each coordinate's own unit.
    attitude : int
        First of the three attitude coordinates.
    demands : ndarray of int, shape (6,)
        Coordinates of the demands (loop outputs).
    """

    offsets: NDArray[np.int64]
    groups: tuple[str, ...]
    scales: FloatArray
    attitude: int
    demands: NDArray[np.int64]

    @property
    def size(self) -> int:
        """Number of coordinates."""
        return len(self.groups)

    def moved(self, base: Any, steps: FloatArray) -> Any:
        """Give states moved from a base state by steps, shape (states, n) -> n state records."""
        count = steps.shape[1]
        moved = np.repeat(base, count)
        words = moved.view(np.float64).reshape(count, -1)
        plain = self.offsets >= 0
        words[:, self.offsets[plain]] += steps[plain].T
        turn = steps[self.attitude : self.attitude + 3].T
        moved["body"]["attitude"] = _turned(base["body"]["attitude"], turn)
        return moved

    def difference(self, base: Any, states: Any) -> FloatArray:
        """Give the steps that lead from a base state to states, shape (states, n)."""
        words = states.view(np.float64).reshape(len(states), -1)
        origin = base.view(np.float64).reshape(1, -1)
        steps = np.zeros((self.size, len(states)))
        plain = self.offsets >= 0
        steps[plain] = (words - origin)[:, self.offsets[plain]].T
        turn = _turn_between(base["body"]["attitude"], states["body"]["attitude"])
        steps[self.attitude : self.attitude + 3] = turn.T
        return steps


def _compose(a: FloatArray, b: FloatArray) -> FloatArray:
    w = a[..., :1] * b[..., :1] - np.sum(a[..., 1:] * b[..., 1:], axis=-1, keepdims=True)
    v = a[..., :1] * b[..., 1:] + b[..., :1] * a[..., 1:] + np.cross(a[..., 1:], b[..., 1:])
    return np.concatenate([w, v], axis=-1)


def _turned(attitude: FloatArray, rotation: FloatArray) -> FloatArray:
    angle = np.linalg.norm(rotation, axis=-1, keepdims=True)
    half = np.sinc(angle / (2.0 * np.pi)) / 2.0
    return _compose(attitude, np.concatenate([np.cos(angle / 2.0), rotation * half], axis=-1))


def _turn_between(base: FloatArray, attitude: FloatArray) -> FloatArray:
    conjugate = base * np.array([1.0, -1.0, -1.0, -1.0])
    apart = _compose(conjugate, attitude)
    apart = np.where(apart[..., :1] < 0.0, -apart, apart)
    sine = np.linalg.norm(apart[..., 1:], axis=-1, keepdims=True)
    angle = 2.0 * np.arctan2(sine, apart[..., :1])
    safe = np.where(sine > 0.0, sine, 1.0)
    return apart[..., 1:] * np.where(sine > 0.0, angle / safe, 2.0)


def _words(*path: str) -> tuple[int, int]:
    """Give the first word and number of words of a field, followed by name through the record."""
    dtype, start = STATE_TYPE, 0
    for name in path:
        field = dtype.fields[name] if dtype.fields is not None else None
        if field is None:
            message = f"no field {'.'.join(path)}"
            raise KeyError(message)
        dtype, start = field[0], start + field[1]
    return start // WORD, dtype.itemsize // WORD


def chart_of(craft: Any) -> Chart:
    """Give the coordinates of a craft's state: only the rotors, runs and particles it has."""
    offsets: list[int] = []
    groups: list[str] = []
    scales: list[float] = []

    def take(start: int, count: int, group: str, scale: float) -> None:
        offsets.extend(range(start, start + count))
        groups.extend([group] * count)
        scales.extend([scale] * count)

    take(*_words("body", "position_m"), "drift", 1e-7)
    take(*_words("body", "velocity_m_s"), "drift", 1e-6)
    attitude = len(offsets)
    offsets.extend([-1] * 3)
    groups.extend(TURNS)
    scales.extend([1e-7] * 3)
    first, _ = _words("body", "rate_rad_s")
    for axis, turn in enumerate(TURNS):
        take(first + axis, 1, turn, 1e-6)
    take(*_words("body", "specific_force_m_s2"), "sensing", 1e-4)
    if craft.neck.is_hinged:
        take(*_words("neck", "angle_rad"), "head", 1e-7)
        take(*_words("neck", "rate_rad_s"), "head", 1e-6)
    start, whole = _words("rotor")
    each = whole // STATE_TYPE["rotor"].shape[0]
    for i in range(craft.rotor_count):
        take(start + each * i, 1, "rotor speed", 1e-3)
        if craft.rotor[i].tilts:
            take(start + each * i + 1, 3, "tilt servo", 1e-6)
    take(*_words("estimate"), "sensing", 1e-5)
    for name in ("rate_integral_n_m", "rate_slope_rad_s2", "last_gyro_rad_s"):
        take(*_words("control", name), CONTROL, 1e-5)
    take(*_words("control", "climb_integral_m_s2"), CONTROL, 1e-5)
    take(*_words("control", "drift_integral_m_s2"), CONTROL, 1e-5)
    demands = np.arange(len(offsets), len(offsets) + DEMANDS)
    take(*_words("control", "demand"), CONTROL, 1e-4)
    start, _ = _words("control", "delayed")
    take(start, 4 * int(craft.control.delay_runs), "delay", 1e-4)
    start, whole = _words("particle")
    each = whole // STATE_TYPE["particle"].shape[0]
    take(start, each * int(craft.drape.panel_count), "drape", 3e-7)
    return Chart(np.array(offsets), tuple(groups), np.array(scales), attitude, demands)
