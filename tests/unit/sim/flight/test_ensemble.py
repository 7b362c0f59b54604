"""Many flights: order, progress, what counts as success."""

from __future__ import annotations

import numpy as np
import pytest

from sim.flight.ensemble import cores, fly_ensemble
from sim.flight.results import Ensemble
from sim.flight.start import blank_tally
from sim.pack.flight import plain_flight
from sim.params.tally_record import Stop


def test_tallies_come_in_flight_order_and_starts_are_kept(bare, hover):
    """Flight n lasts n + 1 tenths of a second."""
    count = 9
    flights = np.repeat(plain_flight(bare.air), count)
    flights["duration_s"] = 0.1 * np.arange(1, count + 1)
    starts = np.repeat(hover, count)
    before = starts.tobytes()
    flown = fly_ensemble(bare.records, np.zeros(count, dtype=np.int64), flights, starts, threads=2)
    assert flown.tallies["stop_s"] == pytest.approx(flights["duration_s"])
    assert flown.succeeded.all()
    assert starts.tobytes() == before


def test_progress_is_told_every_flight_once(bare, hover):
    count, told = 10, []
    flights = np.repeat(plain_flight(bare.air, duration_s=0.05), count)
    fly_ensemble(
        bare.records,
        np.zeros(count, dtype=np.int64),
        flights,
        np.repeat(hover, count),
        progress=told.append,
    )
    assert sum(told) == count
    assert len(told) > 1


def test_good_ends_are_time_and_landing_only():
    tallies = np.repeat(blank_tally(), len(Stop))
    tallies["stop"] = [int(stop) for stop in Stop]
    ensemble = Ensemble(tallies)
    assert {stop for stop, good in zip(Stop, ensemble.succeeded, strict=True) if good} == {
        Stop.TIME,
        Stop.LANDED,
    }
    assert ensemble.not_finite == 1


def test_there_is_at_least_one_core():
    assert cores() >= 1


def test_a_number_that_is_not_finite_ends_a_flight(bare, hover):
    """Not an exception, and not a flight that lasts."""
    broken = hover.copy()
    broken["body"]["velocity_m_s"][0, 0] = np.nan
    flown = fly_ensemble(bare.records, np.zeros(1, dtype=np.int64), plain_flight(bare.air), broken)
    assert flown.not_finite == 1
    assert not flown.succeeded.any()
    assert float(flown.tallies["stop_s"][0]) == pytest.approx(1e-3)
