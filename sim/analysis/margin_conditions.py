"""Which conditions margins are sought in: winds from all sides, used pack, wet fabric, low down."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from sim.analysis.condition import STILL_SWING_M_S, Condition, Fabric
from sim.analysis.steady_conditions import can_get_wet, fabric_of, lowest_height_m
from sim.analysis.wind_heights import gust_over_mean, height_ratio
from sim.pack.craft import PackedCraft
from sim.pack.flight import flight_height_m
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec

SIDES_RAD: Final = tuple(0.25 * math.pi * k for k in range(8))
SPARE_M: Final = 0.1
"""[m] Between the ground and the lowest of feet and fabric, near the ground."""


def still_condition(craft: CraftSpec, scenario: ScenarioSpec) -> Condition:
    """Give still air at the scenario's height, pack and fabric as the craft file has them."""
    return Condition(
        wind_m_s=0.0,
        from_rad=0.0,
        charge=craft.battery.charge,
        fabric=fabric_of(craft),
        height_m=flight_height_m(scenario),
        swing_m_s=STILL_SWING_M_S,
    )


def calm_conditions(
    craft: CraftSpec, still: Condition, packed: PackedCraft, fabric_reach_m: float
) -> tuple[Condition, ...]:
    """Give the conditions in still air: as it starts, with a used pack, other fabric, near ground.

    Parameters
    ----------
    craft : CraftSpec
    still : Condition
        From `still_condition`.
    packed : PackedCraft
    fabric_reach_m : float
        [m] Of the lowest fabric below the CG in still air.
    """
    found = [still, replace(still, charge=craft.battery.reserve)]
    other = other_fabric(craft)
    if other is not None:
        found.append(replace(still, fabric=other))
    found.append(replace(still, height_m=lowest_height_m(packed, fabric_reach_m, SPARE_M)))
    return tuple(found)


def other_fabric(craft: CraftSpec) -> Fabric | None:
    """Give the state of the fabric that the file does not have, if that makes a difference."""
    if not can_get_wet(craft):
        return None
    return "wet" if fabric_of(craft) == "dry" else "dry"


def wind_speeds_m_s(scenario: ScenarioSpec) -> tuple[float, ...]:
    """Give the winds [m/s] at flight height: half the mean, the mean, and its three-second gust."""
    mean = scenario.wind.mean_m_s * height_ratio(scenario)
    if mean <= 0.0:
        return ()
    gust = mean * gust_over_mean(scenario)
    return tuple(sorted({0.5 * mean, mean, gust}))


def windy_conditions(still: Condition, swings_m_s: dict[float, float]) -> tuple[Condition, ...]:
    """Give every wind speed from every side, the speeds of a side rising.

    Parameters
    ----------
    still : Condition
    swings_m_s : dict
        Wind speed [m/s] to the swing of the fabric in it [m/s].
    """
    return tuple(
        replace(still, wind_m_s=speed, from_rad=side, swing_m_s=swings_m_s[speed])
        for side in SIDES_RAD
        for speed in sorted(swings_m_s)
    )
