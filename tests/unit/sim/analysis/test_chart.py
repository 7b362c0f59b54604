"""The state as a vector and back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.analysis.chart import chart_of
from sim.params.state_record import STATE_TYPE

SMALL = st.floats(-1e-3, 1e-3)


def test_only_what_the_craft_has_is_a_state(hover):
    """Two tilting rotors, two runs of delay, with and without 24 particles."""
    bare, draped = hover("bare_bicopter").trim.chart, hover("jellyfish_bicopter").trim.chart
    assert draped.size - bare.size == 24 * 6
    assert bare.groups.count("tilt servo") == 2 * 3
    assert bare.groups.count("rotor speed") == 2
    assert bare.groups.count("delay") == 4 * 2
    assert "drape" not in bare.groups
    one_tilts = hover("heron_tricopter").trim.chart
    assert one_tilts.groups.count("tilt servo") == 3
    assert one_tilts.groups.count("rotor speed") == 3


def test_scales_are_positive_and_offsets_do_not_repeat(hover):
    chart = hover("jellyfish_bicopter").trim.chart
    assert (chart.scales > 0.0).all()
    plain = chart.offsets[chart.offsets >= 0]
    assert len(np.unique(plain)) == len(plain) == chart.size - 3
    assert plain.max() < STATE_TYPE.itemsize // 8


@settings(max_examples=50)
@given(values=st.lists(SMALL, min_size=8, max_size=8), seed=st.integers(0, 60))
def test_moving_and_comparing_are_inverse(hover, values, seed):
    """difference(base, moved(base, steps)) = steps, attitude included, to rounding."""
    trim = hover("bare_bicopter").trim
    chart = trim.chart
    steps = np.zeros(chart.size)
    steps[(seed + 7 * np.arange(8)) % chart.size] = values
    moved = chart.moved(trim.state, steps[:, None])
    back = chart.difference(trim.state, moved)[:, 0]
    # Rotor speeds are hundreds of radians per second, so their rounding is 1e-13.
    assert back == pytest.approx(steps, abs=1e-12)


def test_a_base_is_not_changed_and_many_steps_move_many_states(hover):
    trim = hover("bare_bicopter").trim
    before = trim.state.tobytes()
    moved = trim.chart.moved(trim.state, 1e-6 * np.eye(trim.chart.size))
    assert len(moved) == trim.chart.size
    assert trim.state.tobytes() == before
    apart = trim.chart.difference(trim.state, moved)
    assert apart == pytest.approx(1e-6 * np.eye(trim.chart.size), abs=1e-12)


def test_a_turn_adds_in_body_axes(hover):
    """A quarter turn about forward, then a little about right: still a unit quaternion."""
    trim = hover("bare_bicopter").trim
    chart, steps = trim.chart, np.zeros((trim.chart.size, 1))
    steps[chart.attitude : chart.attitude + 3, 0] = (np.pi / 2.0, 0.0, 0.0)
    turned = chart.moved(trim.state, steps)
    steps[chart.attitude : chart.attitude + 3, 0] = (0.0, 0.01, 0.0)
    further = chart.moved(turned, steps)
    assert np.linalg.norm(further["body"]["attitude"]) == pytest.approx(1.0, abs=1e-15)
    back = chart.difference(turned, further)[chart.attitude : chart.attitude + 3, 0]
    assert back == pytest.approx([0.0, 0.01, 0.0], abs=1e-14)


def test_demands_are_the_loop_outputs(hover):
    trim = hover("bare_bicopter").trim
    words = trim.state.view(np.float64).reshape(-1)
    seen = words[trim.chart.offsets[trim.chart.demands]]
    assert seen.tolist() == trim.state["control"]["demand"][0].tolist()


def test_the_number_of_states_follows_the_delay(hover):
    craft = hover("bare_bicopter").trim.crafts.copy()
    short = chart_of(craft[0]).size
    craft["control"]["delay_runs"] += 3
    assert chart_of(craft[0]).size == short + 4 * 3
