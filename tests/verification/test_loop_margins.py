"""Loop margins against closed forms worked out on paper."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.loop_margins import (
    LoopMargins,
    Margin,
    decibel,
    loop_margins,
    margins_of_samples,
)

GRID = np.geomspace(1e-3, 1e4, 400)
EXACT = 1e-9  # the crossings are solved to rounding


def margins_of(transfer, grid=GRID, unstable_roots=0):
    return loop_margins(lambda w: transfer(1j * w), grid, unstable_roots=unstable_roots)


def discrete_margins_of(transfer, period_s=0.01, unstable_roots=0):
    nyquist = np.pi / period_s
    return loop_margins(
        lambda w: transfer(np.exp(1j * w * period_s)),
        np.geomspace(1e-3, nyquist, 300),
        unstable_roots=unstable_roots,
        nyquist_rad_s=nyquist,
    )


def test_third_order_loop_of_the_disk_margin_paper():
    """L = 25/(s^3 + 10 s^2 + 10 s + 10), the example of Seiler, Packard and Gahinet, IEEE Control
    Systems Magazine 40(5), 2020: Routh gives 1 + k L = 0 on the axis at w^2 = 10, 25 k = 90.
    """
    found = margins_of(lambda s: 25 / (s**3 + 10 * s**2 + 10 * s + 10))
    assert found.gain_up.value == pytest.approx(3.6, rel=EXACT)
    assert found.gain_up.frequency_rad_s == pytest.approx(np.sqrt(10.0), rel=EXACT)
    assert found.gain_down == Margin(0.0, None)
    assert decibel(found.gain_up.value) == pytest.approx(11.126, abs=5e-4)
    assert np.degrees(found.phase_rad.value) == pytest.approx(29.1104, abs=5e-5)
    assert found.phase_rad.frequency_rad_s == pytest.approx(1.7844, abs=5e-5)


@pytest.mark.parametrize("delay_s", [0.0, 0.02])
def test_integrator_with_lag_and_delay(delay_s):
    """L = 10 exp(-s d)/(s (0.05 s + 1)): |L| = 1 where w^2 = 200 (sqrt(2) - 1), and the phase
    margin there is pi/2 - atan(0.05 w) - w d; the delay margin is what is left of it over w.
    """
    found = margins_of(lambda s: 10 * np.exp(-s * delay_s) / (s * (0.05 * s + 1)))
    w = np.sqrt(200 * (np.sqrt(2) - 1))
    phase = np.pi / 2 - np.arctan(0.05 * w) - w * delay_s
    assert found.phase_rad.frequency_rad_s == pytest.approx(w, rel=EXACT)
    assert found.phase_rad.value == pytest.approx(phase, rel=EXACT)
    assert found.delay_s.value == pytest.approx(phase / w, rel=EXACT)
    if not delay_s:
        assert found.gain_up == Margin(np.inf, None)
        assert found.disk.alpha == pytest.approx(2 / np.sqrt(3), rel=1e-9)
        assert np.degrees(found.disk.phase_rad) == pytest.approx(60.0, abs=1e-6)


@pytest.mark.parametrize(("kp", "kd", "lag_s"), [(4, 1.2, 0.05), (20, 1.2, 0.05), (24, 0.6, 0.02)])
def test_attitude_loop_with_actuator_lag(kp, kd, lag_s):
    """PD on a double integrator behind a lag, L = (kd s + kp)/(s^2 (t s + 1)): by Routh it is
    stable if and only if kd > t kp, whatever the gain, so that the gain is not bounded to
    either side. The phase margin is atan(kd w/kp) - atan(t w).
    """
    assert kd > lag_s * kp
    found = margins_of(lambda s: (kd * s + kp) / (s**2 * (lag_s * s + 1)))
    assert found.gain_up == Margin(np.inf, None)
    assert found.gain_down == Margin(0.0, None)
    w = found.phase_rad.frequency_rad_s
    assert kd**2 * w**2 + kp**2 == pytest.approx(w**4 * (lag_s**2 * w**2 + 1), rel=1e-9)
    assert found.phase_rad.value == pytest.approx(
        np.arctan(kd * w / kp) - np.arctan(lag_s * w), rel=1e-9
    )
    assert found.delay_s.value == pytest.approx(found.phase_rad.value / w, rel=EXACT)


def test_lag_at_the_stability_limit_leaves_no_phase():
    """At kd = t kp (24, 1.2, 0.05) the loop above is kp/s^2: all roots but one on the axis."""
    found = margins_of(lambda s: (1.2 * s + 24) / (s**2 * (0.05 * s + 1)))
    assert found.phase_rad.value == pytest.approx(0.0, abs=1e-12)
    assert found.delay_s.value == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("crossover_rad_s", "delay_s", "phase_deg", "gain_db"),
    [
        (4.75, 0.20, 35.569, 4.368),
        (3.25, 0.35, 24.826, 2.803),
        (3.00, 0.30, 38.434, 4.838),
        (2.00, 0.30, 55.623, 8.359),
    ],
)
def test_human_pilot_at_crossover(crossover_rad_s, delay_s, phase_deg, gain_db):
    """L = wc exp(-d s)/s (McRuer and Krendel, AGARDograph 188, 1974): phase margin pi/2 - wc d,
    gain margin pi/(2 wc d) at pi/(2 d), and a further crossing with each
    turn of the delay.
    """
    found = margins_of(lambda s: crossover_rad_s * np.exp(-s * delay_s) / s, GRID[GRID < 200])
    assert found.phase_rad.value == pytest.approx(np.pi / 2 - crossover_rad_s * delay_s, rel=EXACT)
    assert np.degrees(found.phase_rad.value) == pytest.approx(phase_deg, abs=6e-4)
    assert found.gain_up.value == pytest.approx(np.pi / (2 * crossover_rad_s * delay_s), rel=EXACT)
    assert decibel(found.gain_up.value) == pytest.approx(gain_db, abs=6e-4)
    turns = 2 * np.pi * np.arange(len(found.phase_crossings)) + np.pi / 2
    assert len(turns) > 5
    assert [c.frequency_rad_s for c in found.phase_crossings] == pytest.approx(turns / delay_s)
    assert [c.value for c in found.phase_crossings] == pytest.approx(
        turns / (crossover_rad_s * delay_s)
    )


def test_gain_may_also_be_too_small():
    """L = (s + 1)^2/s^3: s^3 + k s^2 + 2 k s + k is stable if and only if 2 k > 1 (Routh), and at
    k = 1/2 its roots are on the axis at w^2 = 2 k = 1.
    """
    found = margins_of(lambda s: (s + 1) ** 2 / s**3)
    assert found.gain_up == Margin(np.inf, None)
    assert found.gain_down.value == pytest.approx(0.5, rel=EXACT)
    assert found.gain_down.frequency_rad_s == pytest.approx(1.0, rel=EXACT)


def test_unstable_plant_leaves_at_zero_frequency():
    """L = 2/(s - 1) is stable for k > 1/2, where the root crosses at zero frequency. |L| = 1 at
    sqrt(3) with 60 degrees in hand. S = (s - 1)/(s + 1), |S - 1/2| = 3/2 at zero: alpha 2/3.
    """
    found = margins_of(lambda s: 2 / (s - 1))
    assert found.gain_down.value == pytest.approx(0.5, rel=1e-9)
    assert found.gain_down.frequency_rad_s == 0.0
    assert found.gain_up == Margin(np.inf, None)
    assert np.degrees(found.phase_rad.value) == pytest.approx(60.0, abs=1e-9)
    assert found.disk.alpha == pytest.approx(2 / 3, rel=2e-6)  # at the lowest frequency looked at
    assert found.modulus.value == pytest.approx(1.0, rel=2e-6)


def test_resonance_is_passed_by_lead_and_by_lag():
    """L = g s/(s^2 + 2 z s + 1) has |L| = 1 where 1 - w^2 = +-r w, r^2 = g^2 - 4 z^2. The lower one
    leads by p = atan(r/2z), so that only more lead or nearly a whole turn of lag destabilises; the
    delay margin is the lesser of (pi - p)/w2 and (pi + p)/w1, not the lesser angle over w1.
    """
    g, z = 0.5, 0.01
    found = margins_of(lambda s: g * s / (s**2 + 2 * z * s + 1))
    r = np.sqrt(g**2 - 4 * z**2)
    low, high = np.sqrt(1 + r**2 / 4) - r / 2, np.sqrt(1 + r**2 / 4) + r / 2
    p = np.arctan(r / (2 * z))
    assert [c.frequency_rad_s for c in found.gain_crossings] == pytest.approx([low, high], rel=1e-9)
    assert [c.value for c in found.gain_crossings] == pytest.approx(
        [p - np.pi, np.pi - p], rel=1e-9
    )
    assert found.delay_s.value == pytest.approx((np.pi - p) / high, rel=1e-9)
    only_low = margins_of(lambda s: g * s / (s**2 + 2 * z * s + 1), GRID[GRID < 1.0])
    assert only_low.delay_s.value == pytest.approx((np.pi + p) / low, rel=1e-9)


@pytest.mark.parametrize("excess", [1e-2, 1e-4, 1e-6])
def test_two_crossings_between_two_samples(excess):
    """The loop above peaks at g/(2 z) = 1 + e: for a small e both lie between two samples."""
    z = 0.1
    g = 2 * z * (1 + excess)
    found = margins_of(lambda s: g * s / (s**2 + 2 * z * s + 1), np.geomspace(0.01, 110.0, 50))
    p = np.arctan(np.sqrt((1 + excess) ** 2 - 1))
    assert len(found.gain_crossings) == 2
    assert abs(found.phase_rad.value) == pytest.approx(np.pi - p, rel=1e-9)


@pytest.mark.parametrize("excess", [1e-2, 1e-4, 1e-6])
def test_two_phase_crossings_between_two_samples(excess):
    """L = (s + 1)^2/(s^3 (t s + 1)^2) is real where atan(w) - atan(t w) = pi/4, which is
    t w^2 - (1 - t) w + 1 = 0: two places that meet at t = 3 - 2 sqrt(2). The factors there are
    w^3 (1 + t^2 w^2)/(1 + w^2).
    """
    t = (3 - 2 * np.sqrt(2)) * (1 - excess)
    found = margins_of(
        lambda s: (s + 1) ** 2 / (s**3 * (t * s + 1) ** 2), np.geomspace(0.01, 110, 50)
    )
    w = ((1 - t) + np.array([-1, 1]) * np.sqrt((1 - t) ** 2 - 4 * t)) / (2 * t)
    assert [c.frequency_rad_s for c in found.phase_crossings] == pytest.approx(w, rel=1e-7)
    assert [c.value for c in found.phase_crossings] == pytest.approx(
        w**3 * (1 + t**2 * w**2) / (1 + w**2), rel=1e-7
    )


@pytest.mark.parametrize("k", [0.3, 1.0, 1.7])
def test_sampled_integrator(k):
    """L = k/(z - 1), root 1 - k: leaves at z = -1 with 2/k. |L| = 1 at 2 sin(w T/2) = k, where the
    phase margin is (pi - w T)/2.
    """
    found = discrete_margins_of(lambda z: k / (z - 1))
    assert found.gain_up.value == pytest.approx(2 / k, rel=EXACT)
    assert found.gain_up.frequency_rad_s == pytest.approx(np.pi / 0.01, rel=EXACT)
    turn = 2 * np.arcsin(k / 2)
    assert found.phase_rad.frequency_rad_s == pytest.approx(turn / 0.01, rel=EXACT)
    assert found.phase_rad.value == pytest.approx((np.pi - turn) / 2, rel=EXACT)
    assert found.delay_s.value == pytest.approx((np.pi - turn) / 2 / turn * 0.01, rel=EXACT)
    assert found.gain_down == Margin(0.0, None)


def test_sampled_integrator_one_step_late():
    """L = k/(z (z - 1)): z^2 - z + k has |z| = 1 at k = 1, at z = exp(j pi/3)."""
    found = discrete_margins_of(lambda z: 0.4 / (z * (z - 1)))
    assert found.gain_up.value == pytest.approx(2.5, rel=EXACT)
    assert found.gain_up.frequency_rad_s == pytest.approx(np.pi / 0.03, rel=EXACT)


def test_small_loop_bears_any_phase_and_delay():
    """|L| = 0.5/|s + 1| stays below 1, and L never meets the negative axis."""
    found = margins_of(lambda s: 0.5 / (s + 1))
    assert found.phase_rad == Margin(np.inf, None)
    assert found.delay_s == Margin(np.inf, None)
    assert found.gain_up == Margin(np.inf, None)
    assert found.gain_crossings == found.phase_crossings == ()


def test_resonance_between_the_samples_is_found():
    """A pair of resonances of width 1e-3 that ten samples a decade do not hit: the poles pull L
    through a half turn, which the grid follows once a neighbouring sample shows a part of it.
    """

    def transfer(s):
        near = (s**2 + 0.002 * s + 4.0) / (s**2 + 0.002 * s + 4.41)
        return 3 / (s * (0.05 * s + 1) * (0.02 * s + 1)) * near

    coarse = margins_of(transfer, np.geomspace(1e-2, 1e3, 51))
    fine = margins_of(transfer, np.geomspace(1e-2, 1e3, 200_001)[::20])
    assert coarse.phase_rad.value == pytest.approx(fine.phase_rad.value, rel=1e-9)
    assert coarse.modulus.value == pytest.approx(fine.modulus.value, rel=1e-9)
    assert len(coarse.gain_crossings) == len(fine.gain_crossings) == 3


def test_unstable_closed_loop_has_no_margin():
    found = margins_of(lambda s: 25 / (s**3 + 10 * s**2 + 10 * s + 10) * 4, unstable_roots=2)
    assert found == LoopMargins(2)
    assert not found.stable
    assert found.gain_up is found.phase_rad is found.delay_s is found.modulus is found.disk is None


def test_samples_give_the_margins_of_the_function():
    """A cubic spline through ln L over ln w is off by order h^4, 1.4e-6 here."""
    grid = np.geomspace(1e-2, 1e2, 268)
    values = 25 / ((1j * grid) ** 3 + 10 * (1j * grid) ** 2 + 10j * grid + 10)
    found = margins_of_samples(grid, values, unstable_roots=0)
    assert found.gain_up.value == pytest.approx(3.6, rel=1e-5)
    assert np.degrees(found.phase_rad.value) == pytest.approx(29.11037, abs=1e-4)
    assert found.disk.alpha == pytest.approx(0.458093, abs=2e-6)


@pytest.mark.parametrize(
    "grid", [np.array([0.0, 1.0]), np.array([2.0, 1.0]), np.array([1.0]), np.ones((2, 2))]
)
def test_bad_grid_is_refused(grid):
    with pytest.raises(ValueError, match="positive and ascending"):
        margins_of(lambda s: 1 / s, grid)


def test_samples_that_are_not_finite_are_refused():
    with pytest.raises(ValueError, match="finite and not zero"):
        margins_of_samples(np.array([1.0, 2.0]), np.array([1.0, np.nan]), unstable_roots=0)
