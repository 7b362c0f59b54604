"""When the step has a derivative, and what is said when it has none."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.linearise import AGREEMENT, SAME_SIDES, linearise
from sim.analysis.loop_breaks import AXES, all_margins
from sim.analysis.modes import modes
from sim.errors import NotLinear


def test_two_difference_sizes_agree_at_a_hover(hover):
    trim = hover("jellyfish_bicopter").trim
    model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    assert model.disagreement < AGREEMENT
    assert model.a.shape == (trim.chart.size, trim.chart.size)
    assert model.b.shape == (trim.chart.size, 6)
    assert model.period_s == pytest.approx(2e-3)
    assert np.isfinite(model.a).all()


def test_gravity_stands_in_the_matrix(hover):
    """Over one run of 2 ms a small pitch t changes the velocity north by -g t 2 ms."""
    trim = hover("bare_bicopter").trim
    model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    north, pitch = 3, trim.chart.attitude + 1
    assert model.a[north, pitch] == pytest.approx(-9.80665 * 2e-3, rel=1e-3)
    assert model.a[0, north] == pytest.approx(2e-3, rel=1e-3)
    assert model.a[north, north] == pytest.approx(1.0, abs=1e-2)


def test_a_state_on_a_kink_is_refused_by_name(hover):
    """A servo within a millionth of a radian of the edge of a deadband moves on one side alone."""
    trim = hover("bare_bicopter").trim
    crafts, state = trim.crafts.copy(), trim.state.copy()
    crafts["rotor"]["servo_deadband_rad"] = 1e-3
    state["rotor"]["servo_rad"][0, :2] += 1e-3 + 3e-7
    with pytest.raises(NotLinear) as refused:
        linearise(crafts, trim.flights, state, trim.chart)
    assert refused.value.seen > AGREEMENT
    assert "no usable derivative" in str(refused.value)


def test_a_kink_at_the_state_itself_is_refused_by_name(hover):
    """A servo exactly on the edge of a deadband is pulled one way and left alone the other way.
    Both difference sizes agree on the mean of the two slopes, which is that of neither side.
    """
    trim = hover("bare_bicopter").trim
    crafts, state = trim.crafts.copy(), trim.state.copy()
    crafts["rotor"]["servo_deadband_rad"] = 1e-3
    state["rotor"]["servo_rad"][0, :2] = state["rotor"]["tilt_command_rad"][0, :2] + 1e-3
    with pytest.raises(NotLinear) as refused:
        linearise(crafts, trim.flights, state, trim.chart)
    assert refused.value.allowed == SAME_SIDES
    # The servo and the command on its way to it move the same edge, equally far.
    assert refused.value.where in ("tilt servo", "delay")


def test_every_axis_gets_margins_and_modes_name_their_groups(hover):
    trim = hover("heron_tricopter").trim
    model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    closed, margins = all_margins(model)
    assert list(margins) == list(AXES)
    assert closed.unstable_roots() == 0
    found = modes(model.a, model.period_s, model.chart.groups)
    assert found
    assert {mode.shares[0][0] for mode in found} <= set(model.chart.groups)
