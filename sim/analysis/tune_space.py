"""Which gains are tuned, between which bounds, and where they stand in records and craft files."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np

from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.control import ControllerSpec, HeightSpec, LevelSpec, PositionSpec, RateSpec

FACTOR: Final = 12.0
"""Gains are sought between a twelfth and twelve times those that follow from inertia and lags."""
LEAST_LEAD_S, MOST_LEAD_S = 1e-4, 0.05
GYRO_HZ: Final = (20.0, 150.0)
DERIVATIVE_HZ: Final = (10.0, 100.0)
BELOW_HALF_RATE: Final = 0.8
# Points of the box to begin a search from: derivatives of about 15 ms of p and open filters, and
# the same with a slower hold of place. Common practice, no source.
_USUAL_LEAD, _USUAL_FILTER, _SLOW_HOLD, _SMALL_INTEGRAL = 0.8, 0.95, -0.14, 0.25

_AXES: Final = ("roll", "pitch", "yaw")
_TURN: Final = 2.0 * math.pi


@final
@dataclass(frozen=True)
class Variable:
    """One thing that is tuned.

    Attributes
    ----------
    name : str
        As the builder would say it.
    path : tuple of str
        Keys in the craft file.
    unit : str
        As a craft file takes it.
    per_si : float
        From SI to that unit.
    low, high : float
        Bounds, SI units; of a derivative gain, those of its lead over p [s].
    read : callable
        Gives the SI value from a craft record.
    write : callable
        Sets it.
    lead_of : int
        Axis whose p a derivative gain belongs to, else -1.
    """

    name: str
    path: tuple[str, ...]
    unit: str
    per_si: float
    low: float
    high: float
    read: Callable[[Any], float]
    write: Callable[[Any, float], None]
    lead_of: int = -1


@final
@dataclass(frozen=True)
class GainSpace:
    """The box that gains are sought in, as numbers from 0 to 1 on logarithmic scales.

    Attributes
    ----------
    variables : tuple of Variable
    """

    variables: tuple[Variable, ...]

    @property
    def size(self) -> int:
        """Number of variables."""
        return len(self.variables)

    def values(self, point: FloatArray) -> FloatArray:
        """Give the gains in SI units at a point of the box, shape (size,)."""
        low = np.log([v.low for v in self.variables])
        high = np.log([v.high for v in self.variables])
        found: FloatArray = np.exp(low + np.clip(point, 0.0, 1.0) * (high - low))
        for k, variable in enumerate(self.variables):
            if variable.lead_of >= 0:
                found[k] *= found[variable.lead_of]
        return found

    def point(self, craft: Any) -> FloatArray:
        """Give the point of a craft record's gains, moved into the box where they are outside."""
        found = np.zeros(self.size)
        values = [max(v.read(craft), 1e-300) for v in self.variables]
        for k, v in enumerate(self.variables):
            value = values[k] / values[v.lead_of] if v.lead_of >= 0 else values[k]
            found[k] = math.log(value / v.low) / math.log(v.high / v.low)
        return np.clip(found, 0.0, 1.0)

    def usual(self, rule: FloatArray) -> tuple[FloatArray, ...]:
        """Give points to begin a search from that do not depend on the gains in the file.

        Parameters
        ----------
        rule : ndarray, shape (size,)
            The point of the gains that follow from inertia and lags.
        """
        quick = rule.copy()
        for k, variable in enumerate(self.variables):
            if variable.lead_of >= 0:
                quick[k] = _USUAL_LEAD
            elif variable.path[-1].endswith("cutoff"):
                quick[k] = _USUAL_FILTER
        calm = quick.copy()
        for k, variable in enumerate(self.variables):
            if variable.path[-1] in {"i", "speed_i"}:
                calm[k] = _SMALL_INTEGRAL
            elif variable.path[0] == "position":
                calm[k] += _SLOW_HOLD
        return rule, quick, np.clip(calm, 0.0, 1.0)

    def written(self, crafts: Any, values: FloatArray) -> Any:
        """Give a copy of a craft record, in an array of one, with gains in SI units."""
        copied = crafts.copy()
        for variable, value in zip(self.variables, values, strict=True):
            variable.write(copied[0], float(value))
        return copied


def by_rule(craft: CraftSpec) -> CraftSpec:
    """Give a craft whose gains are not given, so that they follow from inertia and lags."""
    plain = ControllerSpec()
    controller = craft.controller.model_copy(
        update={
            "rate": RateSpec(),
            "level": _kept(craft.controller.level, LevelSpec(), "max_"),
            "height": _kept(craft.controller.height, HeightSpec(), "max_"),
            "position": _kept(craft.controller.position, PositionSpec(), "max_"),
            "gyro_cutoff_rad_s": plain.gyro_cutoff_rad_s,
            "derivative_cutoff_rad_s": plain.derivative_cutoff_rad_s,
        }
    )
    return craft.model_copy(update={"controller": controller})


def _kept(given: Any, plain: Any, prefix: str) -> Any:
    names = [name for name in type(given).model_fields if name.startswith(prefix)]
    return plain.model_copy(update={name: getattr(given, name) for name in names})


def gain_space(craft: CraftSpec, packed: PackedCraft) -> GainSpace:
    """Give the box for a craft; it depends on body and actuators, not on the gains in the file.

    Parameters
    ----------
    craft : CraftSpec
    packed : PackedCraft
        Of `by_rule(craft)`.
    """
    record = packed.record
    found = [_rate_p(record, axis, name) for axis, name in enumerate(_AXES)]
    for axis, name in enumerate(_AXES):
        found += _rate_rest(record, axis, name)
    for axis, name in enumerate(_AXES):
        found.append(_factor(record, f"levelling {name}", ("level", name), *_level(axis)))
    for section, key, words, field, unit in (
        ("height", "p", "height", "height_p_1_s", "1/s"),
        ("height", "speed_p", "climb", "climb_p_1_s", "1/s"),
        ("height", "speed_i", "climb, integral", "climb_i_1_s2", "1/s2"),
        ("position", "p", "position", "position_p_1_s", "1/s"),
        ("position", "speed_p", "ground speed", "speed_p_1_s", "1/s"),
        ("position", "speed_i", "ground speed, integral", "speed_i_1_s2", "1/s2"),
    ):
        found.append(_factor(record, words, (section, key), *_field(field), unit))
    most = BELOW_HALF_RATE * 0.5 * craft.controller.loop_rate_hz
    for words, key, (low, high), (read, write) in (
        ("gyro filter", "gyro_cutoff", GYRO_HZ, _sensing("gyro_cutoff_rad_s")),
        (
            "derivative filter",
            "derivative_cutoff",
            DERIVATIVE_HZ,
            _field("derivative_cutoff_rad_s"),
        ),
    ):
        bounds = (_TURN * min(low, 0.5 * most), _TURN * min(high, most))
        found.append(Variable(words, (key,), "Hz", 1.0 / _TURN, *bounds, read, write))
    return GainSpace(tuple(found))


def _rate_p(record: Any, axis: int, name: str) -> Variable:
    """Give p of one axis of the rate loop."""
    fields = _rate_field(axis, "p_n_m_s")
    return _factor(record, f"{name} rate", ("rate", name, "p"), *fields, "N m/(rad/s)")


def _rate_rest(record: Any, axis: int, name: str) -> list[Variable]:
    """Give i, where the craft has one, and d of one axis of the rate loop."""
    found: list[Variable] = []
    fields = _rate_field(axis, "i_n_m")
    if fields[0](record) > 0.0:
        words = f"{name} rate, integral"
        found.append(_factor(record, words, ("rate", name, "i"), *fields, "N m/rad"))
    words, path = f"{name} rate, derivative", ("rate", name, "d")
    bounds = (LEAST_LEAD_S, MOST_LEAD_S)
    fields = _rate_field(axis, "d_n_m_s2")
    found.append(Variable(words, path, "N m s/(rad/s)", 1.0, *bounds, *fields, lead_of=axis))
    return found


def _factor(
    record: Any,
    words: str,
    path: tuple[str, ...],
    read: Callable[[Any], float],
    write: Callable[[Any, float], None],
    unit: str = "1/s",
) -> Variable:
    base = read(record)
    return Variable(words, path, unit, 1.0, base / FACTOR, base * FACTOR, read, write)


def _rate_field(
    axis: int, field: str
) -> tuple[Callable[[Any], float], Callable[[Any, float], None]]:
    def read(craft: Any) -> float:
        return float(getattr(craft.control.rate[axis], field))

    def write(craft: Any, value: float) -> None:
        setattr(craft.control.rate[axis], field, value)

    return read, write


def _level(axis: int) -> tuple[Callable[[Any], float], Callable[[Any, float], None]]:
    def read(craft: Any) -> float:
        return float(craft.control.level_1_s[axis])

    def write(craft: Any, value: float) -> None:
        craft.control.level_1_s[axis] = value

    return read, write


def _field(field: str) -> tuple[Callable[[Any], float], Callable[[Any, float], None]]:
    def read(craft: Any) -> float:
        return float(getattr(craft.control, field))

    def write(craft: Any, value: float) -> None:
        setattr(craft.control, field, value)

    return read, write


def _sensing(field: str) -> tuple[Callable[[Any], float], Callable[[Any, float], None]]:
    def read(craft: Any) -> float:
        return float(getattr(craft.sensing, field))

    def write(craft: Any, value: float) -> None:
        setattr(craft.sensing, field, value)

    return read, write
