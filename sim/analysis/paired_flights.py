"""Two crafts in the same gusts: by how much one bears more wind, and how sure that is.

Flights of one number have the same gusts for both crafts, so that what they share cancels in the
difference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import final

import numpy as np
from numpy.typing import NDArray
from scipy.stats import bootstrap

from sim.analysis.wind_curve import crossing_m_s, monotone_shares

RESAMPLES = 2000
CONFIDENCE = 0.95

Outcomes = NDArray[np.bool_]
"""Which flights succeeded, shape (winds, flights)."""


@final
@dataclass(frozen=True)
class PairedLimits:
    """Wind limits of two crafts and their difference, by the same flights.

    Attributes
    ----------
    winds_m_s : tuple of float
        [m/s] Forecasts flown, slowest first.
    flights : int
        In each wind, for each craft.
    first_m_s, second_m_s : float
        [m/s] Where the monotone curve of each falls below the asked success, as an estimate
        without a bound; the slowest or the fastest wind flown when it does so outside of them.
    difference_m_s, low_m_s, high_m_s : float
        [m/s] Second less first, and its interval.
    confidence : float
        [-] Of the interval.
    first_successes, second_successes : tuple of int
        In each wind.
    is_cut : bool
        One of the curves falls outside of the winds flown, so that the difference is at least so
        large.
    """

    winds_m_s: tuple[float, ...]
    flights: int
    first_m_s: float
    second_m_s: float
    difference_m_s: float
    low_m_s: float
    high_m_s: float
    confidence: float
    first_successes: tuple[int, ...]
    second_successes: tuple[int, ...]
    is_cut: bool

    @property
    def is_certain(self) -> bool:
        """Whether the interval leaves out zero."""
        return self.low_m_s > 0.0 or self.high_m_s < 0.0


def estimated_limit_m_s(
    winds_m_s: Sequence[float], successes: NDArray[np.int64], flights: int, success: float
) -> float:
    """Give where a success curve falls below what is asked [m/s], kept within the winds flown."""
    shares = monotone_shares(successes.tolist(), [flights] * len(winds_m_s))
    found = crossing_m_s(winds_m_s, shares, success)
    if found is not None:
        return found
    return float(winds_m_s[0] if shares[0] < success else winds_m_s[-1])


def paired_limits(
    winds_m_s: Sequence[float],
    first: Outcomes,
    second: Outcomes,
    success: float,
    *,
    seed: int = 1,
) -> PairedLimits:
    """Compare the wind limits of two crafts flown in the same gusts.

    The interval is that of the percentile bootstrap over flight numbers: a number that is drawn
    brings the outcomes of both crafts in every wind with it (Efron and Tibshirani 1993, An
    Introduction to the Bootstrap, chapters 8 and 13).

    Parameters
    ----------
    winds_m_s : sequence of float, shape (winds,)
        [m/s] Slowest first.
    first, second : ndarray of bool, shape (winds, flights)
        Which flights succeeded; the same number is the same gusts.
    success : float
        [-] Share of flights that must succeed.
    seed : int
        Of the resampling.
    """
    flights = first.shape[1]

    def difference(numbers: NDArray[np.int64]) -> float:
        limits = [
            estimated_limit_m_s(winds_m_s, one[:, numbers].sum(axis=1), flights, success)
            for one in (first, second)
        ]
        return limits[1] - limits[0]

    drawn = bootstrap(
        (np.arange(flights),),
        difference,
        n_resamples=RESAMPLES,
        vectorized=False,
        confidence_level=CONFIDENCE,
        method="percentile",
        rng=seed,
    )
    low, high = drawn.confidence_interval
    counts = [one.sum(axis=1) for one in (first, second)]
    found = [estimated_limit_m_s(winds_m_s, count, flights, success) for count in counts]
    return PairedLimits(
        winds_m_s=tuple(float(wind) for wind in winds_m_s),
        flights=flights,
        first_m_s=found[0],
        second_m_s=found[1],
        difference_m_s=found[1] - found[0],
        low_m_s=float(low),
        high_m_s=float(high),
        confidence=CONFIDENCE,
        first_successes=tuple(int(count) for count in counts[0]),
        second_successes=tuple(int(count) for count in counts[1]),
        is_cut=any(limit in (winds_m_s[0], winds_m_s[-1]) for limit in found),
    )
