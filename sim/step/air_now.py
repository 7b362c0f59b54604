"""The air at this moment: mean wind, its change with height, turbulence and gusts."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.flight_record import FlightRecord
from sim.params.kept_record import WIND_DIRECTION, WIND_PROFILE, KeptRecord
from sim.params.state_record import WindStateRecord
from sim.physics.air.gust import one_minus_cosine, rise_and_hold
from sim.physics.air.wind_profile import log_profile
from sim.step.eddies import draw_eddies

SHEAR_SPAN_M = 0.5


@compiled
def discrete_gusts(flight: FlightRecord, time_s: float) -> tuple[float, float]:
    """Give what the discrete gusts add now: speed along the wind [m/s], turn of the wind [rad]."""
    speed, turn = 0.0, 0.0
    for i in range(flight.gust_count):
        gust = flight.gust[i]
        if gust.stays > 0:
            share = rise_and_hold(time_s, gust.start_s, gust.length_s, 1.0)
        else:
            share = one_minus_cosine(time_s, gust.start_s, gust.length_s, 1.0)
        speed += share * gust.peak_m_s
        turn += share * gust.turn_rad
    return speed, turn


@compiled
def profile_there(flight: FlightRecord, kept: KeptRecord) -> float:
    """Give `log_profile` [-] at the height for which the flight's mean wind is stated."""
    height_m, roughness_m, least_m = flight.wind_height_m, flight.roughness_m, flight.least_height_m
    asked = kept.asked
    known = asked[0] == height_m and asked[1] == roughness_m and asked[2] == least_m
    if kept.is_known == 0.0 or not known:
        kept.is_known, asked[0], asked[1], asked[2] = 1.0, height_m, roughness_m, least_m
        kept.given[0] = log_profile(height_m, roughness_m, least_m)
    return float(kept.given[0])


@compiled
def downwind(from_rad: float, kept: KeptRecord) -> tuple[float, float]:
    """Give the unit vector north, east along which wind blows that comes from a direction [rad]."""
    if kept.is_known == 0.0 or kept.asked[0] != from_rad:
        kept.is_known, kept.asked[0] = 1.0, from_rad
        kept.given[0], kept.given[1] = -math.cos(from_rad), -math.sin(from_rad)
    return kept.given[0], kept.given[1]


@compiled
def mean_and_shear(flight: FlightRecord, height_m: float, kept: KeptRecord) -> tuple[float, float]:
    """Give the mean wind at a height [m/s] and its growth per metre up [1/s]."""
    if flight.wind_m_s == 0.0:
        return 0.0, 0.0
    roughness_m, least_m = flight.roughness_m, flight.least_height_m
    scale = flight.wind_m_s / profile_there(flight, kept)
    low = log_profile(height_m, roughness_m, least_m)
    high = log_profile(height_m + SHEAR_SPAN_M, roughness_m, least_m)
    return scale * low, scale * (high - low) / SHEAR_SPAN_M


@compiled
def update_air(
    flight: FlightRecord,
    wind: WindStateRecord,
    kept: list[KeptRecord],
    tick: int,
    height_m: float,
    span_m: float,
) -> None:
    """Write mean wind, gust and their slopes of a step, for the craft's height and span [m].

    Turbulence is drawn every few steps and held between. It grows from nothing over the first
    seconds, since a flight starts settled in the mean wind.
    """
    time_s = tick * flight.step_s
    pulse, turn = discrete_gusts(flight, time_s)
    from_rad = flight.wind_from_rad + turn
    mean, shear = mean_and_shear(flight, height_m, kept[WIND_PROFILE])
    north, east = downwind(from_rad, kept[WIND_DIRECTION])
    for i in range(3):
        for j in range(3):
            wind.slope_1_s[i, j] = 0.0
        wind.gust_m_s[i] = 0.0
    if flight.turbulence_ticks > 0:
        if tick % flight.turbulence_ticks == 0:
            draw_eddies(flight, wind, tick, span_m, from_rad)
        ramp = 1.0
        if time_s < flight.turbulence_ramp_s:
            ramp = time_s / flight.turbulence_ramp_s
        for i in range(3):
            wind.gust_m_s[i] = ramp * wind.eddy_m_s[i]
            for j in range(3):
                wind.slope_1_s[i, j] = ramp * wind.eddy_slope_1_s[i, j]
    wind.mean_m_s[0], wind.mean_m_s[1], wind.mean_m_s[2] = mean * north, mean * east, 0.0
    wind.gust_m_s[0] += pulse * north
    wind.gust_m_s[1] += pulse * east
    wind.slope_1_s[0, 2] -= shear * north
    wind.slope_1_s[1, 2] -= shear * east


@compiled
def air_at(wind: WindStateRecord, away: Vector) -> Vector:
    """Give the air's velocity [m/s] at a place [m] from the craft's CG, both in earth axes."""
    mean, gust, slope = wind.mean_m_s, wind.gust_m_s, wind.slope_1_s
    return (
        mean[0] + gust[0] + slope[0, 0] * away[0] + slope[0, 1] * away[1] + slope[0, 2] * away[2],
        mean[1] + gust[1] + slope[1, 0] * away[0] + slope[1, 1] * away[1] + slope[1, 2] * away[2],
        mean[2] + gust[2] + slope[2, 0] * away[0] + slope[2, 1] * away[1] + slope[2, 2] * away[2],
    )
