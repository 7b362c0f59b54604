"""Records of a steady flight in one condition: the craft packed for it and its flight."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.analysis.condition import Condition, Fabric
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import plain_flight
from sim.physics.air.atmosphere import AirOfTheDay
from sim.physics.air.wind_profile import TERRAINS
from sim.spec.airframe import CraftSpec
from sim.spec.variants import with_fabric_wet, without_fabric


def fabric_of(craft: CraftSpec) -> Fabric:
    """Give the state of a craft's fabric as its file has it."""
    if not craft.drapes:
        return "none"
    return "wet" if any(drape.fabric.wet for drape in craft.drapes) else "dry"


def with_fabric(craft: CraftSpec, fabric: Fabric) -> CraftSpec:
    """Give the craft with its fabric dry, wet, or taken off."""
    if fabric == "none":
        return without_fabric(craft)
    return with_fabric_wet(craft, fabric == "wet")


def can_get_wet(craft: CraftSpec) -> bool:
    """Tell whether wet fabric weighs more than dry in this craft."""
    return any(drape.fabric.wet_factor > 1.0 for drape in craft.drapes)


def packed_for(craft: CraftSpec, air: AirOfTheDay, fabric: Fabric) -> PackedCraft:
    """Pack a craft with its fabric in a state.

    Gains and mixer are those of the craft as its file has it: a flight controller does not know
    that the fabric got wet.
    """
    packed = pack_craft(with_fabric(craft, fabric), air)
    if fabric != fabric_of(craft):
        told = pack_craft(craft, air).records
        packed.records["control"], packed.records["mixer"] = told["control"], told["mixer"]
    return packed


def steady_flight_of(air: AirOfTheDay, condition: Condition, *, terrain: str = "open_field") -> Any:
    """Give the flight record of a condition, its wind being the one at the craft's height."""
    flights = plain_flight(air, height_m=condition.height_m)
    flight = flights[0]
    ground = TERRAINS[terrain]
    flight.roughness_m = ground.roughness_m
    flight.least_height_m = ground.low_flight_minimum_height_m
    flight.wind_m_s = condition.wind_m_s
    flight.wind_height_m = condition.height_m
    flight.wind_from_rad = condition.from_rad
    return flight


def lowest_height_m(packed: PackedCraft, fabric_reach_m: float, spare_m: float) -> float:
    """Give the height [m] of the CG at which feet and fabric just clear the ground.

    Parameters
    ----------
    packed : PackedCraft
    fabric_reach_m : float
        [m] Of the lowest fabric below the CG.
    spare_m : float
        [m] Between the lowest of them and the ground.
    """
    record = packed.record
    feet = record["foot"]["place_m"][: int(record.foot_count)]
    lowest = float(np.max(feet[:, 2])) if len(feet) else 0.0
    return max(lowest, fabric_reach_m, 0.0) + spare_m
