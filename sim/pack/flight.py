"""From a scenario spec to the flight record: air, wind, turbulence, commands and limits."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.pack.task import write_commands, write_limits, write_pilot
from sim.pack.wind import write_air, write_gusts
from sim.params.flight_record import FLIGHT_TYPE, FLY
from sim.physics.air.atmosphere import (
    STANDARD_GRAVITY_M_S2,
    AirOfTheDay,
    air_of_the_day,
)
from sim.physics.air.wind_profile import TERRAINS
from sim.spec.scenario import ScenarioSpec

STEP_S = 1e-3
TURBULENCE_RAMP_S = 2.0
JUDGED_FROM_S = 2.0
PLAIN_TILT_LIMIT_RAD = 1.2
TOUCHING_M = 0.01


def plain_flight(air: AirOfTheDay, *, height_m: float = 2.0, duration_s: float = 60.0) -> Any:
    """Give one flight record in an array: no wind, no noise, hold a height [m] over the origin."""
    flights = np.zeros(1, dtype=FLIGHT_TYPE)
    flight = flights[0]
    flight.step_s = STEP_S
    flight.duration_s = duration_s
    flight.density_kg_m3 = air.density_kg_m3
    flight.gravity_m_s2 = STANDARD_GRAVITY_M_S2
    flight.wind_height_m = height_m
    terrain = TERRAINS["open_field"]
    flight.roughness_m = terrain.roughness_m
    flight.least_height_m = terrain.low_flight_minimum_height_m
    flight.command_count = 1
    flight.command[0].kind = FLY
    flight.command[0].place_m[:] = (0.0, 0.0, -height_m)
    flight.holds_position = 1
    flight.limit.tilt_rad = PLAIN_TILT_LIMIT_RAD
    flight.limit.clearance_m = TOUCHING_M
    return flights


def day_air(scenario: ScenarioSpec) -> AirOfTheDay:
    """Give the air of a scenario's day."""
    day = scenario.day
    return air_of_the_day(day.temperature_k, day.pressure_pa, day.elevation_m, day.humidity)


def flight_height_m(scenario: ScenarioSpec) -> float:
    """Give the height [m] at which a scenario mostly flies: the highest it asks for."""
    heights = [step.height_m for step in scenario.task if step.height_m is not None]
    if scenario.start == "hover":
        heights.append(scenario.start_height_m)
    return max(heights, default=2.0)


def write_wind(scenario: ScenarioSpec, flight: Any, mean_m_s: float) -> None:
    """Set the mean wind [m/s] at the scenario's wind height and the turbulence that goes with it.

    See `sim.pack.wind.write_air`.
    """
    write_air(scenario.wind, flight, flight_height_m(scenario), mean_m_s)


def pack_flight(scenario: ScenarioSpec, air: AirOfTheDay, *, flight_number: int = 0) -> Any:
    """Make the flight record of a scenario, in an array of one."""
    flights = plain_flight(air, duration_s=scenario.duration_s)
    flight = flights[0]
    flight.seed = scenario.seed
    flight.flight = flight_number
    write_wind(scenario, flight, scenario.wind.mean_m_s)
    write_gusts(scenario.wind, flight)
    flight.turbulence_ramp_s = TURBULENCE_RAMP_S
    write_pilot(scenario, flight)
    flight.noise_factor = 1.0
    write_commands(scenario, flight)
    write_limits(scenario, flight)
    flight.limit.judged_from_s = JUDGED_FROM_S
    return flights
