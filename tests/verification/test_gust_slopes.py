"""Slopes of the gust field against the rotary gust forms of MIL-F-8785C (1980), 3.7.2 to 3.7.3."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from sim.physics.air.gust_slope import (
    CROSSWIND_LAG,
    SIDEWAYS_LAG,
    followed,
    least_span_m,
    slope_along,
    slope_size,
)

SIGMA, LENGTH, SPAN = 1.3, 6.0, 0.9


def roll_gust_spectrum(omega, sigma, length, span):
    """Phi_p = 0.8 sigma^2 / L (pi L / 4b)^(1/3) / (1 + (4b Omega / pi)^2), one-sided in Omega."""
    level = 0.8 * sigma**2 / length * (math.pi * length / (4.0 * span)) ** (1.0 / 3.0)
    return level / (1.0 + (4.0 * span * omega / math.pi) ** 2)


def test_size_of_a_slope_across_the_wind():
    """The variance is the integral of Phi_p over Omega."""
    area, _ = quad(roll_gust_spectrum, 0.0, np.inf, args=(SIGMA, LENGTH, SPAN))
    size = slope_size(SIGMA, LENGTH) * SPAN ** (-2.0 / 3.0)
    assert size**2 == pytest.approx(area, rel=1e-9)


def test_a_small_craft_is_a_point():
    """Ends of the least span differ by a tenth of sigma; MIL's own form gives the difference."""
    span = least_span_m(LENGTH)
    area, _ = quad(roll_gust_spectrum, 0.0, np.inf, args=(SIGMA, LENGTH, span), limit=200)
    assert span * math.sqrt(area) == pytest.approx(0.1 * SIGMA, rel=1e-6)
    assert span == pytest.approx(LENGTH / 870.0, rel=0.01)


@pytest.mark.parametrize("lag", [CROSSWIND_LAG, SIDEWAYS_LAG])
def test_slope_along_the_wind_is_the_standard_s(lag):
    """q_g: |H|^2 = Omega^2 / (1 + (4b Omega / pi)^2), r_g with 3b: the answer to a sampled sine."""
    speed, period = 6.0, 0.01
    steps = period * speed / (lag * SPAN)
    for omega in (0.2, 1.0, 3.0):
        times = np.arange(0.0, 60.0 / omega, period)
        gust = np.sin(omega * speed * times)
        slow, slopes = 0.0, []
        for before, now in pairwise(gust):
            slow = followed(slow, before, now, steps)
            slopes.append(slope_along(now, slow, lag, SPAN))
        late = np.array(slopes[len(slopes) // 2 :])
        phase = omega * speed * times[1:][len(slopes) // 2 :]
        table = np.stack([np.sin(phase), np.cos(phase)], axis=1)
        (real, imaginary), *_ = np.linalg.lstsq(table, late, rcond=None)
        expected = 1j * omega / (1.0 + 1j * lag * SPAN * omega)
        # d/dx = -(1/V) d/dt: the gust's pattern is carried towards positive x.
        assert complex(real, imaginary) == pytest.approx(-expected, rel=2e-3)


def test_slow_gusts_have_the_slope_of_the_frozen_field():
    """u(x, t) = f(x - V t) with straight f: du/dx = f' exactly, whatever the period."""
    speed, rise = 5.0, 0.3
    for period in (1e-3, 0.01, 0.1):
        steps = period * speed / (CROSSWIND_LAG * SPAN)
        slow = 0.0
        for k in range(round(3.0 / period)):
            before, now = (-rise * speed * period * n for n in (k, k + 1))
            slow = followed(slow, before, now, steps)
        assert slope_along(now, slow, CROSSWIND_LAG, SPAN) == pytest.approx(rise, rel=1e-4)


@given(steps=st.floats(1e-6, 50.0), value=st.floats(-5.0, 5.0))
def test_a_steady_gust_is_followed_to_rest(steps, value):
    assert followed(value, value, value, steps) == pytest.approx(value, abs=1e-9)
