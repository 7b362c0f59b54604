"""Turbulence of a flight as the steps go on: drawn every few steps and held between."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.noise import four_normals
from sim.numerics.vector import Vector
from sim.params.flight_record import FlightRecord
from sim.params.state_record import WindStateRecord
from sim.params.wind_record import DRYDEN, KAIMAL, MeasuredRecord
from sim.physics.air.direction import wind_to_earth
from sim.physics.air.gust_slope import advance_slopes, first_slopes, write_slopes
from sim.physics.air.kaimal import advance_lags, first_lags
from sim.physics.air.turbulence import advance_turbulence, first_turbulence, turbulence_velocity

TURBULENCE_CHANNEL = 16
SLOPE_CHANNEL = 20


@compiled
def draw_dryden(flight: FlightRecord, wind: WindStateRecord, tick: int) -> Vector:
    """Move the Dryden filters by a period and give the gust [m/s], wind axes."""
    s = wind.shaping
    a, b, c, d = four_normals(flight.seed, flight.flight, tick, TURBULENCE_CHANNEL)
    e, _, _, _ = four_normals(flight.seed, flight.flight, tick, TURBULENCE_CHANNEL + 1)
    draw = (a, b, c, d, e)
    if tick == 0:
        new = first_turbulence(flight.turbulence, draw)
    else:
        new = advance_turbulence((s[0], s[1], s[2], s[3], s[4]), flight.turbulence, draw)
    for i in range(5):
        s[i] = new[i]
    return turbulence_velocity(new, flight.turbulence)


@compiled
def draw_kaimal_part(flight: FlightRecord, wind: WindStateRecord, tick: int, part: int) -> float:
    """Move the lags of one component by a period and give it [m/s]."""
    draw = four_normals(flight.seed, flight.flight, tick, TURBULENCE_CHANNEL + part)
    if tick == 0:
        return first_lags(wind.shaping, 4 * part, flight.lag_bank[part], draw)
    return advance_lags(wind.shaping, 4 * part, flight.lag_bank[part], draw)


@compiled
def measured_now(measured: MeasuredRecord, time_s: float) -> tuple[float, float]:
    """Give the measured wind's departure [m/s] along and to the right of its mean."""
    row = min(max(time_s / measured.step_s, 0.0), measured.count - 1.0)
    k = min(int(row), measured.count - 2)
    share = row - k
    one, other = measured.departure_m_s[k], measured.departure_m_s[k + 1]
    return (
        one[0] + share * (other[0] - one[0]),
        one[1] + share * (other[1] - one[1]),
    )


@compiled
def draw_gust(flight: FlightRecord, wind: WindStateRecord, tick: int) -> Vector:
    """Give the gust of the next few steps [m/s], wind axes: drawn, measured or some of each."""
    gust = (0.0, 0.0, 0.0)
    if flight.turbulence_form == DRYDEN:
        gust = draw_dryden(flight, wind, tick)
    elif flight.turbulence_form == KAIMAL:
        gust = (
            draw_kaimal_part(flight, wind, tick, 0),
            draw_kaimal_part(flight, wind, tick, 1),
            draw_kaimal_part(flight, wind, tick, 2),
        )
    if flight.measured.count > 0:
        along, across = measured_now(flight.measured, tick * flight.step_s)
        drawn = flight.measured.is_drawn
        gust = (
            drawn[0] * gust[0] + along,
            drawn[1] * gust[1] + across,
            drawn[2] * gust[2],
        )
    return gust


@compiled
def turn_slopes(wind: WindStateRecord, from_rad: float) -> None:
    """Turn the slopes of the gust from wind axes, where they stand, into earth axes."""
    s = wind.eddy_slope_1_s
    c, n = -math.cos(from_rad), -math.sin(from_rad)
    for i in range(3):  # directions: along (c, n), to the right (-n, c)
        along, right = s[i, 0], s[i, 1]
        s[i, 0], s[i, 1] = c * along - n * right, n * along + c * right
    for j in range(3):
        along, right = s[0, j], s[1, j]
        s[0, j], s[1, j] = c * along - n * right, n * along + c * right


@compiled
def draw_eddies(
    flight: FlightRecord, wind: WindStateRecord, tick: int, span_m: float, from_rad: float
) -> None:
    """Write gust and slopes of the next few steps, for a craft of a span [m]."""
    d = wind.drawn_m_s
    before = (d[0], d[1], d[2])
    now = draw_gust(flight, wind, tick)
    turned = wind_to_earth(now, from_rad)
    for i in range(3):
        d[i] = now[i]
        wind.eddy_m_s[i] = turned[i]
    if flight.slope.speed_m_s <= 0.0 or span_m <= flight.slope.least_span_m:
        return
    a, b, c, e = four_normals(flight.seed, flight.flight, tick, SLOPE_CHANNEL)
    f, _, _, _ = four_normals(flight.seed, flight.flight, tick, SLOPE_CHANNEL + 1)
    draw = (a, b, c, e, f)
    slow, across = wind.slow_m_s, wind.across_1_s
    if tick == 0:
        first_slopes(slow, across, flight.slope, span_m, now, draw)
    else:
        period_s = flight.turbulence_ticks * flight.step_s
        advance_slopes(slow, across, flight.slope, span_m, period_s, before, now, draw)
    write_slopes(wind.eddy_slope_1_s, now, slow, across, span_m)
    turn_slopes(wind, from_rad)
