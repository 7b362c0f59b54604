"""What a gust of the scenario's wind does to a hovering craft within one period of its loops."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np
from scipy.linalg import block_diag

from sim.analysis.linearise import advanced
from sim.analysis.trim import Trim
from sim.analysis.wind_heights import height_ratio
from sim.pack.craft import PackedCraft
from sim.pack.flight import flight_height_m, pack_flight
from sim.pack.wind import along_intensity
from sim.params.record import FloatArray
from sim.physics.air.turbulence import dryden_filter
from sim.spec.scenario import ScenarioSpec

CALM_INTENSITY = 0.2
LEAST_GUST_M_S = 0.1
_NEVER = 10**9


@final
@dataclass(frozen=True)
class Gusts:
    """Turbulence of the scenario's wind as white noise through a filter, one loop period a step.

    Attributes
    ----------
    transition : ndarray, shape (5, 5)
    drive : ndarray, shape (5, 5)
        On five standard normals.
    output : ndarray, shape (3, 5)
        [m/s] To the gust along the wind, to its right, and down.
    """

    transition: FloatArray
    drive: FloatArray
    output: FloatArray


def wind_here(scenario: ScenarioSpec) -> tuple[float, float]:
    """Give mean wind and standard deviation of its gusts at flight height [m/s]."""
    mean = scenario.wind.mean_m_s * height_ratio(scenario)
    intensity = along_intensity(scenario.wind, flight_height_m(scenario)) or CALM_INTENSITY
    return mean, intensity * mean


def gusts_of(scenario: ScenarioSpec, least_mean_m_s: float, period_s: float) -> Gusts:
    """Give the gusts of a scenario; with less wind than the least mean, those of that."""
    mean, sigma = wind_here(scenario)
    if mean < least_mean_m_s:
        sigma = (sigma / mean if mean > 0.0 else CALM_INTENSITY) * least_mean_m_s
        mean = least_mean_m_s
    f = dryden_filter(mean, flight_height_m(scenario), sigma, period_s)
    return Gusts(
        block_diag([[f.along.decay]], f.across.transition, f.vertical.transition),
        block_diag([[f.along.gain]], f.across.noise_factor, f.vertical.noise_factor),
        block_diag([[1.0]], f.across.output[np.newaxis], f.vertical.output[np.newaxis]),
    )


def gust_slopes(packed: PackedCraft, scenario: ScenarioSpec, trim: Trim) -> FloatArray:
    """Give dx(k+1)/d(gust along the wind, to its right, down), shape (states, 3).

    The mean wind of the scenario is met at the still-air hover; a gust as large as its standard
    deviation is held to either side of it for a period, the same for the whole craft.
    """
    flights = trim.flights.copy()
    blown = pack_flight(scenario, packed.air)
    for name in ("wind_m_s", "wind_height_m", "wind_from_rad", "roughness_m", "least_height_m"):
        flights[name] = blown[name]
    flights["turbulence_ticks"], flights["turbulence_ramp_s"] = _NEVER, 0.0
    flights["swing_m_s"] = 0.0
    state: Any = trim.state.copy()
    state["tick"] = int(trim.crafts[0].control.period_ticks)
    centre = advanced(trim.crafts, flights, state)
    north, east = -np.cos(scenario.wind.from_rad), -np.sin(scenario.wind.from_rad)
    size = max(wind_here(scenario)[1], LEAST_GUST_M_S)
    columns = []
    for way in ((north, east, 0.0), (-east, north, 0.0), (0.0, 0.0, 1.0)):
        sides = []
        for sign in (1.0, -1.0):
            pushed = state.copy()
            pushed["wind"]["eddy_m_s"][0] = sign * size * np.array(way)
            later = advanced(trim.crafts, flights, pushed)
            sides.append(trim.chart.difference(centre, later)[:, 0])
        columns.append((sides[0] - sides[1]) / (2.0 * size))
    return np.array(columns).T
