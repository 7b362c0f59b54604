"""Why flights failed: ranked, each with one flight to fly again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import numpy as np

from sim.analysis.wind_result import FailureCause
from sim.flight.outcome import cause_words
from sim.flight.rows import Rows, succeeded
from sim.params.tally_record import Stop

JUST_ABOVE_M_S = 1.0


def failures_of(rows: Rows) -> list[tuple[str, int]]:
    """Give why each flight that failed did, with its number, in flight order."""
    failed = rows[~succeeded(rows)]
    return [
        (cause_words(int(row["stop"]), int(row["first_limit"])), int(row["flight"]))
        for row in failed
    ]


def ranked_causes(rows_by_wind: Mapping[float, Rows]) -> tuple[FailureCause, ...]:
    """Rank why flights failed in some winds, the slowest wind's first flight as the example.

    Parameters
    ----------
    rows_by_wind : mapping of float to rows
        [m/s] By wind.
    """
    examples: dict[str, list[tuple[float, int]]] = defaultdict(list)
    for wind in sorted(rows_by_wind):
        for words, flight in failures_of(rows_by_wind[wind]):
            examples[words].append((wind, flight))
    causes = [
        FailureCause(words, len(found), found[0][1], found[0][0])
        for words, found in examples.items()
    ]
    return tuple(sorted(causes, key=lambda cause: (-cause.flights, cause.words)))


def at_and_above(winds: Mapping[float, Rows], limit_m_s: float | None) -> dict[float, Rows]:
    """Take the winds at the limit and up to 1 m/s above, or the next flown above if none is."""
    limit = -1.0 if limit_m_s is None else limit_m_s
    near = {w: rows for w, rows in winds.items() if limit <= w <= max(limit, 0.0) + JUST_ABOVE_M_S}
    if any(not succeeded(rows).all() for rows in near.values()):
        return near
    above = sorted(w for w, rows in winds.items() if w > limit and not succeeded(rows).all())
    return near | {w: winds[w] for w in above[:1]}


def broken_flights(winds: Mapping[float, Rows]) -> tuple[tuple[float, int], ...]:
    """Name the flights stopped because a number was no longer finite: wind [m/s] and number."""
    return tuple(
        (wind, int(flight))
        for wind in sorted(winds)
        for flight in np.sort(winds[wind]["flight"][winds[wind]["stop"] == int(Stop.NOT_FINITE)])
    )
