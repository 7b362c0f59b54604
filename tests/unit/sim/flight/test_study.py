"""Studies: the same rows however they are cut, flown and stored."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from sim.flight.crew import LocalCrew, in_order, split
from sim.flight.ensemble import fly_ensemble
from sim.flight.identity import StudyIdentity
from sim.flight.outcome import first_limit
from sim.flight.plan import LaterPlan, OneCraftPlan, Part, fly_part
from sim.flight.rows import ROW_TYPE, computable, rows_of, succeeded
from sim.flight.start import blank_tally
from sim.flight.study import Study, study_in
from sim.pack.flight import plain_flight
from sim.params.flight_record import FLIGHT_TYPE
from sim.params.tally_record import Limit, Stop

IDENTITY = StudyIdentity({"of": "these tests"})


@pytest.fixture(scope="module")
def plan(bare, hover):
    """Give noisy flights of a tenth of a second."""
    flight = plain_flight(bare.air, duration_s=0.1)
    flight["noise_factor"] = 1.0
    flight["seed"] = 5
    return OneCraftPlan("calm", bare.records, flight, hover)


@pytest.fixture(scope="module")
def reference(plan):
    """Give the rows of 130 flights, each flown alone."""
    return np.concatenate([fly_part(plan, Part(n, 1)) for n in range(130)])


def test_rows_do_not_depend_on_threads_cuts_or_folder(plan, reference, tmp_path):
    for threads in (1, 2, 3):
        flown = np.concatenate(list(Study(LocalCrew(threads)).rows(plan, 130)))
        assert flown.tobytes() == reference.tobytes()
    with study_in(tmp_path, IDENTITY, 130) as study:
        assert np.concatenate(list(study.rows(plan, 130))).tobytes() == reference.tobytes()
    assert len(np.unique(reference["most_rate_rad_s"])) == 130


def test_a_study_grows_and_shrinks_without_flying_twice(plan, reference, tmp_path):
    """70 flights, then 130, then 20 of them."""
    for flights, flown in ((70, 70), (130, 60), (20, 0)):
        told = []
        with study_in(tmp_path, IDENTITY, flights) as study:
            rows = np.concatenate(list(study.rows(plan, flights, told.append)))
            assert study.flown == flown
        assert rows.tobytes() == reference[:flights].tobytes()
        assert sum(told) == flights


def test_a_plan_whose_flights_are_there_is_not_worked_out(plan, reference, tmp_path):
    worked_out = []

    def work_out():
        worked_out.append(True)
        return plan

    for times in (1, 1):
        with study_in(tmp_path, IDENTITY, 20) as study:
            rows = np.concatenate(list(study.rows(LaterPlan("calm", work_out), 20)))
        assert rows.tobytes() == reference[:20].tobytes()
        assert len(worked_out) == times


def test_a_study_is_cut_the_same_with_and_without_a_folder(plan, tmp_path):
    """So that sums over the pieces have the same bits."""
    plain = [len(rows) for rows in Study().rows(plan, 130)]
    with study_in(tmp_path, IDENTITY, 130) as study:
        list(study.rows(plan, 30))
        kept = [len(rows) for rows in study.rows(plan, 130)]
    assert plain == kept == [50, 50, 30]


def test_parts_that_end_out_of_order_are_put_in_order():
    parts = [Part(0, 2), Part(2, 2), Part(4, 1)]
    flown = [(part, np.full(part.flights, part.first)) for part in parts]
    for shuffled in itertools.permutations(flown):
        assert [part for part, _ in in_order(iter(shuffled), parts)] == parts
    with pytest.raises(RuntimeError, match="2 to 3 were never flown"):
        list(in_order(iter(flown[:1]), parts))


def test_parts_are_cut_into_pieces():
    assert list(split([Part(3, 9), Part(20, 1)], 4)) == [
        Part(3, 4),
        Part(7, 4),
        Part(11, 1),
        Part(20, 1),
    ]


def test_a_row_says_what_the_tally_says(bare, hover):
    """Against the tallies of the same flights, flown the other way."""
    flights = np.repeat(plain_flight(bare.air, duration_s=0.2), 3)
    flights["flight"] = [4, 5, 6]
    flights["noise_factor"] = 1.0
    starts = np.repeat(hover, 3)
    tallies = fly_ensemble(bare.records, np.zeros(3, dtype=np.int64), flights, starts).tallies
    rows = rows_of(flights, tallies)
    assert rows["flight"].tolist() == [4, 5, 6]
    assert rows["time_s"] == pytest.approx([0.2] * 3)
    for name in ("most_tilt_rad", "most_current_a", "energy_j", "most_rate_rad_s"):
        assert rows[name].tobytes() == tallies[name].tobytes()
    assert succeeded(rows).all()
    assert np.isnan(rows["least_clearance_m"]).all()
    assert np.isnan(rows["touchdown_m_s"]).all()


def test_shares_and_runs_are_of_the_flight():
    """Full thrust in 30 of 120 steps of 1 ms, 20 of them in a row."""
    tally = blank_tally()
    tally["ticks"], tally["stop"] = 120.0, int(Stop.DRIFT)
    tally["ticks_at_limit"][0, Limit.THRUST_FULL] = 30.0
    tally["longest_run"][0, Limit.THRUST_FULL] = 20.0
    tally["last_tick"][0, Limit.TILT_TRAVEL], tally["last_run"][0, Limit.TILT_TRAVEL] = 119.0, 60.0
    flight = np.zeros(1, dtype=FLIGHT_TYPE)
    flight["step_s"] = 1e-3
    row = rows_of(flight, tally)[0]
    assert row["share_thrust_full"] == pytest.approx(0.25)
    assert row["longest_thrust_full_s"] == pytest.approx(0.02)
    assert row["first_limit"] == int(Limit.TILT_TRAVEL) == int(first_limit(tally[0], 1e-3))
    assert not succeeded(np.array([row]))[0]


def test_flights_that_broke_down_are_told_from_the_others():
    rows = np.zeros(3, dtype=ROW_TYPE)
    rows["stop"] = [int(Stop.TIME), int(Stop.NOT_FINITE), int(Stop.TILT)]
    assert computable(rows).tolist() == [True, False, True]
