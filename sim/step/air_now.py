"""The air at this moment: mean wind, its change with height, turbulence and gust."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.noise import four_normals
from sim.numerics.vector import Vector
from sim.params.flight_record import FlightRecord
from sim.params.state_record import WindStateRecord
from sim.physics.air.direction import wind_to_earth
from sim.physics.air.gust import one_minus_cosine
from sim.physics.air.turbulence import advance_turbulence, first_turbulence, turbulence_velocity
from sim.physics.air.wind_profile import mean_wind_ratio

TURBULENCE_CHANNEL = 16
SHEAR_SPAN_M = 0.5


@compiled
def update_air(flight: FlightRecord, wind: WindStateRecord, tick: int, height_m: float) -> None:
    """Write mean wind, shear and gust of a step, for the craft's height [m].

    Turbulence is drawn every few steps and held between; the whole craft feels one gust. It grows
    from nothing over the first seconds, since a flight starts settled in the mean wind.
    """
    time_s = tick * flight.step_s
    ramp = 1.0
    if time_s < flight.turbulence_ramp_s:
        ramp = time_s / flight.turbulence_ramp_s
    base = flight.wind_m_s
    low = base * mean_wind_ratio(
        height_m, flight.wind_height_m, flight.roughness_m, flight.least_height_m
    )
    high = base * mean_wind_ratio(
        height_m + SHEAR_SPAN_M, flight.wind_height_m, flight.roughness_m, flight.least_height_m
    )
    along = wind_to_earth((1.0, 0.0, 0.0), flight.wind_from_rad)
    slope = (high - low) / SHEAR_SPAN_M
    eddies = (0.0, 0.0, 0.0)
    if flight.turbulence_ticks > 0:
        s = wind.shaping
        if tick % flight.turbulence_ticks == 0:
            a, b, c, d = four_normals(flight.seed, flight.flight, tick, TURBULENCE_CHANNEL)
            e, _, _, _ = four_normals(flight.seed, flight.flight, tick, TURBULENCE_CHANNEL + 1)
            draw = (a, b, c, d, e)
            if tick == 0:
                new = first_turbulence(flight.turbulence, draw)
            else:
                old = (s[0], s[1], s[2], s[3], s[4])
                new = advance_turbulence(old, flight.turbulence, draw)
            for i in range(5):
                s[i] = new[i]
        eddies = turbulence_velocity((s[0], s[1], s[2], s[3], s[4]), flight.turbulence)
    gust = flight.gust
    pulse = one_minus_cosine(time_s, gust.start_s, gust.length_s, gust.peak_m_s)
    moving = wind_to_earth(
        (ramp * eddies[0] + pulse, ramp * eddies[1], ramp * eddies[2]), flight.wind_from_rad
    )
    for i in range(3):
        wind.mean_m_s[i] = low * along[i]
        wind.shear_1_s[i] = slope * along[i]
        wind.gust_m_s[i] = moving[i]


@compiled
def air_at(wind: WindStateRecord, above_craft_m: float) -> Vector:
    """Give the air's velocity [m/s], earth axes, a height [m] above the craft's CG."""
    return (
        wind.mean_m_s[0] + wind.shear_1_s[0] * above_craft_m + wind.gust_m_s[0],
        wind.mean_m_s[1] + wind.shear_1_s[1] * above_craft_m + wind.gust_m_s[1],
        wind.mean_m_s[2] + wind.shear_1_s[2] * above_craft_m + wind.gust_m_s[2],
    )
