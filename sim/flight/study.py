"""A study: plans flown by a crew, their rows kept in a folder or handed on and forgotten."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, final

import numpy as np

from sim.flight.crew import Crew, LocalCrew, in_order, split
from sim.flight.identity import StudyIdentity
from sim.flight.plan import Part, Plan
from sim.flight.rows import Rows
from sim.flight.store import StudyFolder, missing_parts, opened, part_size

SMALL_PART: Final = 8

Ended = Callable[[int], None]


def _nobody(_flights: int) -> None:
    """Tell nobody."""


@final
@dataclass
class Study:
    """Where flights come from: flown now, or read when they were flown before.

    Attributes
    ----------
    crew : Crew
    folder : StudyFolder or None
        Without one, rows are not kept.
    flown : int
        Flights flown by this process so far.
    """

    crew: Crew = field(default_factory=LocalCrew)
    folder: StudyFolder | None = None
    flown: int = 0

    def rows(self, plan: Plan, flights: int, ended: Ended = _nobody) -> Iterator[Rows]:
        """Give the rows of flights 0 to `flights` - 1 in order, some at a time.

        How they are cut depends on `flights` (and the folder) alone, not on crew or history.

        Parameters
        ----------
        plan : Plan
        flights : int
        ended : callable, optional
            Told the number of flights that have just ended, those found in the folder included.
        """
        if self.folder is None:
            parts = list(missing_parts((), flights, part_size(flights)))
            for part, rows in in_order(self.crew.fly(plan.ready(), parts), parts):
                self._count(part, ended)
                yield rows
            return
        missing = list(self.folder.missing(plan.name, flights))
        ended(flights - sum(part.flights for part in missing))
        for part, rows in self.crew.fly(plan.ready(), missing) if missing else ():
            self.folder.write(plan.name, part, rows)
            self._count(part, ended)
        yield from self.folder.cells(plan.name, flights)

    def continued(self, plan: Plan, before: Rows, flights: int) -> Rows:
        """Give the rows of flights 0 to `flights` - 1, when those of the first few are at hand."""
        if self.folder is not None:
            return np.concatenate(list(self.rows(plan, flights)))
        new = Part(len(before), flights - len(before))
        parts = list(split((new,), SMALL_PART))
        later = [rows for _, rows in in_order(self.crew.fly(plan.ready(), parts), parts)]
        self.flown += new.flights
        return np.concatenate([before, *later])

    def _count(self, part: Part, ended: Ended) -> None:
        self.flown += part.flights
        ended(part.flights)


@contextmanager
def study_in(
    folder: Path | None,
    identity: StudyIdentity,
    flights: int,
    crew: Crew | None = None,
    part_flights: int | None = None,
) -> Iterator[Study]:
    """Open a study for its flights.

    Parameters
    ----------
    folder : Path or None
        Where rows are kept; None: nowhere.
    identity : StudyIdentity
        See `sim.flight.store.opened` for what is refused.
    flights : int
        About how many.
    crew : Crew, optional
        The cores of this machine by default.
    part_flights : int, optional
        Flights a part of a new study holds; from their number by default.
    """
    if folder is None:
        yield Study(crew or LocalCrew())
        return
    with opened(folder, identity, part_flights or part_size(flights)) as kept:
        yield Study(crew or LocalCrew(), kept)
