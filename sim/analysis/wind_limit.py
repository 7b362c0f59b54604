"""Question 4, how much wind: the highest wind in which enough flights succeed, surely enough.

Every wind flies the same flight numbers, so that their gusts have the same shape (common random
numbers): what changes between winds is the wind.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Final, final

import numpy as np

from sim.analysis.binomial_bounds import two_sided_bounds, upper_bound
from sim.analysis.static_wind import static_bound_m_s
from sim.analysis.wind_causes import at_and_above, broken_flights, failures_of, ranked_causes
from sim.analysis.wind_curve import crossing_m_s, monotone_shares, reversals
from sim.analysis.wind_direction import closeness, worst_direction
from sim.analysis.wind_flights import SCAN_FIRST, StudyFlights, Wind, WindFlights
from sim.analysis.wind_heights import forecast_ratio, gust_over_mean, height_ratio
from sim.analysis.wind_result import WindAnswer, WindPoint
from sim.analysis.wind_search import Question, Tested, Told, neighbours, search, wind_grid
from sim.flight.rows import Rows, succeeded
from sim.flight.study import Study
from sim.pack.craft import PackedCraft
from sim.pack.flight import flight_height_m
from sim.params.record import FloatArray
from sim.spec.scenario import ScenarioSpec

HIGHEST_TRIED_M_S: Final = 16.0
CAP_DOUBT: Final = 0.05

Progress = Callable[[str, float | None], None]


@final
@dataclass(frozen=True)
class Effort:
    """How much is flown to find a limit.

    Attributes
    ----------
    flights : int
        About so many in all; halving may take more.
    most_flights : int
        In one wind, unless even one look takes more.
    step_m_s : float
        [m/s] Between winds.
    """

    flights: int
    most_flights: int
    step_m_s: float

    @classmethod
    def of(cls, flights: int) -> Effort:
        """Give what can be done with a number of flights: a quarter of them in one wind at most."""
        return cls(flights, max(flights // 4, 1), 0.25)


QUICK: Final = Effort(flights=300, most_flights=100, step_m_s=0.5)


@final
@dataclass
class Found:
    """What flying in many winds from one direction found.

    Attributes
    ----------
    limit_m_s : float or None
        [m/s] At the scenario's wind height; None when still air does not pass.
    tested : dict of float to Tested
        Winds that were judged.
    rows : dict of float to rows
        Of every wind [m/s] that was flown.
    """

    limit_m_s: float | None
    tested: dict[float, Tested]
    rows: dict[float, Rows]

    @property
    def winds(self) -> list[float]:
        """Winds flown, slowest first."""
        return sorted(self.rows)

    @property
    def flights(self) -> int:
        """Flights flown in all."""
        return sum(len(rows) for rows in self.rows.values())

    def good(self, wind: float) -> int:
        """Give how many flights succeeded in a wind."""
        return int(np.count_nonzero(succeeded(self.rows[wind])))

    @property
    def fitted(self) -> FloatArray:
        """Success probabilities of the best curve that does not rise, by wind."""
        winds = self.winds
        return monotone_shares([self.good(w) for w in winds], [len(self.rows[w]) for w in winds])

    def shown_to_fail(self, success: float) -> list[float]:
        """Give the winds up to the limit whose success probability is surely too low, if any."""
        confidence = 1.0 - CAP_DOUBT / len(self.rows)
        return [
            wind
            for wind in self.winds
            if self.limit_m_s is not None
            and wind <= self.limit_m_s
            and upper_bound(self.good(wind), len(self.rows[wind]), confidence) < success
        ]


def find_limit(fly: WindFlights, question: Question, effort: Effort, told: Told) -> Found:
    """Search the limit, then spend what is left on the winds around it.

    Should a wind slower than the limit be shown to fail, there is nothing to rely on in between,
    and the search begins anew below it. That can only lower the limit.

    Parameters
    ----------
    fly : WindFlights
    question : Question
    effort : Effort
    told : callable
        Told what is being flown.
    """
    found = Found(None, {}, {})
    grid = question.grid_m_s

    def add(wind: float, flights: int) -> None:
        if len(found.rows.get(wind, ())) < flights:
            told(f"{wind:.2f} m/s: {flights} flights")
            found.rows[wind] = fly.rows(Wind(wind, question.from_rad), flights)

    def search_in(winds: tuple[float, ...]) -> None:
        found.limit_m_s, judged = search(fly, replace(question, grid_m_s=winds), told)
        for test in judged:
            found.tested[test.wind.mean_m_s] = test
            add(test.wind.mean_m_s, test.flights)

    search_in(grid)
    each = max(effort.most_flights // 4, 1)
    for wind in neighbours(grid, found.limit_m_s):
        if found.flights >= effort.flights:
            break
        add(wind, each)
    while found.fitted[-1] >= question.success and found.winds[-1] < grid[-1]:
        ahead = grid.index(found.winds[-1]) + round(1.0 / effort.step_m_s)
        add(grid[min(ahead, len(grid) - 1)], each)
    while failing := found.shown_to_fail(question.success):
        below = tuple(wind for wind in grid if wind < failing[0])
        if below:
            search_in(below)
        else:
            found.limit_m_s = None
    return found


def _points(found: Found, question: Question, ratio: float) -> tuple[WindPoint, ...]:
    """Give every wind flown as a point of the curve; times `ratio` it is that at flight height."""
    points = []
    for wind, fitted in zip(found.winds, found.fitted, strict=True):
        rows, tested = found.rows[wind], found.tested.get(wind)
        good = found.good(wind)
        bounds = two_sided_bounds(good, len(rows), question.confidence)
        failed = failures_of(rows)
        points.append(
            WindPoint(
                forecast_m_s=wind,
                wind_m_s=wind * ratio,
                flights=len(rows),
                successes=good,
                lower=bounds.lower,
                upper=bounds.upper,
                one_sided_lower=0.0 if tested is None else tested.sure,
                causes=tuple(Counter(words for words, _ in failed).most_common()),
                first_failure=failed[0][1] if failed else None,
                judged=tested is not None,
                monotone=float(fitted),
            )
        )
    return tuple(points)


@final
class _Teller:
    """Counts flights and tells how far along they are."""

    def __init__(self, progress: Progress | None, study: Study, expected: int) -> None:
        self.progress, self.study, self.expected = progress, study, expected

    def __call__(self, sentence: str) -> None:
        if self.progress is not None:
            self.progress(sentence, min(self.study.flown / self.expected, 0.99))


def _answer(
    packed: PackedCraft, scenario: ScenarioSpec, question: Question, found: Found
) -> WindAnswer:
    """Put what was found in the words of question 4."""
    ratio, limit = height_ratio(scenario), found.limit_m_s
    points = _points(found, question, ratio)
    causes = ranked_causes(at_and_above(found.rows, limit))
    above = [p for p in points if p.causes and (limit is None or p.forecast_m_s >= limit)]
    broken = broken_flights(found.rows)
    return WindAnswer(
        limit_forecast_m_s=limit,
        limit_m_s=None if limit is None else limit * ratio,
        gust_m_s=None if limit is None else limit * ratio * gust_over_mean(scenario),
        static_bound_m_s=static_bound_m_s(packed),
        is_bounded=limit is not None and limit >= question.grid_m_s[-1],
        first_cause=above[0].causes[0][0] if above else "",
        points=points,
        asked_success=question.success,
        asked_confidence=question.confidence,
        flight_s=scenario.duration_s,
        wind_height_m=scenario.wind.at_height_m,
        flight_height_m=flight_height_m(scenario),
        terrain=scenario.wind.terrain,
        seed=scenario.seed,
        flights=found.flights,
        not_finite=len(broken),
        estimate_forecast_m_s=crossing_m_s(found.winds, found.fitted, question.success),
        from_rad=question.from_rad,
        causes=causes,
        reversals=reversals(found.winds, [succeeded(found.rows[w]) for w in found.winds]),
        broken=broken,
        tests=question.tests,
        looks=len(question.looks),
        at_10_m_m_s=None if limit is None else limit * forecast_ratio(scenario),
    )


def wind_answer(
    packed: PackedCraft,
    scenario: ScenarioSpec,
    start: Any,
    *,
    progress: Progress | None = None,
    effort: Effort = QUICK,
    study: Study | None = None,
    directions: bool = False,
    known: StudyFlights | None = None,
) -> WindAnswer:
    """Find the highest mean wind in which the asked share of flights succeeds.

    Parameters
    ----------
    packed, scenario : what flies, and how
    start : ndarray of one state record
        Hover in still air, or a stand on the ground.
    progress : callable, optional
        Told a sentence and the share done, 0 to 1.
    effort : Effort
        How much to fly.
    study : Study, optional
        Where flights come from; flown on the cores of this machine and forgotten by default.
    directions : bool
        Look for the worst direction of the wind as well, and answer for that one.
    known : StudyFlights, optional
        Flights of this craft and scenario, from which it takes those that were flown before and
        which keeps those that it flies; instead of `study`.
    """
    study = known.study if known is not None else study or Study()
    bound = static_bound_m_s(packed)
    highest = math.floor(100.0 * min(HIGHEST_TRIED_M_S, bound / height_ratio(scenario))) / 100.0
    grid = wind_grid(highest, effort.step_m_s)
    limits = scenario.limits
    question = Question(
        limits.success, limits.confidence, grid, scenario.wind.from_rad, effort.most_flights
    )
    told = _Teller(progress, study, (3 if directions else 1) * effort.flights)
    fly = known or StudyFlights(packed, scenario, start, study)
    answer = _answer(packed, scenario, question, find_limit(fly, question, effort, told))
    if not directions or len(grid) == 1:
        return answer
    limit = answer.limit_forecast_m_s
    tried_m_s = max(limit or 0.0, grid[1])
    scan = StudyFlights(packed, scenario, start, study, SCAN_FIRST)

    def close(rows: Rows) -> Any:
        return closeness(rows, limits, scenario.duration_s)

    found = worst_direction(scan, tried_m_s, question.from_rad, close, told)
    asked = replace(answer, directions=found)
    if found[0].from_rad == question.from_rad:
        return asked
    question = replace(question, from_rad=found[0].from_rad)
    worst = _answer(packed, scenario, question, find_limit(fly, question, effort, told))
    if limit is not None and (worst.limit_forecast_m_s or 0.0) >= limit:
        return asked
    return replace(
        worst,
        directions=found,
        asked_from_rad=scenario.wind.from_rad,
        asked_limit_forecast_m_s=limit,
    )
