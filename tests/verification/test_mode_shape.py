"""The shape of a swing whose eigenvector is known on paper: a weight on a thread under a free body.

Body of 3 kg, weight of 1.5 kg, thread of 0.5 m: w^2 = (g / l)(1 + m / M), 5.424016 rad/s, and with
nothing else pushing the two keep their common centre: the body goes -m / (M + m) of what the weight
goes against it.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import scipy.linalg

from sim.analysis.linearise import LinearModel
from sim.analysis.mode_shape import HEM_M, fabric_strips, mode_shapes, telling_shapes
from sim.params.craft_record import CRAFT_TYPE
from sim.params.state_record import STATE_TYPE

GRAVITY, LENGTH_M, BODY_KG, WEIGHT_KG = 9.80665, 0.5, 3.0, 1.5
PERIOD_S = 1e-3
GROUPS = ("drift",) * 6 + ("roll", "pitch", "yaw") * 2 + ("drape",) * 6


def pendulum_model(*, stiffness=(1.0, 4.0)):
    """Give the linear model of the pair, stiffer sideways so that the two swings differ."""
    rates = np.zeros((18, 18))
    for axis, factor in enumerate(stiffness):
        place, speed, weight, weight_speed = axis, 3 + axis, 12 + axis, 15 + axis
        pull = factor * GRAVITY / LENGTH_M
        rates[place, speed] = rates[weight, weight_speed] = 1.0
        rates[speed, weight], rates[speed, place] = (
            WEIGHT_KG / BODY_KG * pull,
            -WEIGHT_KG / BODY_KG * pull,
        )
        rates[weight_speed, weight], rates[weight_speed, place] = -pull, pull
    for rest in (2, 5, *range(6, 12), 14, 17):
        rates[rest, rest] = -50.0
    chart = SimpleNamespace(groups=GROUPS, attitude=6)
    step = scipy.linalg.expm(rates * PERIOD_S)
    return LinearModel(step, np.zeros((18, 6)), PERIOD_S, chart, 0.0, 0.0)


def one_weight():
    """Give craft and state with one particle under the CG."""
    crafts, state = np.zeros(1, dtype=CRAFT_TYPE), np.zeros(1, dtype=STATE_TYPE)
    drape = crafts[0].drape
    drape.panel_count = drape.rim_count = 1
    drape.panel.above[0] = -1
    state["body"]["attitude"][:, 0] = 1.0
    state["particle"]["position_m"][:, 0, 2] = LENGTH_M
    return crafts[0], state


def test_body_and_weight_swing_against_each_other():
    found = mode_shapes(pendulum_model(), *one_weight())
    assert len(found) == 2
    shape = min(found, key=lambda one: one.mode.frequency_hz)
    assert 2.0 * np.pi * shape.mode.frequency_hz == pytest.approx(5.424016, abs=1e-5)
    assert np.abs(shape.swing_m[0]) == pytest.approx([HEM_M, 0.0, 0.0], abs=1e-9)
    assert shape.swing_m[0, 0].imag == pytest.approx(0.0, abs=1e-6)
    share = -WEIGHT_KG / (BODY_KG + WEIGHT_KG)
    assert shape.shift_m[0] == pytest.approx(share * shape.swing_m[0, 0], abs=1e-6)
    assert shape.view == "side"
    assert shape.craft_words == "while its hem swings by 10 cm the craft moves 33 mm"


def test_sideways_swing_is_seen_from_behind():
    found = mode_shapes(pendulum_model(), *one_weight())
    shape = max(found, key=lambda one: one.mode.frequency_hz)
    assert shape.view == "behind"
    assert 2.0 * np.pi * shape.mode.frequency_hz == pytest.approx(2.0 * 5.424016, abs=1e-5)
    assert shape.sentence.startswith("drape and drift swing at 1.7 Hz")


def test_no_fabric_no_shapes():
    craft, state = one_weight()
    craft.drape.panel_count = 0
    assert mode_shapes(pendulum_model(), craft, state) == ()
    assert telling_shapes(()) == ()


def test_strips_run_from_the_rim_down():
    craft, _ = one_weight()
    drape = craft.drape
    drape.panel_count = 5
    drape.panel.above[:5] = (-1, 0, -2, 1, 2)
    assert fabric_strips(craft) == ((0, 1, 3), (2, 4))
