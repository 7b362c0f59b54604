"""One flight of a scenario, from the ground or from a settled hover, with its outcome in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

from sim.analysis.check import fly_scenario, hover_trim, scenario_start
from sim.analysis.trim import Trim
from sim.errors import NoTrim
from sim.flight.outcome import sentence
from sim.flight.results import GOOD_ENDS, Flight
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import STEP_S, day_air
from sim.spec.files import LoadedCraft, LoadedScenario


@final
@dataclass(frozen=True)
class FlownTask:
    """A flight and how it went.

    Attributes
    ----------
    packed : PackedCraft
        What flew.
    flight : Flight
        Its history.
    outcome : str
        A sentence with the time of its end.
    succeeded : bool
        It flew its whole time or landed as told.
    """

    packed: PackedCraft
    flight: Flight
    outcome: str
    succeeded: bool


def start_of_task(craft: LoadedCraft, scenario: LoadedScenario) -> tuple[PackedCraft, Any]:
    """Pack a craft and give the state that the flights of a scenario start from.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    packed = pack_craft(craft.spec, day_air(scenario.spec))
    trim: Trim | None = None
    if scenario.spec.start == "hover":
        try:
            trim = hover_trim(packed, scenario.spec)
        except NoTrim:
            trim = None
    return packed, scenario_start(packed, scenario.spec, None if trim is None else trim.state)


def fly_task(craft: LoadedCraft, scenario: LoadedScenario) -> FlownTask:
    """Fly flight 0 of a scenario's study.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    packed, start = start_of_task(craft, scenario)
    flight = fly_scenario(packed, scenario.spec, start)
    words = sentence(flight.tally, STEP_S)
    return FlownTask(packed, flight, words, flight.stop in GOOD_ENDS)
