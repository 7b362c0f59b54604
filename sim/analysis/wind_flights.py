"""Flights of one craft and task in any wind: flown, or read when the study has them."""

from __future__ import annotations

import math
from functools import partial
from typing import Any, Final, NamedTuple, Protocol, final

import numpy as np

from sim.flight.plan import LaterPlan, OneCraftPlan
from sim.flight.rows import ROW_TYPE, Rows
from sim.flight.settle import start_in_wind
from sim.flight.study import Study
from sim.pack.craft import PackedCraft
from sim.pack.flight import pack_flight
from sim.spec.scenario import ScenarioSpec

SCAN_FIRST: Final = 1_000_000_000
"""Flights that choose a wind direction are numbered from here on, so that they are independent of
those that then judge it."""


class Wind(NamedTuple):
    """A mean wind.

    Attributes
    ----------
    mean_m_s : float
        [m/s] At the scenario's wind height.
    from_rad : float
        [rad] Compass direction it blows from.
    """

    mean_m_s: float
    from_rad: float


class WindFlights(Protocol):
    """Gives the rows of flights in a wind; the same number is the same gusts in every wind."""

    def rows(self, wind: Wind, flights: int) -> Rows:
        """Give the rows of the first so many flights in a wind."""
        ...


def in_wind(scenario: ScenarioSpec, wind: Wind) -> ScenarioSpec:
    """Give a scenario with another mean wind and direction."""
    blown = scenario.wind.model_copy(update=wind._asdict())
    return scenario.model_copy(update={"wind": blown})


def settled_start(packed: PackedCraft, scenario: ScenarioSpec, flight: Any, start: Any) -> Any:
    """Give the state that gusts meet: settled in the mean wind if the flight starts hovering."""
    if scenario.start == "hover":
        return start_in_wind(packed.record, flight, start)
    return start


def plan_name(wind: Wind, first_number: int = 0) -> str:
    """Give the name of the plan of flights in a wind, fit for a folder."""
    degrees = math.degrees(wind.from_rad) % 360.0
    name = f"{wind.mean_m_s:.4f}m_s-from-{degrees:.3f}deg"
    return f"{name}-flights-from-{first_number}" if first_number else name


def wind_plan(
    packed: PackedCraft, scenario: ScenarioSpec, start: Any, wind: Wind, first_number: int = 0
) -> OneCraftPlan:
    """Give the plan of a scenario's flights in a wind.

    Parameters
    ----------
    packed, scenario : what flies, and how
    start : ndarray of one state record
        Hover in still air, which is first settled in the mean wind, or a stand on the ground.
    wind : Wind
        Instead of the scenario's.
    first_number : int
        Number of the first flight.
    """
    blown = in_wind(scenario, wind)
    flight = pack_flight(blown, packed.air)
    begun = settled_start(packed, blown, flight[0], start)
    return OneCraftPlan(plan_name(wind, first_number), packed.records, flight, begun, first_number)


@final
class StudyFlights:
    """Flights of a study.

    Parameters
    ----------
    packed, scenario : what flies, and how
    start : ndarray of one state record
        See `wind_plan`.
    study : Study
    first_number : int
        Number of the first flight.
    """

    def __init__(
        self,
        packed: PackedCraft,
        scenario: ScenarioSpec,
        start: Any,
        study: Study,
        first_number: int = 0,
    ) -> None:
        self.packed, self.scenario, self.start = packed, scenario, start
        self.study = study
        self.first_number = first_number
        self._known: dict[Wind, tuple[LaterPlan, Rows]] = {}

    def flown(self, wind: Wind) -> int:
        """Give how many flights in a wind are known already."""
        return len(self._known[wind][1]) if wind in self._known else 0

    def rows(self, wind: Wind, flights: int) -> Rows:
        """Give the rows of the first so many flights in a wind."""
        if wind not in self._known:
            what = (self.packed, self.scenario, self.start, wind, self.first_number)
            plan = LaterPlan(plan_name(wind, self.first_number), partial(wind_plan, *what))
            self._known[wind] = (plan, np.zeros(0, dtype=ROW_TYPE))
        plan, rows = self._known[wind]
        if len(rows) < flights:
            rows = self.study.continued(plan, rows, flights)
            self._known[wind] = (plan, rows)
        return rows[:flights]
