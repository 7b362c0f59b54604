"""Find the highest wind that passes: halve the interval, and spend flights where it is close.

A wind passes when its flights show, at one of the looks planned, that the success probability is at
least what is asked. The doubt that the answer may have, 1 - confidence, is shared among the winds
that halving can meet, `tests` of them, and within each among its looks.

Why the answer holds with the confidence stated, whatever ties the flights in different winds (they
share their gusts), if the probability does not rise with the wind: call a wind bad when its
probability is below what is asked. As long as no bad wind has passed and no good one failed, the
path of the halving is fixed, so at each of its levels there is one fixed bad wind at most that
could pass, with a chance of doubt / tests. Once a good wind has failed, only slower winds are
tried, and those are all good. So some bad wind passes with a chance of the doubt at most.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.binomial_bounds import lower_bound, upper_bound
from sim.analysis.looks import Look, looks_for
from sim.analysis.wind_flights import Wind, WindFlights
from sim.flight.rows import succeeded

FIRST_STAGE: Final = 8
HOPELESS: Final = 0.95
"""[1] Confidence of the upper bound below which a wind is given up; it costs nothing to be wrong
there but a lower limit."""

Told = Callable[[str], None]


@final
@dataclass(frozen=True)
class Tested:
    """One wind that was judged.

    Attributes
    ----------
    wind : Wind
    flights : int
        Flown until it was decided.
    passes : bool
    sure : float
        [1] Greatest lower bound that a look gave; 0 when none was reached.
    """

    wind: Wind
    flights: int
    passes: bool
    sure: float


@final
@dataclass(frozen=True)
class Question:
    """What is asked of the winds.

    Attributes
    ----------
    success, confidence : float
        [1] Share of flights that must succeed, and how sure that must be.
    grid_m_s : tuple of float
        [m/s] Winds that may be tried, rising.
    from_rad : float
        [rad] Direction of all of them.
    most_flights : int
        In one wind, unless even a single look takes more.
    """

    success: float
    confidence: float
    grid_m_s: tuple[float, ...]
    from_rad: float
    most_flights: int

    @property
    def tests(self) -> int:
        """Most winds that halving can meet."""
        return math.ceil(math.log2(len(self.grid_m_s) + 1))

    @property
    def looks(self) -> tuple[Look, ...]:
        """The looks at each wind."""
        doubt = (1.0 - self.confidence) / self.tests
        return looks_for(self.success, doubt, self.most_flights)


def wind_grid(highest_m_s: float, step_m_s: float) -> tuple[float, ...]:
    """Give still air, then winds a step apart, then the highest itself."""
    count = math.floor(highest_m_s / step_m_s + 1e-9)
    grid = [step_m_s * k for k in range(count + 1)]
    if highest_m_s - grid[-1] > 1e-6:  # noqa: PLR2004 - rounding
        grid.append(highest_m_s)
    return tuple(grid)


def stages(looks: tuple[Look, ...]) -> list[int]:
    """Give the numbers of flights after which to stop and think: the looks, and 8, 16, 32 ..."""
    ends = {look.flights for look in looks}
    stage = FIRST_STAGE
    while stage < looks[-1].flights:
        ends.add(stage)
        stage *= 2
    return sorted(ends)


def judge(fly: WindFlights, wind: Wind, question: Question, told: Told) -> Tested:
    """Fly in a wind until it passes, or until that is out of reach.

    Fewer failures among the same flights never turn a pass into a failure.
    """
    looks = {look.flights: look for look in question.looks}
    last = question.looks[-1]
    sure = 0.0
    for flights in stages(question.looks):
        told(f"{wind.mean_m_s:.2f} m/s: {flights} flights of at most {last.flights}")
        good = int(np.count_nonzero(succeeded(fly.rows(wind, flights))))
        look = looks.get(flights)
        if look is not None:
            sure = max(sure, lower_bound(good, flights, look.confidence))
            if flights - good <= look.failures:
                return Tested(wind, flights, passes=True, sure=sure)
        out_of_reach = flights - good > last.failures
        if out_of_reach or upper_bound(good, flights, HOPELESS) < question.success:
            break
    return Tested(wind, flights, passes=False, sure=sure)


def search(fly: WindFlights, question: Question, told: Told) -> tuple[float | None, list[Tested]]:
    """Halve the grid until a wind that passes stands beside one that does not.

    Parameters
    ----------
    fly : WindFlights
    question : Question
    told : callable
        Told what is being flown.

    Returns
    -------
    limit : float or None
        [m/s] Highest wind found to pass; None when still air does not.
    tested : list of Tested
        Every wind judged, in the order in which it was.
    """
    grid = question.grid_m_s
    good, bad = -1, len(grid)
    tested: list[Tested] = []
    while bad - good > 1:
        middle = (good + bad) // 2
        tested.append(judge(fly, Wind(grid[middle], question.from_rad), question, told))
        if tested[-1].passes:
            good = middle
        else:
            bad = middle
    return (None if good < 0 else grid[good]), tested


def neighbours(grid_m_s: tuple[float, ...], limit_m_s: float | None) -> list[float]:
    """Give the winds of a grid from the nearest to the limit outwards, the one above it first."""
    at = -1 if limit_m_s is None else bisect_left(grid_m_s, limit_m_s)
    order = sorted(range(len(grid_m_s)), key=lambda k: (abs(k - at - 0.25), k))
    return [grid_m_s[k] for k in order]
