"""How a flight ended, in words, and which limit came first."""

from __future__ import annotations

import pytest

from sim.flight.outcome import LIMIT_WORDS, STOP_WORDS, cause, first_limit, sentence
from sim.flight.start import blank_tally
from sim.params.tally_record import Limit, Stop

STEP_S = 1e-3


def tally_of(stop, ticks, runs):
    """Give a tally that ended at a tick, with (limit, last tick, length of the last run)."""
    tally = blank_tally()[0]
    tally.stop, tally.ticks, tally.stop_s = int(stop), ticks, ticks * STEP_S
    for limit, last, run in runs:
        tally.last_tick[limit], tally.last_run[limit] = last, run
    return tally


def test_every_end_and_every_limit_has_words():
    assert set(STOP_WORDS) == set(Stop)
    assert set(LIMIT_WORDS) == set(Limit)
    assert all(words and not words.endswith(".") for words in STOP_WORDS.values())
    assert len(set(LIMIT_WORDS.values())) == len(Limit)


def test_without_limits_there_is_no_first_one():
    assert first_limit(tally_of(Stop.TILT, 5000, []), STEP_S) is None


def test_the_limit_whose_last_run_began_earliest_comes_first():
    """Tilt travel from 4.2 s, full thrust from 4.6 s: the tilt gave out first."""
    runs = [(Limit.THRUST_FULL, 5000, 400), (Limit.TILT_TRAVEL, 4900, 700)]
    assert first_limit(tally_of(Stop.TILT, 5000, runs), STEP_S) == Limit.TILT_TRAVEL


@pytest.mark.parametrize(
    ("last", "run", "counts"),
    [(3501, 100, True), (3499, 100, False), (5000, 50, True), (5000, 49, False)],
)
def test_only_long_and_recent_runs_count(last, run, counts):
    """Within 1.5 s of the end, for 0.05 s or more."""
    found = first_limit(tally_of(Stop.DRIFT, 5000, [(Limit.THRUST_FULL, last, run)]), STEP_S)
    assert (found == Limit.THRUST_FULL) == counts


def test_cause_and_sentence():
    tally = tally_of(Stop.TILT, 5000, [(Limit.TILT_TRAVEL, 4990, 300)])
    assert cause(tally, STEP_S) == "tilted over, after rotor tilt at the end of its travel"
    assert sentence(tally, STEP_S).endswith(", at 5.00 s")
    landed = tally_of(Stop.LANDED, 5000, [(Limit.TILT_TRAVEL, 4990, 300)])
    assert sentence(landed, STEP_S) == "landed, at 5.00 s"
    assert cause(tally_of(Stop.DRIFT, 5000, []), STEP_S) == "drifted too far from its place"
