"""The wind limit as a study of its own: more flights, any direction, kept and resumed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, final

from sim.analysis.fly_study import prepare
from sim.analysis.wind_limit import Effort, wind_answer
from sim.analysis.wind_result import WindAnswer
from sim.flight.crew import Crew
from sim.flight.study import study_in
from sim.spec.files import LoadedCraft, LoadedScenario

PART_FLIGHTS: Final = 8
Progress = Callable[[str, float | None], None]


@final
@dataclass(frozen=True)
class WindStudy:
    """A wind limit and what it took.

    Attributes
    ----------
    answer : WindAnswer
    flown : int
        Flights flown this time; the others were in the folder.
    passes : bool
        The limit is at least the wind of the scenario.
    """

    answer: WindAnswer
    flown: int
    passes: bool


def wind_study(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    flights: int,
    *,
    directions: bool = False,
    folder: Path | None = None,
    crew: Crew | None = None,
    progress: Progress | None = None,
) -> WindStudy:
    """Find the wind limit of a craft.

    Parameters
    ----------
    craft, scenario : as loaded
    flights : int
        About how many to spend in one direction.
    directions : bool
        Look for the worst direction too.
    folder : Path, optional
        Where rows are kept; stopped and begun anew, it goes on where it was and answers the same.
    crew : Crew, optional
        The cores of this machine by default.
    progress : callable, optional
        Told a sentence and the share done, 0 to 1.

    Raises
    ------
    InputFaults
        When no body can have the masses given, or the folder holds another study.
    """
    if progress is not None:
        progress("hover in still air", None)
    ready = prepare(craft, scenario)
    identity = ready.identity(craft)
    with study_in(folder, identity, flights, crew, part_flights=PART_FLIGHTS) as study:
        answer = wind_answer(
            ready.packed,
            ready.scenario,
            ready.start,
            progress=progress,
            effort=Effort.of(flights),
            study=study,
            directions=directions,
        )
        flown = study.flown
    limit = answer.limit_forecast_m_s
    return WindStudy(answer, flown, limit is not None and limit >= scenario.spec.wind.mean_m_s)
