"""The swing of the fabric that a wind excites, read off a gusty flight."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from sim.analysis.condition import STILL_SWING_M_S, Condition
from sim.analysis.wind_heights import height_ratio
from sim.flight.results import Flight
from sim.flight.run import fly
from sim.flight.settle import settled_in_wind
from sim.pack.craft import PackedCraft
from sim.pack.flight import plain_flight
from sim.pack.wind import write_air
from sim.params.record import FloatArray
from sim.spec.scenario import ScenarioSpec

WATCHED_S: Final = 12.0
SAMPLE_S: Final = 0.02
SETTLING_S: Final = 4.0


def excited_swing_m_s(
    packed: PackedCraft, scenario: ScenarioSpec, condition: Condition, start: Any
) -> float:
    """Give the amplitude [m/s] of the fabric's swing against the craft in a condition's wind.

    It is the root mean square speed of all particles against the craft: that of a swing of this
    amplitude which goes as much along the wind as across it. At least the swing that is assumed in
    still air; what a flight shows until its end, if it ends early.

    Parameters
    ----------
    packed, scenario : what flies, in which kind of wind
    condition : Condition
        Its wind is the mean at the craft's height.
    start : ndarray of one state record
        Hover in still air.
    """
    if not int(packed.record.drape.panel_count):
        return STILL_SWING_M_S
    flight = plain_flight(
        packed.air, height_m=condition.height_m, duration_s=SETTLING_S + WATCHED_S
    )[0]
    forecast = condition.wind_m_s / height_ratio(scenario)
    write_air(scenario.wind, flight, condition.height_m, forecast)
    flight.wind_from_rad = condition.from_rad
    flight.noise_factor = 1.0
    flight.seed = scenario.seed
    flight.keeps_charge = 1
    settled = settled_in_wind(packed.record, flight, start)
    flown = fly(packed.record, flight, settled, every_s=SAMPLE_S)
    speeds = swing_speeds_m_s(flown)[round(SETTLING_S / SAMPLE_S) :]
    if not speeds.size:
        return STILL_SWING_M_S
    return max(float(np.sqrt(np.mean(np.sum(speeds**2, axis=-1)))), STILL_SWING_M_S)


def swing_speeds_m_s(flight: Flight) -> FloatArray:
    """Give the velocity of every particle against the craft [m/s], shape (samples, particles, 3).

    From the places in the history, by central differences.
    """
    if len(flight.fabric_m) < 3:  # noqa: PLR2004 - what a central difference needs
        return np.empty((0, flight.fabric_m.shape[1], 3))
    place = np.stack(
        [flight.channel("north"), flight.channel("east"), -flight.channel("height")], axis=1
    )
    apart = flight.fabric_m - place[:, None, :]
    speeds: FloatArray = np.gradient(apart, flight.channel("time"), axis=0)
    return speeds
