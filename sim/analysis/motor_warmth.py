"""How warm the motors get at an operating point, where the builder gave what that depends on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import final

from sim.analysis.power_point import PowerPoint
from sim.physics.power.motor_heat import (
    HeatLoad,
    HeatPath,
    seconds_to_reach,
    steady_temperatures,
    temperatures_after,
)
from sim.spec.airframe import CraftSpec


@final
@dataclass(frozen=True)
class MotorWarmth:
    """Warmth of one motor at one operating point; all None where no thermal data are given.

    Attributes
    ----------
    rotor, point : str
        Names.
    steady_winding_k, steady_housing_k : float or None
        [K] After a long time; inf when the winding runs away.
    later_winding_k : float or None
        [K] Of the winding after `seconds` from air temperature.
    seconds : float or None
        [s] Endurance of the hover, where there is one.
    limit_k : float or None
        [K] That the winding bears.
    seconds_to_limit : float or None
        [s] From air temperature; inf when it is not reached.
    """

    rotor: str
    point: str
    steady_winding_k: float | None = None
    steady_housing_k: float | None = None
    later_winding_k: float | None = None
    seconds: float | None = None
    limit_k: float | None = None
    seconds_to_limit: float | None = None

    @property
    def known(self) -> bool:
        """Whether there were thermal data."""
        return self.limit_k is not None

    @property
    def too_hot(self) -> bool | None:
        """Whether the limit is reached within the endurance, or ever without one."""
        if self.limit_k is None or self.seconds_to_limit is None:
            return None
        if self.seconds is None:
            return math.isfinite(self.seconds_to_limit)
        return self.seconds_to_limit <= self.seconds


def motor_warmth(
    craft: CraftSpec, point: PowerPoint, air_k: float, seconds: float | None
) -> tuple[MotorWarmth, ...]:
    """Estimate the warmth of every motor.

    The current is held as the cold motor draws it. The stand does not take up the resistance that
    a hot winding adds; the copper loss here does.

    Parameters
    ----------
    craft : CraftSpec
    point : PowerPoint
    air_k : float
        [K] Temperature of the day.
    seconds : float or None
        [s] How long the point can last.
    """
    found: list[MotorWarmth] = []
    for spec, rotor in zip(craft.rotors, point.rotors, strict=True):
        data = spec.motor.thermal
        if data is None:
            found.append(MotorWarmth(rotor.name, point.name))
            continue
        path = HeatPath(
            data.winding_heat_capacity_j_k,
            data.housing_heat_capacity_j_k,
            data.winding_to_housing_k_w,
            data.housing_to_air_k_w,
        )
        load = HeatLoad(rotor.power.winding_heat_w, rotor.power.free_running_w, air_k)
        winding, housing = steady_temperatures(path, load)
        found.append(
            MotorWarmth(
                rotor=rotor.name,
                point=point.name,
                steady_winding_k=winding,
                steady_housing_k=housing,
                later_winding_k=None
                if seconds is None
                else temperatures_after(path, load, seconds)[0],
                seconds=seconds,
                limit_k=data.winding_limit_k,
                seconds_to_limit=seconds_to_reach(path, load, data.winding_limit_k),
            )
        )
    return tuple(found)
