"""What many flights amount to: exact counts, moments that stream, quantiles of rows that are kept.

Rows come a cell at a time and are dropped, so that memory does not grow with the number of flights.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Final, final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.binomial_bounds import ProbabilityBounds, two_sided_bounds
from sim.analysis.wind_result import FailureCause
from sim.flight.outcome import cause_words
from sim.flight.rows import MEASURES, Column, Rows, computable, succeeded
from sim.params.record import FloatArray
from sim.params.tally_record import Stop

KEPT_FLIGHTS: Final = 20_000
"""Rows that are kept for quantiles when no folder keeps them all; flights are alike, so the first
ones stand for the rest."""
LEVELS: Final = (0.05, 0.5, 0.95)
MOST_NAMED: Final = 20
_NAMES: Final = [column.name for column in MEASURES]

ReadColumn = Callable[[str], FloatArray]


def as_table(rows: Rows) -> FloatArray:
    """Give the measures of rows, shape (flights, measures)."""
    return np.stack([rows[name] for name in _NAMES], axis=1)


@final
class Moments:
    """Count, mean, sum of squared deviations and extremes of every measure, nan left out.

    Two sets are joined by the pairwise formulas, which lose no digits however many flights there
    are; cells joined in the same order give the same bits.

    References
    ----------
    Chan, T. F., Golub, G. H. and LeVeque, R. J. (1983), Algorithms for computing the sample
    variance, The American Statistician 37, equations 2.1.
    """

    def __init__(self) -> None:
        size = len(_NAMES)
        self.count = np.zeros(size)
        self.mean = np.zeros(size)
        self.squares = np.zeros(size)
        self.least = np.full(size, math.inf)
        self.most = np.full(size, -math.inf)
        self.least_flight = np.full(size, -1)
        self.most_flight = np.full(size, -1)

    def add(self, table: FloatArray, flights: NDArray[np.int64]) -> None:
        """Take in a cell: measures, shape (flights, measures), and the numbers of its flights."""
        there = np.isfinite(table)
        count = there.sum(axis=0).astype(np.float64)
        if not len(table):
            return
        mean = np.where(there, table, 0.0).sum(axis=0) / np.maximum(count, 1.0)
        squares = (np.where(there, table - mean, 0.0) ** 2).sum(axis=0)
        both = np.maximum(self.count + count, 1.0)
        apart = mean - self.mean
        self.squares += squares + apart**2 * (self.count * count / both)
        self.mean += apart * (count / both)
        self.count += count
        low, high = np.where(there, table, math.inf), np.where(there, table, -math.inf)
        lower, higher = low.min(axis=0) < self.least, high.max(axis=0) > self.most
        self.least = np.where(lower, low.min(axis=0), self.least)
        self.most = np.where(higher, high.max(axis=0), self.most)
        self.least_flight = np.where(lower, flights[low.argmin(axis=0)], self.least_flight)
        self.most_flight = np.where(higher, flights[high.argmax(axis=0)], self.most_flight)

    @property
    def deviation(self) -> FloatArray:
        """Standard deviation of the sample, nan below two values."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(self.count > 1, np.sqrt(self.squares / (self.count - 1.0)), math.nan)


@final
@dataclass(frozen=True)
class Measure:
    """One measure over all flights that stayed finite.

    Attributes
    ----------
    column : Column
    count : int
        Flights that have it.
    mean, deviation, least, most : float
    least_flight, most_flight : int
        Flights to fly again.
    quantiles : tuple of float
        At `LEVELS`.
    """

    column: Column
    count: int
    mean: float
    deviation: float
    least: float
    most: float
    least_flight: int
    most_flight: int
    quantiles: tuple[float, ...]


@final
@dataclass(frozen=True)
class StudySummary:
    """What a study's flights amount to.

    Attributes
    ----------
    flights, successes : int
    bounds : ProbabilityBounds
        Two-sided, of the success probability.
    stops : tuple of (Stop, int)
        How flights ended, most frequent first.
    causes : tuple of FailureCause
        Why flights failed, most frequent first.
    broken : tuple of int
        Flights stopped because a number was no longer finite, the first few; in no measure.
    broken_flights : int
        How many.
    measures : tuple of Measure
    quantile_flights : int
        Flights that the quantiles are of.
    """

    flights: int
    successes: int
    bounds: ProbabilityBounds
    stops: tuple[tuple[Stop, int], ...]
    causes: tuple[FailureCause, ...]
    broken: tuple[int, ...]
    broken_flights: int
    measures: tuple[Measure, ...]
    quantile_flights: int

    def measure(self, name: str) -> Measure:
        """Give a measure by its column's name."""
        return next(measure for measure in self.measures if measure.column.name == name)


@final
@dataclass
class _Tally:
    """What is gathered while rows stream past."""

    moments: Moments = field(default_factory=Moments)
    flights: int = 0
    successes: int = 0
    stops: Counter[int] = field(default_factory=Counter)
    causes: Counter[tuple[int, int]] = field(default_factory=Counter)
    first: dict[tuple[int, int], int] = field(default_factory=dict)
    broken: list[int] = field(default_factory=list)
    wind_m_s: float = math.nan
    kept: list[FloatArray] = field(default_factory=list)
    kept_flights: int = 0

    def add(self, rows: Rows) -> None:
        good, finite = succeeded(rows), computable(rows)
        self.flights += len(rows)
        self.successes += int(np.count_nonzero(good))
        self.stops.update(rows["stop"].tolist())
        for row in rows[~good]:
            code = (int(row["stop"]), int(row["first_limit"]))
            self.causes[code] += 1
            self.first.setdefault(code, int(row["flight"]))
            if not math.isfinite(self.wind_m_s):
                self.wind_m_s = float(row["wind_m_s"])
        broken = rows["flight"][~finite].tolist()
        self.broken += broken[: max(MOST_NAMED - len(self.broken), 0)]
        table = as_table(rows[finite])
        self.moments.add(table, rows["flight"][finite])
        if self.kept_flights < KEPT_FLIGHTS:
            self.kept.append(table[: KEPT_FLIGHTS - self.kept_flights])
            self.kept_flights += len(self.kept[-1])


def quantiles_of(values: FloatArray) -> tuple[float, ...]:
    """Give quantiles at `LEVELS`, by straight lines between the ordered values; nan is left out."""
    values = values[np.isfinite(values)]
    if not values.size:
        return tuple(math.nan for _ in LEVELS)
    return tuple(float(value) for value in np.quantile(values, LEVELS))


def summarise(
    cells: Iterable[Rows], confidence: float, read: ReadColumn | None = None
) -> StudySummary:
    """Sum up a study.

    Parameters
    ----------
    cells : iterable of rows
        In flight order.
    confidence : float
        [1] Of the bounds.
    read : callable, optional
        Gives one column of all flights that stayed finite, for quantiles of more than the first
        20,000 flights: 8 bytes a flight, a column at a time.
    """
    seen = _Tally()
    for rows in cells:
        seen.add(rows)
    table = np.concatenate(seen.kept) if seen.kept else np.zeros((0, len(_NAMES)))
    read_all = read is not None and seen.flights > KEPT_FLIGHTS
    moments, deviation = seen.moments, seen.moments.deviation
    measures = []
    for k, column in enumerate(MEASURES):
        if not moments.count[k]:
            continue
        values = read(column.name) if read is not None and read_all else table[:, k]
        measures.append(
            Measure(
                column,
                int(moments.count[k]),
                float(moments.mean[k]),
                float(deviation[k]),
                float(moments.least[k]),
                float(moments.most[k]),
                int(moments.least_flight[k]),
                int(moments.most_flight[k]),
                quantiles_of(values),
            )
        )
    causes = [
        FailureCause(cause_words(*code), count, seen.first[code], seen.wind_m_s)
        for code, count in seen.causes.items()
    ]
    broken = seen.stops[int(Stop.NOT_FINITE)]
    return StudySummary(
        flights=seen.flights,
        successes=seen.successes,
        bounds=two_sided_bounds(seen.successes, seen.flights, confidence),
        stops=tuple((Stop(code), count) for code, count in seen.stops.most_common()),
        causes=tuple(sorted(causes, key=lambda cause: (-cause.flights, cause.words))),
        broken=tuple(seen.broken),
        broken_flights=broken,
        measures=tuple(measures),
        quantile_flights=seen.flights - broken if read_all else seen.kept_flights,
    )
