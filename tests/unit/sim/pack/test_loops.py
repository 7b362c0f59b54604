"""Gains: those given are kept, those left out follow from inertia, lags and delays."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.pack.craft import pack_craft
from sim.pack.loops import RATE_SHARE, LoopLags, loop_lag_s, write_loops
from sim.params.craft_record import CRAFT_TYPE

LAGS = LoopLags(roll_s=0.05, pitch_s=0.03, yaw_s=0.03, height_s=0.05)
INERTIA = (0.2, 0.1, 0.3)
MOST = (1.0, 2.0, 3.0)


def control_of(spec, *, lags=LAGS, inertia=INERTIA):
    record = np.zeros(1, dtype=CRAFT_TYPE)[0]
    write_loops(spec, record.control, lags, inertia, MOST, 1e-3)
    return record.control


def test_timing_in_whole_steps_and_runs(craft):
    """500 Hz at steps of 1 ms: every second step; 4 ms of delay: two runs."""
    control = control_of(craft())
    assert int(control.period_ticks) == 2
    assert int(control.delay_runs) == 2
    assert np.all(control.loop_factor == 1.0)
    assert float(control.reserved) == pytest.approx(0.1)


def test_loops_as_fast_as_the_step_run_every_step(craft):
    control = control_of(craft(("loop_rate: 500 Hz", "loop_rate: 1 kHz")))
    assert int(control.period_ticks) == 1
    assert int(control.delay_runs) == 4


def test_own_lag_is_delay_half_a_period_and_the_gyro_filter(craft):
    """4 ms + 1 ms + 1 / (2 pi 80 Hz)."""
    assert loop_lag_s(craft().controller) == pytest.approx(0.005 + 1.0 / (160.0 * math.pi))


def test_default_rate_gains_cross_over_at_a_share_of_all_lags(craft):
    """p = J w with w = share / (own lag + actuator's); no integral in pitch by tilt."""
    spec = craft()
    control = control_of(spec)
    for axis, lag in enumerate((0.05, 0.03, 0.03)):
        crossover = RATE_SHARE / (loop_lag_s(spec.controller) + lag)
        assert float(control.rate[axis].p_n_m_s) == pytest.approx(INERTIA[axis] * crossover)
        assert float(control.rate[axis].integral_limit_n_m) == MOST[axis]
    assert float(control.rate[0].i_n_m) > 0.0
    assert float(control.rate[1].i_n_m) == 0.0
    assert float(control.rate[2].i_n_m) > 0.0


def test_outer_loops_are_slower_than_inner_ones(craft):
    control = control_of(craft())
    rate = [float(control.rate[axis].p_n_m_s) / INERTIA[axis] for axis in range(3)]
    assert all(float(control.level_1_s[axis]) < 0.5 * rate[axis] for axis in range(3))
    assert float(control.speed_p_1_s) < 0.5 * float(control.level_1_s.min())
    assert float(control.position_p_1_s) < 0.5 * float(control.speed_p_1_s)
    assert float(control.height_p_1_s) < 0.5 * float(control.climb_p_1_s)


def test_given_gains_are_kept_and_only_the_missing_follow(craft):
    spec = craft(
        (
            "reserved: 10 %}",
            "reserved: 10 %, rate: {roll: {p: 1.5 N m/(rad/s), i: 0.2 N m/rad}},"
            " level: {pitch: 3 1/s}}",
        )
    )
    control = control_of(spec)
    assert float(control.rate[0].p_n_m_s) == 1.5
    assert float(control.rate[0].i_n_m) == 0.2
    assert float(control.level_1_s[1]) == 3.0
    assert float(control.rate[1].p_n_m_s) == control_of(craft()).rate[1].p_n_m_s


@pytest.mark.parametrize("scale", [0.5, 2.0, 10.0])
def test_default_gains_go_with_the_inertia(craft, scale):
    """Twice the inertia, twice the moment per rate: the same crossover."""
    one = control_of(craft())
    other = control_of(craft(), inertia=tuple(scale * value for value in INERTIA))
    for axis in range(3):
        assert float(other.rate[axis].p_n_m_s) == pytest.approx(
            scale * float(one.rate[axis].p_n_m_s)
        )
        assert float(other.level_1_s[axis]) == float(one.level_1_s[axis])


def test_slower_actuators_get_softer_loops(craft, air):
    """A servo of a third of the frequency: softer pitch and yaw, the same roll."""
    quick = pack_craft(craft(), air).record.control
    servo = "servo: {slew: 0.1 s/60deg, "
    slow = pack_craft(craft((servo, servo + "natural_frequency: 4 Hz, ")), air).record.control
    assert float(slow.rate[1].p_n_m_s) < 0.7 * float(quick.rate[1].p_n_m_s)
    assert float(slow.rate[2].p_n_m_s) < 0.7 * float(quick.rate[2].p_n_m_s)
    assert float(slow.rate[0].p_n_m_s) == float(quick.rate[0].p_n_m_s)
