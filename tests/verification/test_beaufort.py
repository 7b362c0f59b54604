"""Wind speeds in words and other units, against the printed scale and exact definitions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.analysis.wind_words import (
    BEAUFORT_WORDS,
    beaufort,
    in_all_units,
    kilometres_per_hour,
    knots,
    miles_per_hour,
    wind_sentence,
)
from sim.spec.units import rounded_down

# Beaufort scale as printed in WMO-No. 306 and, equally, in general tables: force, lowest and
# highest m/s, lowest and highest kn, word. The two columns are rounded apart: the highest knots of
# forces 4 and 5, 16 and 21 kn, are 8.2 and 10.80 m/s, which the other column puts one force up.
SCALE = [
    (0, 0.0, 0.2, 0, 0, "calm"),
    (1, 0.3, 1.5, 1, 3, "light air"),
    (2, 1.6, 3.3, 4, 6, "light breeze"),
    (3, 3.4, 5.4, 7, 10, "gentle breeze"),
    (4, 5.5, 7.9, 11, 16, "moderate breeze"),
    (5, 8.0, 10.7, 17, 21, "fresh breeze"),
    (6, 10.8, 13.8, 22, 27, "strong breeze"),
    (7, 13.9, 17.1, 28, 33, "near gale"),
    (8, 17.2, 20.7, 34, 40, "gale"),
    (9, 20.8, 24.4, 41, 47, "strong gale"),
    (10, 24.5, 28.4, 48, 55, "storm"),
    (11, 28.5, 32.6, 56, 63, "violent storm"),
    (12, 32.7, 60.0, 64, 117, "hurricane"),
]


@pytest.mark.parametrize(("force", "low", "high", "low_kn", "high_kn", "word"), SCALE)
def test_scale(force, low, high, low_kn, high_kn, word):
    """Both ends of each range in m/s, and its lowest and highest knots where the columns agree."""
    assert beaufort(low) == force
    assert beaufort(high) == force
    assert BEAUFORT_WORDS[force] == word
    assert beaufort(low_kn * 1852.0 / 3600.0) == force
    assert beaufort(high_kn * 1852.0 / 3600.0) == force + (force in {4, 5})


@given(slow=st.floats(0.0, 60.0), fast=st.floats(0.0, 60.0))
def test_more_wind_is_no_lower_force(slow, fast):
    """B rises with the speed, from 0 to 12."""
    slow, fast = min(slow, fast), max(slow, fast)
    assert 0 <= beaufort(slow) <= beaufort(fast) <= 12


@given(st.floats(0.0, 100.0))
def test_units_by_their_definitions(speed):
    """1 mile = 1609.344 m, 1 nautical mile = 1852 m, 1 h = 3600 s."""
    assert miles_per_hour(speed) == pytest.approx(speed * 3600.0 / 1609.344, rel=1e-14)
    assert knots(speed) == pytest.approx(speed * 3600.0 / 1852.0, rel=1e-14)
    assert kilometres_per_hour(speed) == pytest.approx(speed * 3600.0 / 1000.0, rel=1e-14)


def test_sentence():
    """5.2 m/s = 18.72 km/h = 11.63 mph = 10.11 kn, force 3; 7.9 m/s = 28.44 = 17.67 = 15.36."""
    assert in_all_units(5.2) == "5.2 m/s (18 km/h, 11 mph, 10 kn)"
    assert wind_sentence(5.2) == "5.2 m/s (18 km/h, 11 mph, 10 kn), Beaufort 3, gentle breeze"
    assert wind_sentence(5.2, 7.9).endswith("; gusts to 7.9 m/s (28 km/h, 17 mph, 15 kn)")


@given(tenths=st.integers(0, 600), more=st.floats(0.0, 0.099))
def test_a_limit_is_never_told_as_more_than_it_is(tenths, more):
    """To a tenth rounded down: 4.75 is told as 4.7, and 4.7 as itself."""
    assert rounded_down(tenths / 10.0 + more) == f"{tenths / 10.0:.1f}"


@pytest.mark.parametrize("speed", [-0.1, float("nan")])
def test_no_force_below_zero(speed):
    """U >= 0."""
    with pytest.raises(ValueError, match="zero or above"):
        beaufort(speed)
