"""When to look at a growing number of flights, so that looking often does not spoil the bound.

A probability is shown to be at least `success` when, at one of a few looks fixed beforehand, few
enough flights have failed for the exact lower bound of Clopper and Pearson to reach it. The allowed
doubt is shared equally among the looks (Bonferroni), so that the chance of showing what is not true
stays within it whenever one stops; stopping without success costs nothing.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, NamedTuple

from sim.analysis.binomial_bounds import flights_needed

FAILURES: Final = (0, 2, 6, 14, 30, 62, 126, 254)
"""Failures allowed at the first look, the second and so on: the flights about double each time."""


class Look(NamedTuple):
    """One look.

    Attributes
    ----------
    flights : int
        Flown when it comes.
    failures : int
        At most so many may have failed.
    confidence : float
        [1] Of the one-sided bound that this look takes.
    """

    flights: int
    failures: int
    confidence: float


@lru_cache
def looks_for(success: float, doubt: float, most_flights: int) -> tuple[Look, ...]:
    """Plan the looks at one wind speed.

    Parameters
    ----------
    success : float
        [1] Probability to be shown, between 0 and 1.
    doubt : float
        [1] Chance of showing it although it is not so, at most; between 0 and 1.
    most_flights : int
        As many looks as end within so many flights; one, if even that takes more.

    Returns
    -------
    tuple of Look
        The flights rise from look to look.

    References
    ----------
    Jennison, C. and Turnbull, B. W. (2000), Group Sequential Methods, for the idea of sharing the
    error among looks; the equal share of Bonferroni is the plainest of the ways and errs safely.
    """
    for count in range(len(FAILURES), 0, -1):
        confidence = 1.0 - doubt / count
        last = flights_needed(success, confidence, FAILURES[count - 1])
        if last <= most_flights or count == 1:
            break
    return tuple(
        Look(flights_needed(success, confidence, failures), failures, confidence)
        for failures in FAILURES[:count]
    )
