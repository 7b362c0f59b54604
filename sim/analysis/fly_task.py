"""One flight of a scenario, from the ground or from a settled hover, with its outcome in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final

from sim.analysis.fly_study import prepare
from sim.flight.fabric_hit import fabric_hit
from sim.flight.outcome import sentence
from sim.flight.plan import Part
from sim.flight.results import GOOD_ENDS, Flight
from sim.flight.run import fly
from sim.pack.craft import PackedCraft
from sim.pack.flight import STEP_S
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


def fly_task(craft: LoadedCraft, scenario: LoadedScenario, number: int = 0) -> FlownTask:
    """Fly one flight of a scenario's study, with its history.

    Parameters
    ----------
    craft, scenario : as loaded
    number : int
        Of the flight; it ends with the same bits as it did among the others.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    ready = prepare(craft, scenario)
    made = ready.plan(ready.wind).made(Part(number, 1))
    flight = fly(made.crafts[0], made.flights[0], made.states)
    words = sentence(flight.tally, STEP_S, fabric_hit(ready.packed, flight.tally))
    return FlownTask(ready.packed, flight, words, flight.stop in GOOD_ENDS)
