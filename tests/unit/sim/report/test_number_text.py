"""Numbers are written with few digits, their unit, and words where there is no number."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.report.number_text import (
    capital,
    degrees,
    digits,
    duration,
    fixed,
    give_or_take,
    listed,
    percent,
    plain,
    sentence,
    with_unit,
)


@pytest.mark.parametrize(
    ("value", "count", "text"),
    [
        (0.0123456, 3, "0.0123"),
        (1234.5, 3, "1230"),
        (9.996, 3, "10.0"),
        (0.0, 3, "0"),
        (-4.321, 2, "-4.3"),
        (None, 3, "not known"),
        (math.nan, 3, "not known"),
        (math.inf, 3, "any"),
    ],
)
def test_digits(value, count, text):
    assert digits(value, count) == text


@given(st.floats(1e-6, 1e6))
def test_three_digits_lose_less_than_half_a_percent(value):
    assert float(digits(value)) == pytest.approx(value, rel=0.005)


def test_no_minus_zero():
    assert fixed(-0.001, 1) == "0.0"
    assert fixed(-0.06, 1) == "-0.1"


@pytest.mark.parametrize(
    ("value", "spread", "text"),
    [
        (2.81027, 0.0443, "2.810 +/- 0.044"),
        (56.4, 5.6, "56.4 +/- 5.6"),
        (120.0, 14.0, "120 +/- 14"),
        (1.284, 0.0, "1.28"),
    ],
)
def test_a_spread_sets_the_decimals(value, spread, text):
    assert give_or_take(value, spread) == text


def test_words_around_numbers():
    assert with_unit(fixed(9.14, 1), "dB") == "9.1 dB"
    assert with_unit(fixed(math.inf, 1), "dB") == "any"
    assert percent(0.698) == "70"
    assert degrees(math.radians(35.0)) == "35"
    assert duration(9.2) == "9.2 s"
    assert duration(649.7) == "10.8 minutes"
    assert duration(None) == "not known"
    assert plain(10.0) == "10"
    assert plain(2.5) == "2.5"
    assert capital("drape swings") == "Drape swings"
    assert sentence("pressure not given") == "Pressure not given."
    assert listed(["roll", "pitch", "yaw"]) == "roll, pitch and yaw"
    assert listed(["roll"]) == "roll"
