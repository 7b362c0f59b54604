"""A person on the sticks: the crossover model round the speed, and a slower one round the place."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.flight_record import LAND, CommandRecord, FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord

TRIM_SHARE = 0.25


@compiled
def acceleration_wanted(crossover_rad_s: float, speed_error_m_s: float, trim_m_s2: float) -> float:
    """Give the acceleration [m/s2] that a person asks for on a speed error [m/s].

    Speed answers acceleration as 1/s, so that person and craft together are omega_c e^(-tau s)/s
    (crossover model; McRuer and Krendel, AGARDograph 188, 1974), the delay being in the line that
    follows. `trim_m_s2` [m/s2] is what the person has learned to lean against a steady wind.
    """
    return crossover_rad_s * speed_error_m_s + trim_m_s2


@compiled
def push_looks(flight: FlightRecord, state: StateRecord) -> None:
    """Move what was wanted [m/s2] one look down the line of delays; the newest keeps its place."""
    line = state.pilot.wanted_m_s2
    for k in range(flight.pilot.delay_looks + 1, 0, -1):
        for i in range(3):
            line[k, i] = line[k - 1, i]


@compiled
def act(
    flight: FlightRecord,
    state: StateRecord,
    command: CommandRecord,
    work: WorkRecord,
    period_s: float,
    speeds_m_s: tuple[float, float, float],
) -> None:
    """Turn what is seen into sticks, one look [s] after the last.

    `speeds_m_s` [m/s] are the fastest that the person lets the craft go: along the ground, up and
    down. While looking away the person holds the sticks still. In earth axes: the person knows
    which way the craft points.
    """
    pilot, eye = flight.pilot, state.pilot
    push_looks(flight, state)
    if eye.looks_away <= 0.0:
        wanted = (
            work.target_m_s[0] + pilot.place_rad_s * (work.target_m[0] - eye.place_m[0]),
            work.target_m_s[1] + pilot.place_rad_s * (work.target_m[1] - eye.place_m[1]),
            work.target_m_s[2] + pilot.place_rad_s * (work.target_m[2] - eye.place_m[2]),
        )
        along = math.sqrt(wanted[0] * wanted[0] + wanted[1] * wanted[1])
        slower = min(1.0, speeds_m_s[0] / max(along, 1e-9))
        down = min(max(wanted[2], -speeds_m_s[1]), speeds_m_s[2])
        if command.kind == LAND:
            down = 0.5 * speeds_m_s[2]
        asked = (slower * wanted[0], slower * wanted[1], down)
        growth = TRIM_SHARE * pilot.place_rad_s * pilot.crossover_rad_s * period_s
        for i in range(3):
            error = asked[i] - eye.speed_m_s[i]
            if work.on_ground > 0.0:
                eye.trim_m_s2[i] = 0.0
            else:
                eye.trim_m_s2[i] += growth * error
            eye.wanted_m_s2[0, i] = acceleration_wanted(
                pilot.crossover_rad_s, error, eye.trim_m_s2[i]
            )
    late, later = eye.wanted_m_s2[pilot.delay_looks], eye.wanted_m_s2[pilot.delay_looks + 1]
    for i in range(3):
        eye.asked_m_s2[i] = late[i] + pilot.delay_share * (later[i] - late[i])
