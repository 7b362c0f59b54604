"""Summing up many flights: exact counts, moments that join, quantiles, broken flights."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.analysis import study_summary
from sim.analysis.study_summary import LEVELS, Moments, as_table, summarise
from sim.flight.rows import MEASURES, ROW_TYPE
from sim.params.tally_record import Limit, Stop

DRIFT = [column.name for column in MEASURES].index("most_drift_m")


def rows_with(drift, stops=None):
    """Give rows with drifts [m], numbered from 0, that flew their whole time unless told."""
    rows = np.zeros(len(drift), dtype=ROW_TYPE)
    rows["flight"] = np.arange(len(drift))
    rows["most_drift_m"] = drift
    rows["least_clearance_m"] = np.nan
    rows["stop"] = int(Stop.TIME) if stops is None else [int(stop) for stop in stops]
    rows["first_limit"] = -1
    return rows


@given(
    values=st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=60),
    cuts=st.lists(st.integers(0, 60), max_size=5),
    offset=st.sampled_from([0.0, 1e9]),
)
def test_moments_join_to_those_of_the_whole(values, cuts, offset):
    """Cut anywhere: mean and deviation of all at once, to rounding of the largest value, even far
    from zero.
    """
    values = np.array(values) + offset
    edges = [0, *sorted(min(cut, len(values)) for cut in cuts), len(values)]
    moments = Moments()
    for first, end in pairwise(edges):
        rows = rows_with(values)[first:end]
        moments.add(as_table(rows), rows["flight"])
    size = np.abs(values).max() + 1e-300
    assert moments.count[DRIFT] == len(values)
    assert moments.mean[DRIFT] == pytest.approx(values.mean(), abs=1e-13 * size)
    deviation = np.std(values, ddof=1)
    assert moments.deviation[DRIFT] == pytest.approx(deviation, abs=1e-12 * size, rel=1e-9)
    assert moments.most[DRIFT] == values.max()
    assert moments.most_flight[DRIFT] == int(np.argmax(values))
    assert moments.least[DRIFT] == values.min()


def test_counts_bounds_causes_and_worst_flights():
    """18 of 20: Clopper and Pearson's 95 % bounds are 0.683 to 0.988 (from memory of the printed
    tables; the exact ones are tested elsewhere).
    """
    stops = [Stop.TIME] * 18 + [Stop.TILT, Stop.DRIFT]
    rows = rows_with(np.linspace(0.1, 2.0, 20), stops)
    rows["first_limit"][18:] = int(Limit.TILT_TRAVEL)
    rows["wind_m_s"] = 5.0
    summary = summarise([rows[:7], rows[7:]], 0.95)
    assert (summary.flights, summary.successes) == (20, 18)
    assert summary.bounds.lower == pytest.approx(0.683, abs=5e-4)
    assert summary.bounds.upper == pytest.approx(0.988, abs=5e-4)
    assert dict(summary.stops) == {Stop.TIME: 18, Stop.TILT: 1, Stop.DRIFT: 1}
    drift, tilt = summary.causes
    assert (drift.flight, tilt.flight) == (19, 18)
    assert tilt.words == "tilted over, after rotor tilt at the end of its travel"
    measure = summary.measure("most_drift_m")
    assert measure.quantiles == pytest.approx(np.quantile(rows["most_drift_m"], LEVELS))
    assert (measure.most, measure.most_flight) == (2.0, 19)
    assert all(m.column.name != "least_clearance_m" for m in summary.measures)


def test_a_flight_that_broke_down_is_counted_and_named_and_never_averaged():
    stops = [Stop.TIME, Stop.NOT_FINITE, Stop.TIME, Stop.NOT_FINITE]
    summary = summarise([rows_with([1.0, math.nan, 3.0, 1e300], stops)], 0.9)
    assert summary.broken == (1, 3)
    assert summary.broken_flights == 2
    assert summary.successes == 2
    measure = summary.measure("most_drift_m")
    assert (measure.count, measure.mean, measure.most) == (2, 2.0, 3.0)
    assert measure.quantiles[1] == 2.0


def test_quantiles_of_more_flights_than_are_kept(monkeypatch):
    """Of the first ones without a folder, of all with one; memory holds no more than is kept."""
    monkeypatch.setattr(study_summary, "KEPT_FLIGHTS", 100)
    drift = np.arange(1000.0)
    cells = [rows_with(drift)[first : first + 50] for first in range(0, 1000, 50)]
    some = summarise(cells, 0.9)
    assert some.quantile_flights == 100
    assert some.measure("most_drift_m").quantiles[1] == pytest.approx(49.5)
    whole = summarise(cells, 0.9, lambda name: rows_with(drift)[name])
    assert whole.quantile_flights == 1000
    assert whole.measure("most_drift_m").quantiles[1] == pytest.approx(499.5)
    assert some.measure("most_drift_m").mean == whole.measure("most_drift_m").mean == 499.5
