"""What the flights of a study share: any flight can be made from the plan and its number alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol, final

import numpy as np
from numpy.typing import NDArray

from sim.flight.rows import Rows, rows_of
from sim.flight.start import blank_tally, blank_works
from sim.step.batch import fly_many


class Part(NamedTuple):
    """A run of flight numbers.

    Attributes
    ----------
    first : int
    flights : int
        How many.
    """

    first: int
    flights: int

    @property
    def end(self) -> int:
        """Number after the last."""
        return self.first + self.flights


class Made(NamedTuple):
    """Records of some flights, as the compiled loop takes them.

    Attributes
    ----------
    crafts : ndarray of craft records, shape (crafts,)
    craft_of : ndarray of int, shape (flights,)
        Which craft each flight flies.
    flights : ndarray of flight records, shape (flights,)
    states : ndarray of state records, shape (flights,)
        Starts; flying changes them.
    """

    crafts: Any
    craft_of: NDArray[np.int64]
    flights: Any
    states: Any


class Plan(Protocol):
    """Makes the records of any flights; the same number gives the same records."""

    @property
    def name(self) -> str:
        """What tells it from the other plans of its study; fit for a folder's name."""
        ...

    def ready(self) -> Plan:
        """Give the plan with all work done that its flights share, such as settling in a wind."""
        ...

    def made(self, part: Part) -> Made:
        """Give the records of some flights."""
        ...


@final
@dataclass(frozen=True)
class OneCraftPlan:
    """Flights of one craft from one start; only their random numbers differ.

    Attributes
    ----------
    name : str
        Fit for a folder's name.
    crafts : ndarray of one craft record
    flight : ndarray of one flight record
        Its own number is not used.
    start : ndarray of one state record
    first_number : int
        Added to the number of every flight.
    """

    name: str
    crafts: Any
    flight: Any
    start: Any
    first_number: int = 0

    def ready(self) -> OneCraftPlan:
        """Give the plan itself."""
        return self

    def made(self, part: Part) -> Made:
        """Give the records of some flights."""
        flights = np.repeat(self.flight, part.flights)
        flights["flight"] = self.first_number + np.arange(part.first, part.end)
        craft_of = np.zeros(part.flights, dtype=np.int64)
        return Made(self.crafts, craft_of, flights, np.repeat(self.start, part.flights))


@final
class LaterPlan:
    """A plan that is worked out once it is needed: not at all when its flights were flown before.

    Parameters
    ----------
    name : str
        Of the plan.
    work_out : callable
        Gives the plan, of the same name; called once.
    """

    def __init__(self, name: str, work_out: Callable[[], OneCraftPlan]) -> None:
        self.name = name
        self._work_out = work_out
        self._plan: OneCraftPlan | None = None

    def ready(self) -> OneCraftPlan:
        """Give the plan worked out."""
        if self._plan is None:
            self._plan = self._work_out()
        return self._plan

    def made(self, part: Part) -> Made:
        """Give the records of some flights."""
        return self.ready().made(part)


def fly_part(plan: Plan, part: Part) -> Rows:
    """Fly some flights to their ends, one after the other, and give their rows.

    The compiled loop releases the interpreter lock, so that threads fly parts side by side.

    Parameters
    ----------
    plan : Plan
    part : Part

    Returns
    -------
    ndarray of ROW_TYPE, shape (part.flights,)
    """
    made = plan.made(part)
    tallies = np.repeat(blank_tally(), part.flights)
    fly_many(made.crafts, made.craft_of, made.flights, made.states, blank_works(), tallies)
    return rows_of(made.flights, tallies)
