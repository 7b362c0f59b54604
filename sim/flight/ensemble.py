"""Fly many flights on all cores; the same seed gives the same bits for any number of threads."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.flight.results import Ensemble
from sim.flight.start import blank_tally, blank_works
from sim.step.batch import fly_many

BLOCK = 4


def cores() -> int:
    """Give the number of cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def fly_ensemble(
    crafts: Any,
    craft_of: NDArray[np.int64],
    flights: Any,
    starts: Any,
    *,
    threads: int | None = None,
    progress: Callable[[int], None] | None = None,
) -> Ensemble:
    """Fly every flight from its start to its end.

    Parameters
    ----------
    crafts : ndarray of craft records, shape (crafts,)
    craft_of : ndarray of int, shape (flights,)
        Which craft each flight flies.
    flights : ndarray of flight records, shape (flights,)
    starts : ndarray of state records, shape (flights,)
        Copied, not changed.
    threads : int, optional
        Cores to use; all by default. The compiled code releases the interpreter lock.
    progress : callable, optional
        Told the number of flights that have just ended, from the calling thread.
    """
    count = len(flights)
    states = starts.copy()
    tallies = np.repeat(blank_tally(), count)

    def block(first: int) -> int:
        part = slice(first, min(first + BLOCK, count))
        fly_many(crafts, craft_of[part], flights[part], states[part], blank_works(), tallies[part])
        return part.stop - part.start

    with ThreadPoolExecutor(threads or cores()) as pool:
        for ended in pool.map(block, range(0, count, BLOCK)):
            if progress is not None:
                progress(ended)
    return Ensemble(tallies)
