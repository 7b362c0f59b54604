"""Clopper and Pearson's bounds against printed examples and by exact coverage."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest

from sim.analysis.binomial_bounds import (
    flights_needed,
    lower_bound,
    two_sided_bounds,
    upper_bound,
)


def test_defects_of_the_handbook():
    """4 of 20, 90 %: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.2."""
    bounds = two_sided_bounds(4, 20, 0.90)
    assert bounds.lower == pytest.approx(0.0713539, abs=5e-8)
    assert bounds.upper == pytest.approx(0.4010281, abs=5e-8)


# Computed with statsmodels 0.15.0, proportion_confint(method="beta"): k, n, lower, upper at 95 %.
@pytest.mark.parametrize(
    ("successes", "trials", "lower", "upper"),
    [
        (4, 20, 0.0573340, 0.4366140),
        (0, 20, 0.0, 0.1684335),
        (0, 30, 0.0, 0.1157033),
        (0, 100, 0.0, 0.0362167),
        (1, 30, 0.0008436, 0.1721695),
        (2, 100, 0.0024313, 0.0703839),
        (95, 100, 0.8871651, 0.9835681),
        (10, 10, 0.6915029, 1.0),
    ],
)
def test_two_sided_bounds(successes, trials, lower, upper):
    """Each side leaves 2.5 % outside."""
    bounds = two_sided_bounds(successes, trials, 0.95)
    assert bounds.lower == pytest.approx(lower, abs=5e-8)
    assert bounds.upper == pytest.approx(upper, abs=5e-8)
    scipy = binomtest(successes, trials).proportion_ci(0.95, method="exact")
    assert (bounds.lower, bounds.upper) == pytest.approx((scipy.low, scipy.high), abs=1e-10)


@pytest.mark.parametrize(
    ("trials", "upper"),
    [(10, 0.258866), (30, 0.095034), (59, 0.049508), (100, 0.029513), (300, 0.009936)],
)
def test_no_event_seen(trials, upper):
    """After 0 of n the one-sided 95 % upper bound is 1 - 0.05^(1/n), near 3/n."""
    assert upper_bound(0, trials, 0.95) == pytest.approx(1.0 - 0.05 ** (1.0 / trials), rel=1e-9)
    assert upper_bound(0, trials, 0.95) == pytest.approx(upper, abs=5e-7)
    assert lower_bound(trials, trials, 0.95) == pytest.approx(1.0 - upper, abs=5e-7)


# Closed form n = ln(1 - confidence) / ln(success), rounded up; the tolerance table of order
# statistics for the last four: 95 % of a population with 95 % confidence, dropping extremes.
@pytest.mark.parametrize(
    ("success", "confidence", "failures", "flights"),
    [
        (0.9, 0.95, 0, 29),
        (0.95, 0.95, 0, 59),
        (0.98, 0.95, 0, 149),
        (0.99, 0.95, 0, 299),
        (0.999, 0.95, 0, 2995),
        (0.9, 0.9, 0, 22),
        (0.95, 0.95, 1, 93),
        (0.95, 0.95, 2, 124),
        (0.95, 0.95, 3, 153),
        (0.95, 0.95, 4, 181),
    ],
)
def test_flights_needed(success, confidence, failures, flights):
    """Least n with P(at most `failures` of n fail | success) <= 1 - confidence."""
    assert flights_needed(success, confidence, failures) == flights


@given(
    success=st.floats(0.3, 0.999),
    confidence=st.floats(0.5, 0.999),
    failures=st.integers(0, 5),
)
def test_flights_needed_are_just_enough(success, confidence, failures):
    """With n flights the lower bound reaches the asked probability, with one fewer it does not."""
    flights = flights_needed(success, confidence, failures)
    assert lower_bound(flights - failures, flights, confidence) >= success - 1e-9
    fewer = flights - 1
    if fewer > failures:
        assert lower_bound(fewer - failures, fewer, confidence) < success + 1e-9


@pytest.mark.parametrize("trials", [7, 20, 61])
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_coverage_is_never_below_the_confidence(trials, confidence):
    """Sum over k of the binomial weight of those k whose bound holds p, by exact enumeration."""
    counts = np.arange(trials + 1)
    lower = np.array([lower_bound(k, trials, confidence) for k in counts])
    upper = np.array([upper_bound(k, trials, confidence) for k in counts])
    both = [two_sided_bounds(k, trials, confidence) for k in counts]
    low = np.array([bounds.lower for bounds in both])
    high = np.array([bounds.upper for bounds in both])
    for p in np.linspace(0.005, 0.995, 199):
        weight = binom.pmf(counts, trials, p)
        assert weight[lower <= p].sum() >= confidence - 1e-12
        assert weight[p <= upper].sum() >= confidence - 1e-12
        assert weight[(low <= p) & (p <= high)].sum() >= confidence - 1e-12


@given(trials=st.integers(1, 400), data=st.data(), confidence=st.floats(0.5, 0.99))
def test_bounds_hold_the_share_seen_and_mirror(trials, data, confidence):
    """lower <= k/n <= upper (confidence >= 1/2), and lower(k) = 1 - upper(n - k)."""
    successes = data.draw(st.integers(0, trials))
    lower = lower_bound(successes, trials, confidence)
    upper = upper_bound(successes, trials, confidence)
    assert lower <= successes / trials <= upper
    assert lower == pytest.approx(1.0 - upper_bound(trials - successes, trials, confidence))


@pytest.mark.parametrize(
    ("successes", "trials", "confidence"),
    [(-1, 10, 0.95), (11, 10, 0.95), (0, 0, 0.95), (5, 10, 0.0), (5, 10, 1.0)],
)
def test_impossible_counts_are_refused(successes, trials, confidence):
    """0 <= k <= n, n > 0, 0 < confidence < 1."""
    for bound in (lower_bound, upper_bound, two_sided_bounds):
        with pytest.raises(ValueError, match=r"trials|between 0 and 1"):
            bound(successes, trials, confidence)
    with pytest.raises(ValueError, match="failures is -1"):
        flights_needed(0.9, 0.95, -1)
