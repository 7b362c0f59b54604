"""First-order lag: exact for a held target, second order for one sampled midway."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.numerics.lag import advance_lag, lag_factor
from sim.physics.air.gust import one_minus_cosine


@given(period=st.floats(1e-5, 1.0), time_constant=st.floats(1e-3, 10.0), steps=st.integers(1, 50))
def test_held_target_is_followed_exactly(period, time_constant, steps):
    """y(n dt) = 1 - exp(-n dt / tau), at any step."""
    factor = lag_factor(period, time_constant)
    value = 0.0
    for _ in range(steps):
        value = advance_lag(value, 1.0, factor)
    assert value == pytest.approx(-math.expm1(-steps * period / time_constant), rel=1e-11)


def test_no_lag_and_hardly_any_step():
    """A lag of tau <= 0 follows at once; dt / tau -> 0 gives dt / tau with all digits."""
    assert lag_factor(0.001, 0.0) == 1.0
    assert advance_lag(3.0, 7.0, lag_factor(0.001, 0.0)) == 7.0
    assert lag_factor(1e-12, 1.0) == pytest.approx(1e-12, rel=1e-11)


def lagged_pulse(period, until):
    """Lag of 1.5 s behind a pulse of 3 m/s and 2 s, target taken midway in each step."""
    factor = lag_factor(period, 1.5)
    value, history = 0.0, [0.0]
    for k in range(round(until / period)):
        value = advance_lag(value, one_minus_cosine((k + 0.5) * period, 0.0, 2.0, 3.0), factor)
        history.append(value)
    return history


def test_lag_behind_a_gust():
    """Peak 1.280018 m/s at 1.5469 s and 1.057006 m/s at 2 s, from the convolution by hand."""
    period = 0.001
    history = lagged_pulse(period, 2.0)
    peak = max(history)
    assert peak == pytest.approx(1.280018, abs=1e-6)
    assert history.index(peak) * period == pytest.approx(1.5469, abs=period)
    assert history[-1] == pytest.approx(1.057006, abs=1e-6)


def test_order_of_convergence_behind_a_gust():
    """y(2) = (peak / 2) ((1 - E) - ((1 - E) / (1 + (w tau)^2))), E = exp(-2 / tau), w = pi.

    With the target taken midway the error falls fourfold when the step is halved.
    """
    fade = math.exp(-2.0 / 1.5)
    exact = 1.5 * (1.0 - fade) * (1.0 - 1.0 / (1.0 + (math.pi * 1.5) ** 2))
    assert exact == pytest.approx(1.057006, abs=5e-7)
    coarse, fine = (lagged_pulse(period, 2.0)[-1] - exact for period in (0.02, 0.01))
    assert coarse / fine == pytest.approx(4.0, rel=0.01)
