"""Sampled values: reproducible by number, normal about the file's value, within what it allows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kstest

from sim.analysis.spread_sample import figure_values, normal_scores
from sim.spec.unsure import UnsureFigure


def figure(value, plus_minus, least=-np.inf, most=np.inf):
    return UnsureFigure("a figure", (("head", "mass_kg"),), value, plus_minus, least, most, "mass")


@given(st.integers(1, 300), st.integers(1, 300), st.integers(0, 2**31))
def test_craft_number_k_of_a_seed_is_always_the_same(fewer, more, seed):
    fewer, more = sorted((fewer, more))
    assert np.array_equal(normal_scores(more, 3, seed)[:fewer], normal_scores(fewer, 3, seed))


def test_other_seeds_give_other_crafts():
    assert not np.any(normal_scores(64, 3, 1) == normal_scores(64, 3, 2))


def test_scores_are_standard_normal():
    """Evenly spread, so nearer to the distribution than chance: 1/n against 1/sqrt(n)."""
    scores = normal_scores(256, 5, 1)
    for column in scores.T:
        assert kstest(column, "norm").statistic < 2.0 / 256.0
    assert np.corrcoef(scores.T) == pytest.approx(np.eye(5), abs=0.05)


def test_a_spread_is_two_standard_deviations():
    values = figure_values((figure(3.0, 0.4),), normal_scores(1024, 1, 1))
    assert values.mean() == pytest.approx(3.0, abs=0.002)
    assert values.std() == pytest.approx(0.2, rel=0.01)
    assert np.mean(np.abs(values - 3.0) < 0.4) == pytest.approx(0.9545, abs=0.003)


@given(st.floats(0.01, 1.0), st.floats(0.01, 5.0), st.floats(0.0, 1.0), st.integers(0, 2**31))
def test_values_stay_within_what_a_file_allows(value, plus_minus, room, seed):
    """Cut off, not clipped: no two crafts pile up on the edge."""
    low, high = value * (1.0 - room), value + room
    if high - low < 1e-6:
        return
    found = figure_values((figure(value, plus_minus, low, high),), normal_scores(64, 1, seed))
    assert np.all((found > low - 1e-12) & (found < high + 1e-12))
    assert len(np.unique(found)) == 64


def test_values_rise_with_their_score():
    scores = normal_scores(128, 1, 1)
    found = figure_values((figure(1.0, 0.9, 0.8, 4.0),), scores)
    order = np.argsort(scores[:, 0])
    assert np.all(np.diff(found[order, 0]) > 0.0)
