"""Kaimal turbulence: the spectrum of IEC 61400-1, lags fitted to it, and what they generate."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from sim.physics.air.kaimal import (
    FIT_RANGE,
    LAG_SHARES,
    WORST_FIT,
    kaimal_scales,
    kaimal_spectrum,
    lag_bank,
    lag_bank_spectrum,
)


def test_scales_and_spectrum_of_the_standard():
    """V 10 m/s, I_ref 0.16, z 10 m: sigma_1 = I_ref (0.75 V + 5.6) = 2.096 m/s; L 56.7, 18.9, 4.62
    m; sigma_2 1.6768, sigma_3 1.0480 m/s; S_1 at 0.01, 0.1, 1 Hz = 61.16124, 8.427050, 0.2658064
    m2/s (IEC 61400-1 edition 3, constants from memory; values by hand).
    """
    scales = kaimal_scales(10.0)
    sigma = 0.16 * (0.75 * 10.0 + 5.6)
    assert scales.lengths_m == pytest.approx((56.7, 18.9, 4.62), rel=1e-12)
    sigmas = [sigma * ratio for ratio in scales.ratios]
    assert sigmas == pytest.approx([2.096, 1.6768, 1.0480], abs=1e-12)
    found = kaimal_spectrum(np.array([0.01, 0.1, 1.0]), scales.lengths_m[0], 10.0, sigma)
    assert found == pytest.approx([61.16124, 8.427050, 0.2658064], rel=1e-6)


def test_scales_stop_growing_at_sixty_metres():
    assert kaimal_scales(60.0) == kaimal_scales(150.0)
    assert kaimal_scales(60.0).lengths_m[0] == pytest.approx(8.1 * 42.0)


@pytest.mark.parametrize("spectrum", [kaimal_spectrum, lag_bank_spectrum])
def test_the_spectrum_holds_the_variance(spectrum):
    """The integral of S over f from 0 to infinity is sigma^2."""

    def at(logarithm):
        f = math.exp(logarithm)
        return f * float(spectrum(np.array([f]), 20.0, 5.0, 1.5)[0])

    area = sum(
        quad(at, *ends, epsabs=1e-13, limit=200)[0] for ends in ((-30, 0), (0, 20), (20, 40))
    )
    assert area == pytest.approx(2.25, rel=1e-8)


def test_the_lags_fit_the_spectrum_as_well_as_they_say():
    """At most 5.1 % off from f L / V = 0.001 to 100, and not much better either."""
    f = np.geomspace(*FIT_RANGE, 4000)
    apart = lag_bank_spectrum(f, 1.0, 1.0, 1.0) / kaimal_spectrum(f, 1.0, 1.0, 1.0) - 1.0
    assert 0.04 < np.abs(apart).max() < WORST_FIT
    assert sum(LAG_SHARES) == pytest.approx(1.0, abs=1e-7)


@pytest.mark.parametrize("period", [1e-4, 0.01, 0.5])
def test_lags_keep_their_variance_at_any_period(period):
    bank = lag_bank(5.0, 8.0, 1.3, period)
    assert (bank.decay**2 * bank.stationary**2 + bank.gain**2) == pytest.approx(
        bank.stationary**2, rel=1e-12
    )
    assert float((bank.stationary**2).sum()) == pytest.approx(1.69, rel=1e-12)
