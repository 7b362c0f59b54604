"""Dryden turbulence: scales, spectra, and a discrete filter with the continuous covariance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.linalg import expm, solve_discrete_lyapunov

from sim.numerics.lag import lag_factor
from sim.params.record import record_type
from sim.params.wind_record import TurbulenceRecord
from sim.physics.air.dryden import (
    FOOT_M,
    dryden_scales,
    longitudinal_spectrum,
    transverse_spectrum,
)
from sim.physics.air.turbulence import (
    STILL,
    advance_turbulence,
    dryden_filter,
    first_order_shaping,
    first_turbulence,
    second_order_shaping,
    turbulence_velocity,
)

KNOT_M_S = 0.514444  # rounded, as in the hand figures below
# The case of the published-formula figures below: 20 ft, light turbulence, 5 m/s past the craft.
LENGTH_M, SPEED_M_S, SIGMA_U_M_S = 43.766, 5.0, 1.4887
VERTICAL_LENGTH_M, SIGMA_W_M_S = 6.096, 0.7717

STEPS = st.floats(-6.0, 1.0).map(lambda exponent: 10.0**exponent)


# MIL-F-8785C (1980), 3.7.3.4, sigma_w = 0.1 W20: height m, W20 kt, Lu, Lw m, sigma_w, sigma_u m/s.
@pytest.mark.parametrize(
    ("height", "knots", "along", "vertical", "sigma_w", "sigma_u"),
    [
        (6.096, 15.0, 43.766, 6.096, 0.7717, 1.4887),
        (6.096, 30.0, 43.766, 6.096, 1.5433, 2.9773),
        (10.0, 15.0, 67.366, 10.0, 0.7717, 1.4574),
        (30.0, 15.0, 152.465, 30.0, 0.7717, 1.3267),
    ],
)
def test_low_altitude_scales(height, knots, along, vertical, sigma_w, sigma_u):
    """Lu = h / (0.177 + 0.000823 h)^1.2, sigma_w / sigma_u = (0.177 + 0.000823 h)^0.4, h in ft."""
    scales = dryden_scales(height)
    assert scales.along_m == pytest.approx(along, abs=5e-4)
    assert scales.across_m == scales.along_m
    assert scales.vertical_m == pytest.approx(vertical, abs=1e-9)
    assert 0.1 * knots * KNOT_M_S == pytest.approx(sigma_w, abs=5e-5)
    assert 0.1 * knots * KNOT_M_S / scales.vertical_ratio == pytest.approx(sigma_u, abs=1e-4)


def test_scales_are_held_at_ten_and_a_thousand_feet():
    """10 ft <= h <= 1000 ft; at 1000 ft (0.177 + 0.823) = 1, so all three lengths are 1000 ft."""
    assert dryden_scales(1.0) == dryden_scales(10.0 * FOOT_M)
    top = dryden_scales(1000.0 * FOOT_M)
    assert dryden_scales(500.0) == top
    assert top == pytest.approx((304.8, 304.8, 304.8, 1.0), rel=1e-12)


def test_spectra_by_hand():
    """One-sided densities at 0.1, 1 and 5 rad/s, worked out by hand from MIL-F-8785C 3.7.2.2."""
    omega = np.array([0.1, 1.0, 5.0])
    scales = dryden_scales(20.0 * FOOT_M)
    sigma_w = 1.5 * KNOT_M_S
    sigma_u = sigma_w / scales.vertical_ratio
    along = longitudinal_spectrum(omega, scales.along_m, SPEED_M_S, sigma_u)
    vertical = transverse_spectrum(omega, scales.vertical_m, SPEED_M_S, sigma_w)
    np.testing.assert_allclose(along, [6.991919, 0.1590995, 0.00644368], rtol=1e-6)
    np.testing.assert_allclose(vertical, [0.234377, 0.2040636, 0.0178496], rtol=4e-6)


@pytest.mark.parametrize("spectrum", [longitudinal_spectrum, transverse_spectrum])
def test_spectra_hold_the_variance(spectrum):
    """The integral of Phi over w from 0 to infinity is sigma^2."""
    area, _ = quad(
        lambda w: float(spectrum(np.array([w]), LENGTH_M, SPEED_M_S, SIGMA_U_M_S)[0]), 0.0, np.inf
    )
    assert area == pytest.approx(SIGMA_U_M_S**2, rel=1e-6)


def test_first_order_coefficients_by_hand():
    """Decay a = exp(-V dt / L) = 0.99885821, gain sigma sqrt(1 - a^2) = 0.0711176 at 0.01 s."""
    scales = dryden_scales(20.0 * FOOT_M)
    sigma_u = 1.5 * KNOT_M_S / scales.vertical_ratio
    shaping = first_order_shaping(scales.along_m, SPEED_M_S, sigma_u, 0.01)
    assert shaping.decay == pytest.approx(0.99885821, abs=5e-9)
    assert shaping.gain == pytest.approx(0.0711176, abs=5e-8)


@given(step=STEPS)
def test_first_order_variance_is_exact(step):
    """decay^2 sigma^2 + gain^2 = sigma^2 at any period."""
    shaping = first_order_shaping(1.0, 1.0, SIGMA_U_M_S, step)
    assert shaping.decay**2 * SIGMA_U_M_S**2 + shaping.gain**2 == pytest.approx(
        SIGMA_U_M_S**2, rel=1e-14
    )


def noise_covariance(shaping):
    return shaping.noise_factor @ shaping.noise_factor.T


@pytest.mark.parametrize("step", [0.01, 0.1, 1.0, 5.0])
def test_noise_covariance_is_that_of_the_matrix_exponential(step):
    """Q = integral of exp(A t) B B^T exp(A t)^T over a period, by Van Loan's block exponential.

    Van Loan, C. F. (1978), Computing integrals involving the matrix exponential, IEEE Trans.
    Automatic Control 23. A = [[-1, 0], [1, -1]], B = [1, 0] in units of L / V, noise of unit power.
    The block holds terms as large as exp(step), whose rounding is the tolerance.
    """
    system = np.array([[-1.0, 0.0], [1.0, -1.0]])
    power = np.diag([1.0, 0.0])
    block = expm(np.block([[-system, power], [np.zeros((2, 2)), system.T]]) * step)
    transition = block[2:, 2:].T
    shaping = second_order_shaping(1.0, 1.0, 1.0, step)
    rounding = 1e-16 * math.exp(step)
    np.testing.assert_allclose(shaping.transition, transition, rtol=1e-12, atol=rounding)
    np.testing.assert_allclose(noise_covariance(shaping), transition @ block[:2, 2:], rtol=1e-9)


@given(step=STEPS)
def test_two_half_periods_are_one(step):
    """F(dt) = F(dt/2)^2 and Q(dt) = F(dt/2) Q(dt/2) F(dt/2)^T + Q(dt/2)."""
    whole = second_order_shaping(1.0, 1.0, SIGMA_W_M_S, step)
    half = second_order_shaping(1.0, 1.0, SIGMA_W_M_S, step / 2.0)
    move, noise = half.transition, noise_covariance(half)
    np.testing.assert_allclose(move @ move, whole.transition, rtol=1e-12)
    np.testing.assert_allclose(move @ noise @ move.T + noise, noise_covariance(whole), rtol=1e-9)


def test_a_slow_wind_loses_no_digits():
    """Q -> sigma^2 [[x, x^2/2], [x^2/2, x^3/3]] as x = V dt / L -> 0."""
    x = 1e-8
    shaping = second_order_shaping(100.0, 1e-3, 1.0, x * 1e5)
    limit = [[x, x**2 / 2.0], [x**2 / 2.0, x**3 / 3.0]]
    np.testing.assert_allclose(noise_covariance(shaping), limit, rtol=1e-6)


@given(step=STEPS)
def test_stationary_covariance_and_variance_are_exact(step):
    """P = F P F^T + Q, and the variance of the gust is c P c^T = sigma^2, at any period."""
    shaping = second_order_shaping(1.0, 1.0, SIGMA_W_M_S, step)
    stationary = shaping.stationary_factor @ shaping.stationary_factor.T
    move = shaping.transition
    np.testing.assert_allclose(
        move @ stationary @ move.T + noise_covariance(shaping), stationary, rtol=1e-13
    )
    variance = shaping.output @ stationary @ shaping.output
    assert variance == pytest.approx(SIGMA_W_M_S**2, rel=1e-13)
    if step > 1e-3:
        solved = solve_discrete_lyapunov(move, noise_covariance(shaping))
        np.testing.assert_allclose(solved, stationary, rtol=1e-9)


@pytest.mark.parametrize("lag", [1, 10, 300, 2000])
def test_correlation_at_a_distance(lag):
    """Dryden's correlations: f = exp(-r / L) along, g = (1 - r / (2 L)) exp(-r / L) across.

    They are the inverse transforms of the two spectra (Dryden, H. L. (1943), A review of the
    statistical theory of turbulence, Quarterly of Applied Mathematics 1).
    """
    period = 0.004
    reduced = lag * period * SPEED_M_S / VERTICAL_LENGTH_M
    shaping = second_order_shaping(VERTICAL_LENGTH_M, SPEED_M_S, SIGMA_W_M_S, period)
    stationary = shaping.stationary_factor @ shaping.stationary_factor.T
    move = np.linalg.matrix_power(shaping.transition, lag)
    found = shaping.output @ move @ stationary @ shaping.output
    exact = SIGMA_W_M_S**2 * (1.0 - reduced / 2.0) * math.exp(-reduced)
    assert found == pytest.approx(exact, abs=1e-12)
    along = first_order_shaping(VERTICAL_LENGTH_M, SPEED_M_S, SIGMA_W_M_S, period)
    assert along.decay**lag == pytest.approx(math.exp(-reduced), rel=1e-11)


@pytest.mark.parametrize("omega", [0.1, 1.0, 5.0, 30.0])
def test_spectrum_of_the_sampled_gust_is_the_folded_spectrum(omega):
    """(dt / pi) |c (z - F)^-1 G|^2 = sum over k of Phi(|w + 2 pi k / dt|), the exact aliasing.

    The sum is cut at 20 000 and its tail taken from Phi -> 3 sigma^2 V / (pi L w^2).
    """
    period, cut = 0.01, 20000
    shaping = second_order_shaping(VERTICAL_LENGTH_M, SPEED_M_S, SIGMA_W_M_S, period)
    turn = np.exp(1j * omega * period) * np.eye(2) - shaping.transition
    response = shaping.output @ np.linalg.solve(turn, shaping.noise_factor)
    sampled = period / math.pi * float(np.sum(np.abs(response) ** 2))
    folds = np.abs(omega + 2.0 * math.pi / period * np.arange(-cut, cut + 1))
    folded = transverse_spectrum(folds, VERTICAL_LENGTH_M, SPEED_M_S, SIGMA_W_M_S).sum()
    level = 3.0 * SIGMA_W_M_S**2 * SPEED_M_S / (math.pi * VERTICAL_LENGTH_M)
    tail = 2.0 * level * (period / (2.0 * math.pi)) ** 2 / (cut + 0.5)
    assert sampled == pytest.approx(folded + tail, rel=1e-8)


@pytest.mark.parametrize(("lag_s", "ratio"), [(1.0, 0.897469), (2.0, 0.814008), (5.0, 0.636448)])
def test_a_craft_that_follows_the_gust_with_a_lag(lag_s, ratio):
    """Variance of the speed over that of the gust -> (L / V) / (L / V + lag), with order dt^2."""
    scales = dryden_scales(20.0 * FOOT_M)
    exact = 1.0 / (1.0 + lag_s * SPEED_M_S / scales.along_m)
    assert exact == pytest.approx(ratio, abs=5e-7)
    errors = []
    for period in (0.008, 0.004):
        shaping = first_order_shaping(scales.along_m, SPEED_M_S, 1.0, period)
        share = lag_factor(period, lag_s)
        move = np.array([[shaping.decay, 0.0], [share, 1.0 - share]])
        noise = np.diag([shaping.gain**2, 0.0])
        errors.append(solve_discrete_lyapunov(move, noise)[1, 1] - exact)
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=1e-3)
    assert abs(errors[1]) < 1e-6


def test_compiled_update_is_the_matrix_update():
    """x(k+1) = F x + G n for each component, and the gust is c x."""
    dryden = dryden_filter(4.0, 3.0, 1.2, 0.001)
    normals = (0.3, -1.1, 0.7, 2.0, -0.4)
    state = (0.5, -0.2, 0.9, 0.1, -0.6)
    moved = advance_turbulence(state, dryden, normals)
    assert moved[0] == pytest.approx(dryden.along.decay * 0.5 + dryden.along.gain * 0.3, rel=1e-14)
    for shaping, first in ((dryden.across, 1), (dryden.vertical, 3)):
        pair = slice(first, first + 2)
        expected = shaping.transition @ state[pair] + shaping.noise_factor @ normals[pair]
        np.testing.assert_allclose(moved[pair], expected, rtol=1e-13)
        drawn = first_turbulence(dryden, normals)[pair]
        np.testing.assert_allclose(drawn, shaping.stationary_factor @ normals[pair], rtol=1e-14)
    gust = turbulence_velocity(state, dryden)
    assert gust[0] == 0.5
    assert gust[1] == pytest.approx(dryden.across.output @ state[1:3], rel=1e-13)
    assert gust[2] == pytest.approx(dryden.vertical.output @ state[3:5], rel=1e-13)


def test_record_of_a_flight_serves_as_well():
    """The same numbers, bit by bit, from the named coefficients and from the packed record."""
    dryden = dryden_filter(4.0, 3.0, 1.2, 0.001)
    record = np.zeros(1, dtype=record_type(TurbulenceRecord)).view(np.recarray)[0]
    for component in dryden._fields:
        for name in getattr(dryden, component)._fields:
            getattr(record, component)[name] = getattr(getattr(dryden, component), name)
    normals, state = (0.3, -1.1, 0.7, 2.0, -0.4), (0.5, -0.2, 0.9, 0.1, -0.6)
    assert advance_turbulence(state, record, normals) == advance_turbulence(state, dryden, normals)
    assert first_turbulence(record, normals) == first_turbulence(dryden, normals)
    assert turbulence_velocity(state, record) == turbulence_velocity(state, dryden)


def test_filter_takes_its_scales_from_the_height():
    """sigma_v = sigma_u, sigma_w = ratio sigma_u; L from MIL-F-8785C."""
    scales = dryden_scales(8.0)
    dryden = dryden_filter(6.0, 8.0, 1.5, 0.002)
    assert dryden.along == first_order_shaping(scales.along_m, 6.0, 1.5, 0.002)
    assert dryden.across == second_order_shaping(scales.across_m, 6.0, 1.5, 0.002)
    assert dryden.vertical == second_order_shaping(
        scales.vertical_m, 6.0, 1.5 * scales.vertical_ratio, 0.002
    )


def test_no_turbulence_and_impossible_turbulence():
    """No wind is needed for sigma = 0, which stays at rest; else V > 0 and dt > 0."""
    assert dryden_filter(0.0, 2.0, 0.0, 0.001) is STILL
    at_rest = advance_turbulence((0.0,) * 5, STILL, (1.0,) * 5)
    assert turbulence_velocity(at_rest, STILL) == (0.0, 0.0, 0.0)
    for speed, sigma, period in ((0.0, 1.0, 0.001), (5.0, -1.0, 0.001), (5.0, 1.0, 0.0)):
        with pytest.raises(ValueError, match="turbulence of"):
            dryden_filter(speed, 2.0, sigma, period)
