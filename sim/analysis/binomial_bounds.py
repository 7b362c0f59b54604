"""Exact bounds on a success probability seen in a number of flights."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import final

from scipy.special import bdtr, betaincinv


@final
@dataclass(frozen=True)
class ProbabilityBounds:
    """Bounds on a probability.

    Attributes
    ----------
    lower, upper : float
        [1] From 0 to 1.
    """

    lower: float
    upper: float


def _check(successes: int, trials: int, confidence: float) -> None:
    if not (trials > 0 and 0 <= successes <= trials):
        message = f"{successes} successes of {trials} trials: need 0 <= successes <= trials, > 0"
        raise ValueError(message)
    _check_share("confidence", confidence)


def _check_share(name: str, value: float) -> None:
    if not 0.0 < value < 1.0:
        message = f"{name} is {value:g}, it must lie between 0 and 1"
        raise ValueError(message)


@lru_cache(maxsize=4096)
def lower_bound(successes: int, trials: int, confidence: float) -> float:
    """Give the one-sided lower bound of Clopper and Pearson.

    It is the probability p at which so many successes or more come with probability
    1 - confidence: the (1 - confidence) quantile of the beta distribution (k, n - k + 1).

    Parameters
    ----------
    successes : int
        [-] k, flights that passed.
    trials : int
        [-] n, flights in all.
    confidence : float
        [1] Between 0 and 1, such as 0.95.

    Returns
    -------
    float
        [1] The success probability is above this, with at least the confidence.

    References
    ----------
    Clopper, C. J. and Pearson, E. S. (1934), The use of confidence or fiducial limits illustrated
    in the case of the binomial, Biometrika 26.
    """
    _check(successes, trials, confidence)
    if successes == 0:
        return 0.0
    return float(betaincinv(successes, trials - successes + 1, 1.0 - confidence))


@lru_cache(maxsize=4096)
def upper_bound(successes: int, trials: int, confidence: float) -> float:
    """Give the one-sided upper bound of Clopper and Pearson.

    Parameters
    ----------
    successes : int
        [-] k, flights that passed.
    trials : int
        [-] n, flights in all.
    confidence : float
        [1] Between 0 and 1, such as 0.95.

    Returns
    -------
    float
        [1] The success probability is below this, with at least the confidence.

    References
    ----------
    Clopper and Pearson (1934), as in `lower_bound`.
    """
    _check(successes, trials, confidence)
    if successes == trials:
        return 1.0
    return float(betaincinv(successes + 1, trials - successes, confidence))


def two_sided_bounds(successes: int, trials: int, confidence: float) -> ProbabilityBounds:
    """Give the two-sided bounds of Clopper and Pearson, with equal shares outside.

    Parameters
    ----------
    successes : int
        [-] k, flights that passed.
    trials : int
        [-] n, flights in all.
    confidence : float
        [1] Between 0 and 1, such as 0.95.

    Returns
    -------
    ProbabilityBounds
        Holds the success probability with at least the confidence.

    References
    ----------
    Clopper and Pearson (1934), as in `lower_bound`.
    """
    _check(successes, trials, confidence)
    each_side = 1.0 - (1.0 - confidence) / 2.0
    return ProbabilityBounds(
        lower_bound(successes, trials, each_side), upper_bound(successes, trials, each_side)
    )


def flights_needed(success: float, confidence: float, failures: int = 0) -> int:
    """Give the fewest flights that can show a success probability, with so many failures.

    It is the least n for which at most `failures` failures of n come with a probability of at most
    1 - confidence when the success probability is only `success`; without failures,
    success^n <= 1 - confidence.

    Parameters
    ----------
    success : float
        [1] Success probability to be shown, between 0 and 1.
    confidence : float
        [1] Between 0 and 1.
    failures : int
        [-] Failures allowed among the flights, 0 or more.

    Returns
    -------
    int
        [-] Number of flights.
    """
    _check_share("success", success)
    _check_share("confidence", confidence)
    if failures < 0:
        message = f"failures is {failures}, it must be 0 or more"
        raise ValueError(message)
    doubt = 1.0 - confidence
    too_few, enough = failures, max(1, 2 * failures)
    while bdtr(failures, enough, 1.0 - success) > doubt * (1.0 + 1e-12):
        too_few, enough = enough, 2 * enough
    while enough - too_few > 1:
        middle = math.floor((too_few + enough) / 2)
        if bdtr(failures, middle, 1.0 - success) > doubt * (1.0 + 1e-12):
            too_few = middle
        else:
            enough = middle
    return enough
