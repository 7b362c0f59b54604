"""From the wind of a scenario to that of a flight: mean, turbulence, gusts, measured record."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.params.record import FloatArray
from sim.params.wind_record import DRYDEN, KAIMAL, MAX_MEASURED, NOT_SHAPED
from sim.physics.air.dryden import dryden_scales
from sim.physics.air.gust_slope import least_span_m, slope_size
from sim.physics.air.kaimal import LagBank, kaimal_scales, lag_bank
from sim.physics.air.turbulence import DrydenFilter, dryden_filter
from sim.physics.air.wind_profile import TERRAINS, mean_wind_ratio, turbulence_intensity
from sim.spec.measured_wind import MeasuredWind
from sim.spec.wind import WindSpec

TURBULENCE_TICKS = 10
WIND_NAMES = ("along", "across", "vertical")
# A Dryden length of a component across the wind is twice its integral scale, a Kaimal one is it.
KAIMAL_TO_DRYDEN = (1.0, 2.0, 2.0)


def along_intensity(wind: WindSpec, height_m: float) -> float:
    """Give standard deviation over mean of the wind along its mean [-] at a height [m].

    The scenario's, else that of the measured record, else of the terrain (EN 1991-1-4); 0 when the
    scenario has no turbulence and nothing measured.
    """
    if wind.measured is not None:
        return wind.measured.intensity
    if wind.turbulence.form == "none":
        return 0.0
    if wind.turbulence.intensity is not None:
        return wind.turbulence.intensity
    terrain = TERRAINS[wind.terrain]
    return turbulence_intensity(height_m, terrain.roughness_m, terrain.low_flight_minimum_height_m)


def gust_span_m(craft: Any) -> float:
    """Give the span [m] over which gusts differ: of the rotors, or of the rims of all fabric."""
    rotors = np.asarray(craft.rotor["pivot_m"][: int(craft.rotor_count), :2])
    rim = np.asarray(craft.drape.rim["place_m"][: int(craft.drape.rim_count), :2])
    return max((_widest(points) for points in (rotors, rim)), default=0.0)


def _widest(points: FloatArray) -> float:
    if len(points) == 0:
        return 0.0
    apart = points[:, None] - points[None]
    return float(np.sqrt((apart**2).sum(axis=-1)).max())


def _copy_dryden(dryden: DrydenFilter, record: Any) -> None:
    for part in WIND_NAMES:
        source, target = getattr(dryden, part), getattr(record, part)
        for name in target.dtype.names:
            setattr(target, name, getattr(source, name))


def _copy_lags(bank: LagBank, record: Any) -> None:
    record.decay[:], record.gain[:] = bank.decay, bank.gain
    record.stationary[:] = bank.stationary


def _write_turbulence(
    form: str, flight: Any, speed_m_s: float, height_m: float, sigma_m_s: float
) -> None:
    """Write the filters for a mean wind and standard deviation [m/s] at a height [m]."""
    period_s = TURBULENCE_TICKS * float(flight.step_s)
    sigmas: tuple[float, ...]
    lengths: tuple[float, ...]
    if form == "dryden":
        flight.turbulence_form = DRYDEN
        _copy_dryden(dryden_filter(speed_m_s, height_m, sigma_m_s, period_s), flight.turbulence)
        scales = dryden_scales(height_m)
        sigmas = (sigma_m_s, sigma_m_s, sigma_m_s * scales.vertical_ratio)
        lengths = (scales.along_m, scales.across_m, scales.vertical_m)
    else:
        flight.turbulence_form = KAIMAL
        kaimal = kaimal_scales(height_m)
        sigmas = tuple(sigma_m_s * ratio for ratio in kaimal.ratios)
        for part, (length, sigma) in enumerate(zip(kaimal.lengths_m, sigmas, strict=True)):
            _copy_lags(lag_bank(length, speed_m_s, sigma, period_s), flight.lag_bank[part])
        pairs = zip(kaimal.lengths_m, KAIMAL_TO_DRYDEN, strict=True)
        lengths = tuple(length * factor for length, factor in pairs)
    flight.slope.speed_m_s = speed_m_s
    flight.slope.least_span_m = least_span_m(min(lengths))
    for part, (sigma, length) in enumerate(zip(sigmas, lengths, strict=True)):
        flight.slope.strength[part] = slope_size(sigma, length)


def _write_measured(measured: MeasuredWind, flight: Any, scale: float) -> None:
    """Write the departures from the mean over the flight's duration, scaled.

    In steps of the record's own median, or as many as fit; then each row is the mean over its step,
    so that nothing faster is folded down.
    """
    duration = float(flight.duration_s)
    times = np.asarray(measured.time_s) - measured.time_s[0]
    departures = scale * np.asarray(measured.departures_m_s())
    own_step = float(np.median(np.diff(times)))
    step = max(own_step, duration / (MAX_MEASURED - 2))
    count = int(np.ceil(duration / step)) + 2
    nodes = step * np.arange(count)
    for part in range(2):
        column = departures[:, part]
        if step <= own_step * (1.0 + 1e-9):
            flight.measured.departure_m_s[:count, part] = np.interp(nodes, times, column)
            continue
        swept = np.concatenate(
            [[0.0], np.cumsum(0.5 * (column[1:] + column[:-1]) * np.diff(times))]
        )
        edges = np.clip(np.stack([nodes - 0.5 * step, nodes + 0.5 * step]), 0.0, times[-1])
        area = np.interp(edges[1], times, swept) - np.interp(edges[0], times, swept)
        width = np.maximum(edges[1] - edges[0], 1e-9)
        flight.measured.departure_m_s[:count, part] = area / width
    flight.measured.count = count
    flight.measured.step_s = step
    flight.measured.is_drawn[:] = (0.0, 0.0 if measured.has_direction else 1.0, 1.0)


def write_air(wind: WindSpec, flight: Any, height_m: float, mean_m_s: float) -> None:
    """Set the mean wind [m/s] at the scenario's wind height and the turbulence that goes with it.

    Turbulence belongs to the mean wind at flight height [m]; there is none without wind. A measured
    record keeps its intensity: its departures from its own mean grow and shrink with the mean
    asked for. They reach the whole craft at once; what an anemometer does not see, vertical gusts
    and differences across the craft, is drawn from the spectrum with the record's own intensity.
    """
    terrain = TERRAINS[wind.terrain]
    least = terrain.low_flight_minimum_height_m
    flight.wind_m_s = mean_m_s
    flight.wind_height_m = wind.at_height_m
    flight.wind_from_rad = wind.from_rad
    flight.roughness_m = terrain.roughness_m
    flight.least_height_m = least
    flight.turbulence_ticks = 0
    flight.turbulence_form = NOT_SHAPED
    flight.measured.count = 0
    flight.slope.speed_m_s = 0.0
    here = mean_m_s * mean_wind_ratio(height_m, wind.at_height_m, terrain.roughness_m, least)
    sigma = along_intensity(wind, height_m) * here
    if wind.measured is not None:
        # By the logarithmic law the standard deviation does not change with height.
        sigma = wind.measured.intensity * mean_m_s
        _write_measured(wind.measured, flight, mean_m_s / wind.measured.mean_m_s)
        flight.turbulence_ticks = TURBULENCE_TICKS
    if wind.turbulence.form == "none" or here <= 0.0 or sigma <= 0.0:
        return
    flight.turbulence_ticks = TURBULENCE_TICKS
    _write_turbulence(wind.turbulence.form, flight, here, height_m, sigma)


def write_gusts(wind: WindSpec, flight: Any) -> None:
    """Write the discrete gusts of a scenario."""
    flight.gust_count = len(wind.gusts)
    for spec, gust in zip(wind.gusts, flight.gust, strict=False):
        front = spec.form == "front"
        gust.peak_m_s, gust.turn_rad = spec.rise_m_s, spec.turn_rad
        gust.start_s = spec.start_s
        gust.length_s = spec.length_s if front else 2.0 * spec.length_s
        gust.stays = int(front)


def take_gusts_out(flights: Any) -> None:
    """Leave nothing but the mean wind in an array of flight records, in place."""
    flights["turbulence_ticks"] = 0
    flights["gust_count"] = 0
