"""One wind told at three places: forecast, flight height, and the gust that goes with a mean."""

from __future__ import annotations

from typing import Final

from sim.pack.flight import flight_height_m
from sim.pack.wind import along_intensity
from sim.physics.air.gust_factor import LOWEST_HEIGHT_M, gust_factor
from sim.physics.air.wind_profile import TERRAINS, mean_wind_ratio
from sim.spec.scenario import ScenarioSpec

MEAN_AVERAGE_S: Final = 600.0
GUST_AVERAGE_S: Final = 3.0
FORECAST_HEIGHT_M: Final = 10.0
"""[m] Height for which weather services tell the wind (WMO-No. 8)."""


def _ratio(scenario: ScenarioSpec, height_m: float) -> float:
    terrain = TERRAINS[scenario.wind.terrain]
    return mean_wind_ratio(
        height_m,
        scenario.wind.at_height_m,
        terrain.roughness_m,
        terrain.low_flight_minimum_height_m,
    )


def height_ratio(scenario: ScenarioSpec) -> float:
    """Give the mean wind at flight height over that at the scenario's wind height."""
    return _ratio(scenario, flight_height_m(scenario))


def forecast_ratio(scenario: ScenarioSpec) -> float:
    """Give the mean wind at 10 m over that at the scenario's wind height."""
    return _ratio(scenario, FORECAST_HEIGHT_M)


def gust_over_mean(scenario: ScenarioSpec) -> float:
    """Give the three-second gust over the ten-minute mean at flight height (WMO/TD-1555)."""
    height = max(flight_height_m(scenario), LOWEST_HEIGHT_M)
    intensity = along_intensity(scenario.wind, height)
    if intensity == 0.0:
        return 1.0
    return gust_factor(GUST_AVERAGE_S, MEAN_AVERAGE_S, height, intensity)
