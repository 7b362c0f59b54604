"""Searches of the gain box, broad and then sharp, and what of all that was tried is worth choosing.

The broad search is CMA-ES (N. Hansen, The CMA Evolution Strategy: A Tutorial, arXiv:1604.00772, by
the library `cma` with its boundary transformation), the sharp one `sim.analysis.tune_sharpen`. One
search looks for the largest joint disk margin; the others give some of it up, step by step, for the
least drift in gusts and the least work of the controls.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, Final, final

import numpy as np

from sim.analysis.required_margins import RequiredMargins
from sim.analysis.tune_score import Figures
from sim.analysis.tune_sharpen import ACTIVITY_WEIGHT, Aim, Profiles, sharpened
from sim.params.record import FloatArray

Judge = Callable[[FloatArray], Figures]
"""Gives the figures of a point of the box."""

Told = Callable[[str], None]

KEPT_SHARES: Final = (0.95, 0.85, 0.7, 0.55)
FIRST_SPREAD: Final = 0.2
UNSTABLE: Final = 10.0
SHORT_WEIGHT: Final = 3.0
MERIT_WEIGHTS: Final = np.array([0.5, 1.0, 0.5])
_GROWTH_1_S: Final = 10.0
_NO_BETTER: Final = 0.002


@final
@dataclass(frozen=True)
class Effort:
    """How much is tried.

    Attributes
    ----------
    broad : int
        Candidates of the broad search for margin.
    rounds, iterations : int
        Most rounds of a sharp search for margin, and iterations of each.
    each_rounds, each_iterations : int
        Likewise of each search that gives margin up.
    """

    broad: int = 240
    rounds: int = 6
    iterations: int = 12
    each_rounds: int = 2
    each_iterations: int = 4


@final
@dataclass(frozen=True)
class Tried:
    """One candidate.

    Attributes
    ----------
    point : ndarray, shape (size,)
        In the box.
    figures : Figures
    """

    point: FloatArray
    figures: Figures


@final
@dataclass
class Search:
    """Tries candidates and keeps all of them.

    Parameters
    ----------
    judge : callable
        Must be free of side effects: candidates of a generation are judged side by side.
    required : RequiredMargins
    seed : int
    threads : int
    told : callable
        Told what is being done.
    profiles : callable, optional
        What the sharp search needs; without it there is none.
    """

    judge: Judge
    required: RequiredMargins
    seed: int = 1
    threads: int = 1
    told: Told = print
    profiles: Profiles | None = None
    tried: list[Tried] = field(default_factory=list)

    def look(self, point: FloatArray) -> Tried:
        """Judge a point and keep it."""
        self.tried.append(Tried(point, self.judge(point)))
        return self.tried[-1]

    def sharpen(
        self,
        cost: Callable[[Figures], float],
        aim: Aim,
        start: Tried,
        rounds: int,
        iterations: int,
    ) -> Tried:
        """Lower a cost from a candidate by the sharp search; give the best candidate passed.

        Parameters
        ----------
        cost : callable
            Decides which is best; should be least where the aim is met best.
        aim : Aim
        start : Tried
        rounds, iterations : int
            Rounds end early when one of them gains nothing.
        """
        best, least = start, cost(start.figures)
        if self.profiles is None:
            return best
        with ThreadPoolExecutor(self.threads) as pool:
            for _ in range(rounds):
                before = least
                for point in sharpened(
                    self.profiles, self.required, aim, best.point, iterations, pool.map
                ):
                    found = self.look(point)
                    if cost(found.figures) < least:
                        best, least = found, cost(found.figures)
                if before - least < _NO_BETTER:
                    break
        return best

    def minimise(
        self, cost: Callable[[Figures], float], start: FloatArray, spread: float, candidates: int
    ) -> Tried:
        """Minimise a cost from a point of the box; give the best candidate of this search.

        Parameters
        ----------
        cost : callable
        start : ndarray, shape (size,)
        spread : float
            [-] First standard deviation, of the box.
        candidates : int
            To try.
        """
        import cma  # noqa: PLC0415 - a library that only tuning needs

        options: dict[str, Any] = {
            "bounds": [0.0, 1.0],
            "seed": self.seed,
            "maxfevals": candidates,
            "verbose": -9,
            "verb_log": 0,
            "tolx": 1e-4,
            "tolfun": 1e-5,
        }
        best, least = Tried(start, self.judge(start)), math.inf
        least = cost(best.figures)
        self.tried.append(best)
        strategy = cma.CMAEvolutionStrategy(np.clip(start, 0.01, 0.99), spread, options)
        with ThreadPoolExecutor(self.threads) as pool:
            while not strategy.stop():
                points = [np.asarray(point) for point in strategy.ask()]
                found = [
                    Tried(point, figures)
                    for point, figures in zip(points, pool.map(self.judge, points), strict=True)
                ]
                self.tried += found
                costs = [cost(one.figures) for one in found]
                strategy.tell(points, costs)
                k = int(np.argmin(costs))
                if costs[k] < least:
                    best, least = found[k], costs[k]
        return best


def margin_cost(figures: Figures, required: RequiredMargins) -> float:
    """Give a cost that falls with the joint disk margin, once what is asked is met."""
    if not figures.stable:
        return UNSTABLE + math.log1p(max(figures.growth_1_s, 0.0) / _GROWTH_1_S)
    short = max(figures.shortfall(required) - 1.0, 0.0)
    return SHORT_WEIGHT * min(short, 3.0) - figures.disk


def steady_cost(
    figures: Figures, required: RequiredMargins, least_disk: float, gust_m: float, activity: float
) -> float:
    """Give a cost that falls with drift and work of the controls while a disk margin is kept.

    Drift and activity count in logarithms, relative to given ones, the second a quarter as much.
    """
    if not figures.stable:
        return 2.0 * UNSTABLE + margin_cost(figures, required)
    short = max(figures.shortfall(required) - 1.0, 0.0) + max(
        least_disk / max(figures.disk, 1e-6) - 1.0, 0.0
    )
    drift = math.log(figures.gust_m / gust_m)
    work = math.log(figures.activity / activity)
    return SHORT_WEIGHT * min(short, 3.0) * 2.0 + drift + ACTIVITY_WEIGHT * work


def searched(search: Search, own: FloatArray, usual: Sequence[FloatArray], effort: Effort) -> Tried:
    """Run all searches; give the candidate with the largest joint disk margin.

    Where own gains are worse than all of the usual ones, the end does not depend on them.

    Parameters
    ----------
    search : Search
        Keeps all candidates, own gains first.
    own : ndarray, shape (size,)
        The craft's own gains.
    usual : sequence of ndarray
        Points that suit any craft to begin with.
    effort : Effort
    """

    def margin(figures: Figures) -> float:
        return margin_cost(figures, search.required)

    search.told("looking for margin")
    begun = [search.look(point) for point in (own, *usual)]
    first = min(begun, key=lambda one: margin(one.figures))
    start = min(begun[1:] or begun, key=lambda one: margin(one.figures))
    broad = search.minimise(margin, first.point, FIRST_SPREAD, effort.broad)
    ends = [
        search.sharpen(margin, Aim(), one, effort.rounds, effort.iterations)
        for one in (start, broad)
    ]
    best = min(ends, key=lambda one: margin(one.figures))
    for share in KEPT_SHARES:
        search.told(f"looking for a steadier craft with {100.0 * share:.0f} % of that margin")
        keep = share * best.figures.disk
        scale = best.figures

        def steady(figures: Figures, keep: float = keep, scale: Figures = scale) -> float:
            return steady_cost(figures, search.required, keep, scale.gust_m, scale.activity)

        near = min(search.tried, key=lambda one, cost=steady: cost(one.figures))  # type: ignore[misc]
        aim = Aim(least_disk=keep)
        search.sharpen(steady, aim, near, effort.each_rounds, effort.each_iterations)
    return min(search.tried, key=lambda one: margin(one.figures))


def front(tried: Sequence[Tried], required: RequiredMargins) -> tuple[Tried, ...]:
    """Give the candidates that meet what is asked and that no other beats in all three figures.

    Largest disk margin first; disk margin, drift in gusts and work of the controls count.
    """
    passing = [one for one in tried if one.figures.shortfall(required) <= 1.0]
    if not passing:
        return ()
    table = np.array([[-t.figures.disk, t.figures.gust_m, t.figures.activity] for t in passing])
    kept = [
        k
        for k, row in enumerate(table)
        if not np.any(np.all(table <= row, axis=1) & np.any(table < row, axis=1))
    ]
    unique = {tuple(table[k]): passing[k] for k in kept}
    return tuple(sorted(unique.values(), key=lambda one: -one.figures.disk))


def by_merit(candidates: Sequence[Tried]) -> tuple[Tried, ...]:
    """Give candidates of a front from its knee outwards.

    The knee is nearest to the ideal that has the best of each figure: disk margin and the
    logarithms of drift and activity, each from 0 at its best to 1 at its worst on the front;
    drift, which seems to move the wind limit most, counts twice as much as the other two.
    """
    if not candidates:
        return ()
    table = np.array(
        [
            [-t.figures.disk, math.log(t.figures.gust_m), math.log(t.figures.activity)]
            for t in candidates
        ]
    )
    span = np.ptp(table, axis=0)
    scaled = (table - table.min(axis=0)) / np.where(span > 0.0, span, 1.0)
    far = np.linalg.norm(scaled * MERIT_WEIGHTS, axis=1)
    return tuple(candidates[k] for k in np.argsort(far, kind="stable"))
