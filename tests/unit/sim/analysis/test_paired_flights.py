"""Differences of wind limits by paired flights: closed forms where there are, else repeats."""

import dataclasses

import numpy as np
import pytest

from sim.analysis.compare import sentence_by_wind, winds_to_fly
from sim.analysis.paired_flights import estimated_limit_m_s, paired_limits

WINDS = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0)


def flown(limit_m_s, gustiness):
    """Give outcomes of flights that succeed while wind plus their own gust is below a limit."""
    winds = np.array(WINDS)[:, None]
    return winds + gustiness[None, :] < limit_m_s


def gusts(seed, flights=60, spread=1.0):
    return np.random.default_rng(seed).normal(0.0, spread, flights)


def test_the_estimate_is_where_the_curve_crosses():
    """Shares 1, 1, 0.8, 0.6, 0, 0 cross 0.7 half-way from 4 to 6 m/s."""
    counts = np.array([10, 10, 8, 6, 0, 0])
    assert estimated_limit_m_s(WINDS, counts, 10, 0.7) == pytest.approx(5.0)


def test_a_curve_outside_of_the_winds_flown_is_cut():
    always, never = np.ones((6, 20), dtype=bool), np.zeros((6, 20), dtype=bool)
    pair = paired_limits(WINDS, never, always, 0.9)
    assert (pair.first_m_s, pair.second_m_s) == (0.0, 10.0)
    assert pair.is_cut
    assert pair.is_certain


def test_the_same_craft_differs_by_nothing_at_all():
    """Paired: what both share cancels, down to an interval of no width."""
    outcomes = flown(6.0, gusts(1))
    pair = paired_limits(WINDS, outcomes, outcomes, 0.9)
    assert (pair.low_m_s, pair.difference_m_s, pair.high_m_s) == (0.0, 0.0, 0.0)
    assert not pair.is_certain


def test_exchanging_the_crafts_changes_the_sign():
    shared = gusts(2)
    one, other = flown(5.0, shared), flown(6.5, shared)
    there, back = paired_limits(WINDS, one, other, 0.9), paired_limits(WINDS, other, one, 0.9)
    assert there.difference_m_s == -back.difference_m_s
    assert there.low_m_s == pytest.approx(-back.high_m_s, abs=0.15)
    assert there.difference_m_s == pytest.approx(1.5, abs=0.6)


def test_pairing_narrows_the_interval():
    """The same two crafts in gusts of their own differ by as much, with more doubt."""
    shared, own = gusts(3), gusts(4)
    paired = paired_limits(WINDS, flown(5.0, shared), flown(6.0, shared), 0.9)
    alone = paired_limits(WINDS, flown(5.0, shared), flown(6.0, own), 0.9)
    assert paired.high_m_s - paired.low_m_s < alone.high_m_s - alone.low_m_s


def test_equal_crafts_in_gusts_of_their_own_are_rarely_called_different():
    """A 95 % interval leaves out zero in few of 60 repeats (5 expected at most 9 with 95 %)."""
    called = sum(
        paired_limits(WINDS, flown(6.0, gusts(2 * k)), flown(6.0, gusts(2 * k + 1)), 0.8).is_certain
        for k in range(60)
    )
    assert called <= 9


def test_winds_reach_beyond_the_greatest_limit_in_even_steps():
    winds = winds_to_fly([5.0, None, 7.0])
    assert winds[0] == 0.0
    assert winds[-1] >= 1.35 * 7.0
    assert np.ptp(np.diff(winds)) == pytest.approx(0.0)
    assert len(winds) <= 13


def test_a_difference_that_is_cut_is_told_by_the_low_end_of_its_interval():
    """The estimate is no bound: 'at least' goes with what the interval ends at, rounded down."""
    pair = paired_limits(WINDS, flown(3.0, gusts(5)), np.ones((6, 60), dtype=bool), 0.9)
    told = sentence_by_wind("Moon", "Lantern", pair, ahead=1)
    assert pair.is_cut
    least = float(told.partition("at least ")[2].split()[0])
    assert least <= pair.low_m_s < least + 0.1
    assert pair.low_m_s < pair.difference_m_s
    assert "Moon bears at least" in told
    assert "up to 10.0 m/s" in told


def test_a_difference_of_nothing_has_no_minus():
    pair = dataclasses.replace(
        paired_limits(WINDS, flown(5.0, gusts(6)), flown(5.0, gusts(6)), 0.9),
        low_m_s=-0.01,
        high_m_s=0.9,
    )
    told = sentence_by_wind("Moon", "Lantern", pair, ahead=1)
    assert "0.0 to 0.9 m/s" in told
    assert "-0.0" not in told
