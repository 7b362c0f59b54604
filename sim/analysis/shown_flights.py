"""Which flights of a study are worth looking at: worst, median, and one beyond the limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.analysis.wind_direction import closeness
from sim.analysis.wind_flights import StudyFlights, Wind, in_wind, settled_start
from sim.analysis.wind_result import WindAnswer
from sim.flight.fabric_hit import fabric_hit
from sim.flight.outcome import sentence
from sim.flight.results import GOOD_ENDS, Flight
from sim.flight.run import fly
from sim.flight.study import Study
from sim.pack.craft import PackedCraft
from sim.pack.flight import STEP_S, pack_flight
from sim.spec.scenario import ScenarioSpec

LOOKED_AT = 20
LEAST_LOOKED_AT = 8


@final
@dataclass(frozen=True)
class FlownAgain:
    """A flight of a study with its history.

    Attributes
    ----------
    title : str
        Why it is shown, in a few words.
    about : str
        Which flight of which wind it is, and how it ended.
    forecast_m_s : float
        [m/s] Mean wind at the scenario's wind height.
    number : int
        Of the flight within the study.
    flight : Flight
        With its history.
    record : record
        The flight record.
    """

    title: str
    about: str
    forecast_m_s: float
    number: int
    flight: Flight
    record: Any

    @property
    def succeeded(self) -> bool:
        """Whether it flew its whole time or landed as told."""
        return self.flight.stop in GOOD_ENDS


def fly_again(
    packed: PackedCraft,
    scenario: ScenarioSpec,
    start: Any,
    forecast_m_s: float,
    number: int,
    title: str = "",
) -> FlownAgain:
    """Fly one flight of a study with its history: the same bits as within the study.

    Parameters
    ----------
    packed, scenario : what flies, and how
    start : ndarray of one state record
        As the study's.
    forecast_m_s : float
        [m/s] Mean wind at the scenario's wind height.
    number : int
        Of the flight.
    title : str, optional
        Why it is shown.
    """
    blown = in_wind(scenario, Wind(forecast_m_s, scenario.wind.from_rad))
    flights = pack_flight(blown, packed.air, flight_number=number)
    flight = fly(packed.record, flights[0], settled_start(packed, scenario, flights[0], start))
    about = (
        f"Flight {number} of seed {scenario.seed} in a forecast of {forecast_m_s:.5g} m/s:"
        f" it {sentence(flight.tally, STEP_S, fabric_hit(packed, flight.tally))}."
    )
    return FlownAgain(title or f"flight {number}", about, forecast_m_s, number, flight, flights[0])


def median_and_worst(
    packed: PackedCraft,
    scenario: ScenarioSpec,
    start: Any,
    forecast_m_s: float,
    flights: int = LOOKED_AT,
    known: StudyFlights | None = None,
) -> tuple[FlownAgain, ...]:
    """Fly a small study; give its median and its worst flight by how close they came to limits.

    Parameters
    ----------
    packed, scenario, start, forecast_m_s : as for `fly_again`
    flights : int
        How many are looked at.
    known : StudyFlights, optional
        Flights of the same craft, scenario and start, which need not be flown again.

    Returns
    -------
    tuple of FlownAgain
        One when both are the same flight, else median then worst.
    """
    study = known or StudyFlights(packed, scenario, start, Study())
    rows = study.rows(Wind(forecast_m_s, scenario.wind.from_rad), flights)
    order = np.argsort(closeness(rows, scenario.limits, scenario.duration_s), kind="stable")
    median, worst = int(order[(flights - 1) // 2]), int(order[-1])
    chosen = {median: f"the median of {flights} flights"}
    chosen[worst] = f"the worst of {flights} flights"
    return tuple(
        fly_again(packed, scenario, start, forecast_m_s, number, title)
        for number, title in chosen.items()
    )


def beyond_the_limit(
    packed: PackedCraft, scenario: ScenarioSpec, start: Any, wind: WindAnswer
) -> FlownAgain | None:
    """Give the first failed flight in the lowest wind above the limit in which one failed.

    Parameters
    ----------
    packed, scenario, start : as for `fly_again`
    wind : WindAnswer
        What was found.

    Returns
    -------
    FlownAgain or None
        None when no flight above the limit failed.
    """
    limit = wind.limit_forecast_m_s
    for point in sorted(wind.points, key=lambda one: one.forecast_m_s):
        if point.first_failure is None or (limit is not None and point.forecast_m_s <= limit):
            continue
        title = "the first that failed" if limit is None else "above the limit"
        return fly_again(packed, scenario, start, point.forecast_m_s, point.first_failure, title)
    return None


def flights_to_show(
    packed: PackedCraft,
    scenario: ScenarioSpec,
    start: Any,
    wind: WindAnswer,
    known: StudyFlights,
) -> tuple[FlownAgain, ...]:
    """Give median and worst in the scenario's wind, and the first that failed above the limit.

    Parameters
    ----------
    packed, scenario, start : as for `fly_again`
    wind : WindAnswer
        What was found.
    known : StudyFlights
        What was flown for it: up to twenty of its flights are looked at, eight are flown when
        there are fewer.

    Returns
    -------
    tuple of FlownAgain
        Two or three, or one when they are the same flight.
    """
    forecast = scenario.wind.mean_m_s
    there = known.flown(Wind(forecast, scenario.wind.from_rad))
    flights = min(max(there, LEAST_LOOKED_AT), LOOKED_AT)
    shown = median_and_worst(packed, scenario, start, forecast, flights, known)
    beyond = beyond_the_limit(packed, scenario, start, wind)
    if beyond is None or any(
        (one.forecast_m_s, one.number) == (beyond.forecast_m_s, beyond.number) for one in shown
    ):
        return shown
    return (*shown, beyond)


def only_flight(packed: PackedCraft, scenario: ScenarioSpec, flight: Flight) -> FlownAgain:
    """Give the one flight of a craft that is not flown any further.

    Parameters
    ----------
    packed, scenario : what flew, and how
    flight : Flight
        Number 0 in the scenario's own wind.
    """
    forecast = scenario.wind.mean_m_s
    about = (
        f"The only flight that was tried, in a forecast of {forecast:.5g} m/s:"
        f" it {sentence(flight.tally, STEP_S, fabric_hit(packed, flight.tally))}."
    )
    record = pack_flight(scenario, packed.air)[0]
    return FlownAgain("the only flight", about, forecast, 0, flight, record)
