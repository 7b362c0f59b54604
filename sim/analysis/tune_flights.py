"""Gust flights that candidates must pass: with play, slew limits, noise and fabric, same gusts."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final, final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.check import fly_scenario, hover_trim, scenario_start
from sim.analysis.condition import STILL_SWING_M_S
from sim.analysis.condition_margins import ConditionMargins, quick_margins
from sim.analysis.required_margins import RequiredMargins
from sim.analysis.study_summary import quantiles_of
from sim.analysis.trim import Trim
from sim.analysis.wind_causes import failures_of
from sim.analysis.wind_flights import StudyFlights, Wind
from sim.errors import NotLinear, NoTrim
from sim.flight.rows import computable, succeeded
from sim.flight.run import fly
from sim.flight.study import Study
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import flight_height_m, plain_flight
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec

STRONGER: Final = (1.0, 1.5, 2.25)
LEAST_WIND_M_S: Final = 3.0
STEP_M: Final = 1.0
STEP_FLIGHT_S: Final = 12.0


@final
@dataclass(frozen=True)
class Flown:
    """How a set of gains does in flights.

    Attributes
    ----------
    winds_m_s : tuple of float
        [m/s] Forecasts flown.
    flights : int
        In each.
    outcomes : ndarray of bool, shape (winds, flights)
        Which succeeded.
    drift_m : tuple of float
        [m] Largest way from the wanted place, the middle one of the flights of each wind.
    causes : tuple of str
        What most often ended failed flights, by wind; empty where none failed.
    """

    winds_m_s: tuple[float, ...]
    flights: int
    outcomes: NDArray[np.bool_]
    drift_m: tuple[float, ...]
    causes: tuple[str, ...]

    @property
    def successes(self) -> tuple[int, ...]:
        """Flights that succeeded in each wind."""
        return tuple(int(count) for count in self.outcomes.sum(axis=1))

    @property
    def all_successes(self) -> int:
        """Flights that succeeded in all winds together: the more, the more wind is borne."""
        return int(self.outcomes.sum())


def winds_to_verify(scenario: ScenarioSpec) -> tuple[float, ...]:
    """Give the forecasts [m/s] in which candidates fly: the day's, and stronger ones."""
    day = max(scenario.wind.mean_m_s, LEAST_WIND_M_S)
    return tuple(factor * day for factor in STRONGER)


def exact_margins(
    craft: CraftSpec, air: AirOfTheDay, scenario: ScenarioSpec, required: RequiredMargins
) -> ConditionMargins | None:
    """Give the margins of a craft with all of its fabric, trimmed anew; None without a hover."""
    packed = pack_craft(craft, air)
    flight = plain_flight(air, height_m=flight_height_m(scenario))[0]
    try:
        return quick_margins(packed, flight, swing_m_s=STILL_SWING_M_S, required=required)
    except (NoTrim, NotLinear):
        return None


def flown_in(
    packed: PackedCraft, scenario: ScenarioSpec, winds_m_s: tuple[float, ...], flights: int
) -> Flown:
    """Fly a craft in some winds; the same number is the same gusts for every craft.

    Parameters
    ----------
    packed, scenario : what flies, and how
    winds_m_s : tuple of float
        [m/s] Forecasts.
    flights : int
        In each.
    """
    trim: Trim | None
    try:
        trim = hover_trim(packed, scenario)
    except NoTrim:
        trim = None
    start = scenario_start(packed, scenario, None if trim is None else trim.state)
    study = StudyFlights(packed, scenario, start, Study())
    outcomes, drifts, causes = [], [], []
    for wind in winds_m_s:
        rows = study.rows(Wind(wind, scenario.wind.from_rad), flights)
        good = succeeded(rows)
        outcomes.append(good)
        drifts.append(quantiles_of(rows["most_drift_m"][computable(rows)])[1])
        counted = Counter(words for words, _ in failures_of(rows)).most_common(1)
        causes.append(counted[0][0] if counted else "")
    return Flown(winds_m_s, flights, np.stack(outcomes), tuple(drifts), tuple(causes))


@final
@dataclass(frozen=True)
class BeforeAfter:
    """Histories with own and tuned gains: rows of time [s] and way from the wanted place [m].

    Attributes
    ----------
    steps : tuple of ndarray or None, each of shape (2, samples)
        A step of one metre north in still air; None where there is no hover.
    gusts : tuple of ndarray or None
        A flight of the scenario, the same gusts for both.
    """

    steps: tuple[FloatArray | None, FloatArray | None]
    gusts: tuple[FloatArray | None, FloatArray | None]


def before_and_after(own: PackedCraft, tuned: PackedCraft, scenario: ScenarioSpec) -> BeforeAfter:
    """Fly a step and a gusty flight with own and tuned gains."""
    first, second = _histories(own, scenario), _histories(tuned, scenario)
    return BeforeAfter((first[0], second[0]), (first[1], second[1]))


def _histories(
    packed: PackedCraft, scenario: ScenarioSpec
) -> tuple[FloatArray | None, FloatArray | None]:
    try:
        trim = hover_trim(packed, scenario)
    except NoTrim:
        return None, None
    flight = plain_flight(packed.air, height_m=flight_height_m(scenario), duration_s=STEP_FLIGHT_S)
    flight["command"]["place_m"][0, 0, 0] = STEP_M
    stepped = fly(packed.record, flight[0], trim.state)
    gusty = fly_scenario(packed, scenario, trim.state)
    north, east = gusty.channel("north"), gusty.channel("east")
    off = np.hypot(north - gusty.channel("target_north"), east - gusty.channel("target_east"))
    return (
        np.stack([stepped.channel("time"), stepped.channel("north") - STEP_M]),
        np.stack([gusty.channel("time"), off]),
    )
