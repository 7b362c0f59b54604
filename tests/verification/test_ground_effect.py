"""Ground effect against the closed form of Cheeseman and Bennett, ARC R&M 3021, 1955 (from memory).

T/T_inf = 1 / (1 - (R/4z)^2).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.rotor.ground_effect import ground_effect_ratio


@pytest.mark.parametrize(
    ("height", "ratio"),
    [
        (0.5, 1.33333),
        (0.75, 1.12500),
        (1.0, 1.066667),
        (1.5, 1.028571),
        (2.0, 1.015873),
        (3.0, 1.006993),
    ],
)
def test_hover_table(height, ratio):
    """Closed form at printed heights, half a unit of the last digit."""
    assert ground_effect_ratio(height, 0.0) == pytest.approx(ratio, abs=5e-6)


def test_clamped_close_to_the_ground():
    """Below half a radius the value at half a radius holds: 1 / (1 - 1/4) = 4/3."""
    for height in (0.4, 0.25, 0.0, -0.1):
        assert ground_effect_ratio(height, 0.0) == pytest.approx(4.0 / 3.0, rel=1e-12)


def test_gone_far_up():
    """(R/4z)^2 = 6.25e-6 at 100 radii."""
    assert ground_effect_ratio(100.0, 0.0) == pytest.approx(1.0 + 6.25e-6, rel=1e-9)
    assert ground_effect_ratio(float("inf"), 0.0) == 1.0


def test_measured_fit_agrees_at_one_radius():
    """Hayden 1976 (from memory): P/P_inf = 1 / (0.9926 + 0.0379 (2R/z)^2) at constant thrust.

    As thrust at constant power that is its power -2/3: 1.09396 at z = R, 1.02023 at z = 2 R. The
    two laws differ by 2.6 % at z = R, which is the uncertainty to be expected of either.
    """
    for height in (1.0, 2.0):
        hayden = (0.9926 + 0.0379 * (2.0 / height) ** 2) ** (2.0 / 3.0)
        assert ground_effect_ratio(height, 0.0) == pytest.approx(hayden, rel=0.03)


@given(height=st.floats(0.5, 50.0), higher=st.floats(0.01, 5.0), edge=st.floats(0.0, 5.0))
def test_fades_with_height_and_wind(height, higher, edge):
    """Thrust gain falls with height and with flow along the disc, and is never a loss."""
    here = ground_effect_ratio(height, edge)
    assert here >= ground_effect_ratio(height + higher, edge) >= 1.0
    assert here >= ground_effect_ratio(height, edge + 1.0)
