"""The curve of success against wind: best monotone fit, and whether monotone is what it looks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression
from scipy.special import bdtrc

from sim.analysis.wind_result import Reversal
from sim.params.record import FloatArray

DOUBT = 0.05


def monotone_shares(successes: Sequence[int], flights: Sequence[int]) -> FloatArray:
    """Give the most likely success probabilities that do not rise with the wind.

    Pool-adjacent-violators on the shares, weighted by the flights: the maximum-likelihood estimate
    for binomial counts under that order.

    Parameters
    ----------
    successes, flights : sequence of int, shape (winds,)
        Slowest wind first.

    Returns
    -------
    ndarray, shape (winds,)
        [1] Not rising.

    References
    ----------
    Robertson, T., Wright, F. T. and Dykstra, R. L. (1988), Order Restricted Statistical Inference,
    theorem 1.5.1 and example 1.5.1.
    """
    counts = np.asarray(flights, dtype=np.float64)
    shares = np.asarray(successes, dtype=np.float64) / counts
    fitted: FloatArray = isotonic_regression(shares, weights=counts, increasing=False).x
    return fitted


def crossing_m_s(winds_m_s: Sequence[float], shares: FloatArray, success: float) -> float | None:
    """Give the wind at which a curve that does not rise falls below a success probability.

    Parameters
    ----------
    winds_m_s : sequence of float, shape (winds,)
        [m/s] Slowest first.
    shares : ndarray, shape (winds,)
        [1] Not rising.
    success : float
        [1] Asked.

    Returns
    -------
    float or None
        [m/s] On the straight line between the last wind at or above it and the next; None when the
        curve never falls below, or begins there.
    """
    below = np.flatnonzero(shares < success)
    if below.size == 0 or below[0] == 0:
        return None
    k = int(below[0])
    part = (shares[k - 1] - success) / (shares[k - 1] - shares[k])
    return float(winds_m_s[k - 1] + part * (winds_m_s[k] - winds_m_s[k - 1]))


def reversals(
    winds_m_s: Sequence[float], outcomes: Sequence[NDArray[np.bool_]]
) -> tuple[Reversal, ...]:
    """Find pairs of winds of which the faster did significantly better.

    Flights of one number have the same gusts in every wind, so that the pair is compared by the
    flights that ended well in one of the two alone: McNemar's test, exact, with the doubt of 5 %
    shared among all pairs.

    Parameters
    ----------
    winds_m_s : sequence of float, shape (winds,)
        [m/s] Slowest first.
    outcomes : sequence of ndarray of bool
        Which of flights 0, 1, ... succeeded in each wind.

    Returns
    -------
    tuple of Reversal
        The clearest first.

    References
    ----------
    McNemar, Q. (1947), Note on the sampling error of the difference between correlated proportions
    or percentages, Psychometrika 12.
    """
    found = []
    pairs = list(combinations(range(len(winds_m_s)), 2))
    for slow, fast in pairs:
        common = min(len(outcomes[slow]), len(outcomes[fast]))
        one, other = outcomes[slow][:common], outcomes[fast][:common]
        better, worse = int(np.sum(other & ~one)), int(np.sum(one & ~other))
        if better <= worse:
            continue
        chance = float(bdtrc(better - 1, better + worse, 0.5)) * len(pairs)
        if chance < DOUBT:
            found.append(Reversal(winds_m_s[slow], winds_m_s[fast], better, worse, chance))
    return tuple(sorted(found, key=lambda reversal: reversal.chance))
