"""Many flights of a scenario: on all cores or on a cluster, kept in a folder if one is given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, final

import numpy as np

from sim.analysis.check import hover_trim, scenario_start
from sim.analysis.study_summary import StudySummary, summarise
from sim.analysis.wind_flights import Wind, plan_name, wind_plan
from sim.errors import NoTrim
from sim.flight.crew import Crew
from sim.flight.identity import StudyIdentity, study_identity
from sim.flight.plan import LaterPlan
from sim.flight.rows import Rows, computable
from sim.flight.study import study_in
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import day_air
from sim.params.record import FloatArray
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.scenario import ScenarioSpec

Progress = Callable[[str, float | None], None]


@final
@dataclass(frozen=True)
class Prepared:
    """A craft ready to fly a scenario.

    Attributes
    ----------
    packed : PackedCraft
    scenario : ScenarioSpec
    start : ndarray of one state record
        Hover in still air where there is one, or the stand on the ground.
    """

    packed: PackedCraft
    scenario: ScenarioSpec
    start: Any

    @property
    def wind(self) -> Wind:
        """The scenario's own."""
        return Wind(self.scenario.wind.mean_m_s, self.scenario.wind.from_rad)

    def plan(self, wind: Wind) -> LaterPlan:
        """Give the plan of the scenario's flights in a wind."""
        work_out = partial(wind_plan, self.packed, self.scenario, self.start, wind)
        return LaterPlan(plan_name(wind), work_out)

    def identity(self, craft: LoadedCraft) -> StudyIdentity:
        """Give what a study of these flights is known by."""
        return study_identity(craft.spec, self.scenario, self.start)


def start_of_task(craft: LoadedCraft, scenario: LoadedScenario) -> tuple[PackedCraft, Any]:
    """Pack a craft and give the state that the flights of a scenario start from.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    packed = pack_craft(craft.spec, day_air(scenario.spec))
    hover = None
    if scenario.spec.start == "hover":
        try:
            hover = hover_trim(packed, scenario.spec).state
        except NoTrim:
            hover = None
    return packed, scenario_start(packed, scenario.spec, hover)


def prepare(craft: LoadedCraft, scenario: LoadedScenario) -> Prepared:
    """Make a craft ready to fly a scenario; InputFaults as in `start_of_task`."""
    packed, start = start_of_task(craft, scenario)
    return Prepared(packed, scenario.spec, start)


@final
@dataclass(frozen=True)
class FlownStudy:
    """Many flights and what they amount to.

    Attributes
    ----------
    summary : StudySummary
    flown : int
        Flights flown this time; the others were in the folder.
    """

    summary: StudySummary
    flown: int


def fly_study(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    flights: int,
    *,
    folder: Path | None = None,
    crew: Crew | None = None,
    progress: Progress | None = None,
    keep: Callable[[Rows], None] | None = None,
) -> FlownStudy:
    """Fly flights 0 to `flights` - 1 of a scenario.

    Parameters
    ----------
    craft, scenario : as loaded
    flights : int
    folder : Path, optional
        Where rows are kept; flights that are there already are not flown again.
    crew : Crew, optional
        The cores of this machine by default.
    progress : callable, optional
        Told a sentence and the share done, 0 to 1.
    keep : callable, optional
        Given all rows, some at a time, in flight order.

    Raises
    ------
    InputFaults
        When no body can have the masses given, or the folder holds another study.
    """
    tell = progress or (lambda _sentence, _share: None)
    tell("getting ready", None)
    ready = prepare(craft, scenario)
    plan = ready.plan(ready.wind)
    done = 0

    def ended(count: int) -> None:
        nonlocal done
        done += count
        tell(f"{done} of {flights} flights", done / flights)

    def passed_on(rows: Rows) -> Rows:
        if keep is not None:
            keep(rows)
        return rows

    with study_in(folder, ready.identity(craft), flights, crew) as study:
        kept = study.folder

        def column(name: str) -> FloatArray:
            cells = () if kept is None else kept.cells(plan.name, flights, [name, "stop"])
            return np.concatenate([rows[name][computable(rows)] for rows in cells])

        cells = (passed_on(rows) for rows in study.rows(plan, flights, ended))
        confidence = scenario.spec.limits.confidence
        summary = summarise(cells, confidence, None if kept is None else column)
        return FlownStudy(summary, study.flown)
