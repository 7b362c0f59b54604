"""Several crafts on the same day: six answers each, and paired flights where they can fly."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import final

import numpy as np

from sim.analysis.check import Progress, check_craft, hover_trim, scenario_start
from sim.analysis.check_result import CheckResult
from sim.analysis.paired_flights import Outcomes, PairedLimits, paired_limits
from sim.analysis.trim import Trim
from sim.analysis.wind_flights import StudyFlights, Wind
from sim.analysis.wind_limit import QUICK, Effort
from sim.errors import NoTrim
from sim.flight.rows import succeeded
from sim.flight.study import Study
from sim.spec.files import LoadedCraft, LoadedScenario

PAIRED_FLIGHTS = 60
STEP_M_S = 0.5
MOST_WINDS = 12
BEYOND = 1.35


@final
@dataclass(frozen=True)
class Comparison:
    """Crafts side by side.

    Attributes
    ----------
    results : tuple of CheckResult
        As `check` gives them, in the order asked.
    pairs : tuple of PairedLimits or None
        Of each craft but the first against the first; None where one of the two cannot fly.
    best : int
        Index of the craft that is ahead.
    decides : str
        What decides, in a sentence.
    passes : bool
        The craft that is ahead passes.
    """

    results: tuple[CheckResult, ...]
    pairs: tuple[PairedLimits | None, ...]
    best: int
    decides: str
    passes: bool


def winds_to_fly(limits_m_s: Sequence[float | None]) -> tuple[float, ...]:
    """Give the winds [m/s] in which crafts with these limits are to be compared.

    In half metres a second or coarser, from still air to a third above the greatest limit.

    Parameters
    ----------
    limits_m_s : sequence of float or None
        [m/s] Wind limits as far as known.
    """
    most = BEYOND * max([limit for limit in limits_m_s if limit is not None], default=2.0) + 1.0
    step = max(STEP_M_S, math.ceil(most / MOST_WINDS / STEP_M_S) * STEP_M_S)
    return tuple(float(wind) for wind in np.arange(0.0, most + step / 2.0, step))


def can_fly(result: CheckResult) -> bool:
    """Whether gust flights mean anything for a craft: it lifts and holds itself upright."""
    return result.wind is not None


def outcomes_in(
    result: CheckResult, winds_m_s: Sequence[float], flights: int, told: Callable[[str], None]
) -> Outcomes:
    """Fly a craft in several winds, the same numbered gusts in each.

    Parameters
    ----------
    result : CheckResult
        Of the craft.
    winds_m_s : sequence of float
        [m/s] Forecasts.
    flights : int
        In each.
    told : callable
        Told what is flown.

    Returns
    -------
    ndarray of bool, shape (winds, flights)
        Which flights succeeded.
    """
    scenario = result.scenario.spec
    trim: Trim | None
    try:
        trim = hover_trim(result.packed, scenario)
    except NoTrim:
        trim = None
    start = scenario_start(result.packed, scenario, None if trim is None else trim.state)
    study = StudyFlights(result.packed, scenario, start, Study())
    rows = []
    for wind in winds_m_s:
        told(f"flying {result.craft.spec.name} in {wind:.1f} m/s")
        rows.append(succeeded(study.rows(Wind(wind, scenario.wind.from_rad), flights)))
    return np.stack(rows)


def _limit(result: CheckResult) -> float | None:
    return None if result.wind is None else result.wind.limit_forecast_m_s


def compare_crafts(
    crafts: Sequence[LoadedCraft],
    scenario: LoadedScenario,
    *,
    flights: int = PAIRED_FLIGHTS,
    effort: Effort = QUICK,
    progress: Progress | None = None,
) -> Comparison:
    """Check several crafts on the same day and compare them.

    Parameters
    ----------
    crafts : sequence of LoadedCraft
        At least two; the first is what the others are held against.
    scenario : LoadedScenario
        For all.
    flights : int
        In each wind, for each craft, for the paired differences.
    effort : Effort
        Of the check of each craft.
    progress : callable, optional
        Told a sentence and the share done, or None.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    results: list[CheckResult] = []
    for craft in crafts:

        def tell(sentence: str, share: float | None, name: str = craft.spec.name) -> None:
            if progress is not None:
                progress(f"{name}: {sentence}", share)

        results.append(check_craft(craft, scenario, progress=tell, effort=effort))
    winds = winds_to_fly([_limit(result) for result in results])

    def told(sentence: str) -> None:
        if progress is not None:
            progress(sentence, None)

    flown = [
        outcomes_in(result, winds, flights, told) if can_fly(result) else None for result in results
    ]
    success = scenario.spec.limits.success
    pairs = tuple(
        paired_limits(winds, flown[0], other, success)
        if flown[0] is not None and other is not None
        else None
        for other in flown[1:]
    )
    best, decides = _what_decides(results, pairs)
    return Comparison(tuple(results), pairs, best, decides, results[best].passes)


def _what_decides(
    results: Sequence[CheckResult], pairs: Sequence[PairedLimits | None]
) -> tuple[int, str]:
    """Give which craft is ahead, and why: who passes, who can fly, wind, then lift."""
    names = [result.craft.spec.name for result in results]
    passing = [i for i, result in enumerate(results) if result.passes]
    if len(passing) == 1:
        i = passing[0]
        others = "; ".join(
            f"{names[k]}: {result.verdict}" for k, result in enumerate(results) if k != i
        )
        return i, f"{names[i]} is the only one that passes ({others})."
    standing = passing or [i for i, result in enumerate(results) if can_fly(result)]
    if not standing:
        best = max(range(len(results)), key=lambda i: results[i].lift.thrust_to_weight)
        return best, (
            f"None of them can be flown; {names[best]} has the most thrust for its weight,"
            f" {results[best].lift.thrust_to_weight:.2f}."
        )
    ahead = {0: 0.0}
    for i, pair in enumerate(pairs, 1):
        if pair is not None:
            ahead[i] = pair.difference_m_s
    best = max(standing, key=lambda i: (ahead.get(i, -math.inf), -i))
    return best, _by_wind(names, pairs, best, standing)


def _by_wind(
    names: Sequence[str],
    pairs: Sequence[PairedLimits | None],
    best: int,
    standing: Sequence[int],
) -> str:
    """Say how far the wind decides between the craft that is ahead and the first or second."""
    other = 0 if best != 0 else next((i for i in standing if i != 0), None)
    pair = None if other is None else pairs[max(best, other) - 1]
    if other is None or pair is None:
        return f"{names[best]} is the only one of them that can be flown in wind."
    return sentence_by_wind(names[best], names[other], pair, ahead=1 if best != 0 else -1)


def sentence_by_wind(ahead_name: str, other_name: str, pair: PairedLimits, *, ahead: int) -> str:
    """Say by how much a craft bears more wind than another, or that this is not sure.

    Parameters
    ----------
    ahead_name, other_name : str
        Of the craft that is ahead and of the other.
    pair : PairedLimits
        Of both.
    ahead : int
        1 when the second of the pair is ahead, -1 when the first is.

    Returns
    -------
    str
        One sentence.
    """
    sign = float(ahead)
    low, high = sorted((sign * pair.low_m_s, sign * pair.high_m_s))
    by = sign * pair.difference_m_s
    interval = f"{100.0 * pair.confidence:.0f} % interval {_tenths(low)} to {_tenths(high)} m/s"
    if not pair.is_certain:
        return (
            f"Wind does not decide between {ahead_name} and {other_name}: in the same gusts they"
            f" differ by {_tenths(by)} m/s ({interval})."
        )
    decided = f"Wind decides: in the same gusts {ahead_name} bears"
    if pair.is_cut:
        # Beyond the winds flown nothing is known: the low end of the interval alone, rounded down.
        least = math.floor(10.0 * low) / 10.0
        return (
            f"{decided} at least {least:.1f} m/s more than {other_name} (low end of the"
            f" {100.0 * pair.confidence:.0f} % interval; how much more the winds flown, up to"
            f" {pair.winds_m_s[-1]:.1f} m/s, do not show)."
        )
    return f"{decided} {_tenths(by)} m/s more than {other_name} ({interval})."


def _tenths(value: float) -> str:
    """Write a number with one decimal and no minus before nothing."""
    return f"{round(value, 1) + 0.0:.1f}"
