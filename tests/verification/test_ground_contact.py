"""Standing, sliding, bouncing and tipping on the ground, in the step, against statics."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.body.ground_contact import FRICTION_SPEED_M_S, foot_force
from tests.verification.craft_builder import (
    GRAVITY,
    SEA_LEVEL_DENSITY,
    Trial,
    add_foot,
    add_part,
    add_particle,
    add_rim,
    add_thread,
    blow,
    set_inertia,
    stable_stiffness,
)

MASS_KG = 2.0
HALF_BASE_M = 0.2
LEG_M = 0.3
STIFFNESS_N_M = 2000.0
DAMPING_N_S_M = 30.0


def on_four_feet(*, friction=0.6, clear_m=0.0):
    """Give a craft whose feet are a height above the ground."""
    trial = Trial()
    craft = trial.craft
    craft.mass_kg = MASS_KG
    set_inertia(craft, (0.04, 0.04, 0.06))
    for forward in (-1.0, 1.0):
        for right in (-1.0, 1.0):
            add_foot(craft, (forward * HALF_BASE_M, right * HALF_BASE_M, LEG_M))
    craft.foot_stiffness_n_m = STIFFNESS_N_M
    craft.foot_damping_n_s_m = DAMPING_N_S_M
    craft.foot_friction = friction
    trial.state.body.position_m[2] = -LEG_M - clear_m
    return trial


def height_of_feet(trial):
    return -float(trial.state.body.position_m[2]) - LEG_M


def push(trial, force_n, height_m=0.0):
    """Push steadily to the north at a height above the CG, by a wind on a sail."""
    wind = 10.0
    blow(trial.flight, wind)
    area = force_n / (0.5 * SEA_LEVEL_DENSITY * wind**2)
    add_part(trial.craft, (0.0, 0.0, -height_m), (area, 0.0, 0.0))


def test_feet_sink_by_weight_over_stiffness():
    """m g = 4 k d: 2 kg on four springs of 2000 N/m sink by 2.45 mm."""
    trial = on_four_feet().run_s(3.0)
    depth = MASS_KG * GRAVITY / (4.0 * STIFFNESS_N_M)
    assert -height_of_feet(trial) == pytest.approx(depth, rel=1e-9)
    assert trial.state.body.velocity_m_s == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    assert trial.work.on_ground == 1.0
    # It feels what holds it up: g upwards.
    assert trial.state.body.specific_force_m_s2 == pytest.approx((0.0, 0.0, -GRAVITY), abs=1e-9)


def test_feet_in_the_air_carry_nothing():
    """A hair above the ground the craft falls freely."""
    trial = on_four_feet(clear_m=0.01).run()
    assert trial.work.on_ground == 0.0
    assert trial.state.body.velocity_m_s[2] == pytest.approx(GRAVITY * 1e-3, rel=1e-12)


def test_craft_with_its_cg_off_the_middle_leans():
    """Springs k at +-b carry W at e: each side W (b +- e) / 2 b, a lean of W e / (4 k b^2)."""
    trial = on_four_feet()
    offset = 0.05
    for k in range(4):
        trial.craft.foot[k].place_m[0] -= offset
    trial.run_s(4.0)
    rotation = trial.rotation
    lean = math.atan2(rotation[2, 0], rotation[0, 0])  # nose down: the CG is ahead of the middle
    weight = MASS_KG * GRAVITY
    expected = weight * offset / (4.0 * STIFFNESS_N_M * HALF_BASE_M**2)
    # Leaning by e moves the CG by e times its height: 1 + lean LEG / offset.
    expected *= 1.0 + expected * LEG_M / offset
    assert lean == pytest.approx(expected, rel=2e-2)


@pytest.mark.parametrize("share", [0.3, 0.9])
def test_friction_holds_a_push_below_its_limit(share):
    """Below mu m g the craft stays, but for the creep that makes friction linear near rest.

    v = 0.05 m/s F / (mu m g).
    """
    trial = on_four_feet()
    most = 0.6 * MASS_KG * GRAVITY
    push(trial, share * most, -LEG_M)
    trial.run_s(3.0)
    creep = FRICTION_SPEED_M_S * share
    # The wind that pushes is felt less by a craft that creeps with it: 2 v / 10 m/s.
    assert trial.state.body.velocity_m_s[0] == pytest.approx(creep, rel=2e-2)
    assert trial.state.body.velocity_m_s[0] < FRICTION_SPEED_M_S


def test_friction_gives_way_to_a_push_above_its_limit():
    """Beyond it the craft slides, with (F - mu m g) / m (Coulomb)."""
    trial = on_four_feet().run_s(2.0)
    most = 0.6 * MASS_KG * GRAVITY
    push(trial, 1.5 * most, -LEG_M)
    trial.run_s(0.2)
    before = trial.state.body.velocity_m_s[0]
    trial.run_s(0.1)
    gained = (trial.state.body.velocity_m_s[0] - before) / 0.1
    # At half a metre a second the wind's push is a tenth less, 1.35 for 1.5 of the limit.
    relative = 10.0 - 0.5 * (before + trial.state.body.velocity_m_s[0])
    force = 1.5 * most * (relative / 10.0) ** 2
    assert gained == pytest.approx((force - most) / MASS_KG, rel=2e-2)


def test_sliding_craft_comes_to_rest():
    """A craft let slide at 1 m/s stops after v^2 / (2 mu g), 85 mm."""
    trial = on_four_feet().run_s(2.0)
    for k in range(4):
        trial.craft.foot[k].place_m[2] = 1e-9  # friction at the height of the CG turns nothing
    trial.state.body.position_m[2] += LEG_M
    start = float(trial.state.body.position_m[0])
    trial.state.body.velocity_m_s[0] = 1.0
    trial.run_s(2.0)
    assert trial.state.body.velocity_m_s[0] == pytest.approx(0.0, abs=1e-6)
    way = 1.0 / (2.0 * 0.6 * GRAVITY)
    # The last 0.05 m/s fade instead of stopping: up to 0.05^2 / (mu g) further.
    assert trial.state.body.position_m[0] - start == pytest.approx(way, rel=1e-2)


def test_dropped_craft_bounces_lower_each_time():
    """Dampers take energy: from 0.3 m each bounce is lower, and it ends standing still."""
    trial = on_four_feet(clear_m=0.3)
    trial.craft.foot_damping_n_s_m = 6.0
    heights = trial.follow(10_000, height_of_feet)
    peaks = [
        heights[i]
        for i in range(1, len(heights) - 1)
        if heights[i - 1] < heights[i] >= heights[i + 1] and heights[i] > 0.0
    ]
    assert len(peaks) >= 3
    assert peaks[0] < 0.3
    assert np.all(np.diff(peaks) < 0.0)
    assert abs(trial.state.body.velocity_m_s[2]) < 1e-6


def test_undamped_feet_give_the_height_back():
    """Without dampers the springs return what they took: 0.3 m again, to the order of the step."""
    trial = on_four_feet(clear_m=0.3)
    trial.craft.foot_damping_n_s_m = 0.0
    trial.flight.step_s = 1e-4
    heights = trial.follow(8000, height_of_feet)
    low = int(np.argmin(heights))
    # m g (h + d) = 4 k d^2 / 2 at the deepest point.
    k, w = 4.0 * STIFFNESS_N_M, MASS_KG * GRAVITY
    deepest = (w + math.sqrt(w**2 + 2.0 * k * w * 0.3)) / k
    assert heights[low] == pytest.approx(-deepest, rel=2e-3)
    assert heights[low:].max() == pytest.approx(0.3, rel=2e-3)


@pytest.mark.parametrize(("share", "tips"), [(0.9, False), (1.1, True)])
def test_craft_tips_over_when_the_push_reaches_its_foot(share, tips):
    """It tips when F times the height of the push above the ground beats W times half the base."""
    trial = on_four_feet(friction=5.0).run_s(2.0)
    height = 0.4
    force = share * MASS_KG * GRAVITY * HALF_BASE_M / (height + LEG_M)
    push(trial, force, height)
    lean = trial.follow(4000, lambda t: math.acos(min(t.rotation[2, 2], 1.0)), every=10)
    assert bool(lean.max() > 0.5) == tips
    if not tips:
        assert lean.max() < 0.05


@given(
    depth=st.floats(1e-6, 0.05),
    north=st.floats(-3.0, 3.0),
    east=st.floats(-3.0, 3.0),
    down=st.floats(-3.0, 3.0),
    friction=st.floats(0.0, 2.0),
)
def test_ground_pushes_and_friction_opposes(depth, north, east, down, friction):
    """The ground never pulls; friction is within Coulomb's cone and against the sliding."""
    force = foot_force(depth, (north, east, down), STIFFNESS_N_M, DAMPING_N_S_M, friction)
    assert force[2] <= 0.0
    assert math.hypot(force[0], force[1]) <= -friction * force[2] * (1.0 + 1e-12)
    assert force[0] * north + force[1] * east <= 0.0
    assert foot_force(-depth, (north, east, down), 1.0, 1.0, friction) == (0.0, 0.0, 0.0)


def test_fabric_lies_on_the_ground():
    """A weight on a thread longer than the craft is high comes to lie on the ground."""
    trial = on_four_feet().run_s(1.0)
    rim = add_rim(trial.craft, (0.5, 0.0, 0.0))
    k = add_particle(trial, rim, 0.05, (0.5, 0.0, 0.0))
    add_thread(trial.craft, rim, k, 0.6, stable_stiffness(0.05, 1e-3))
    trial.state.particle[k].velocity_m_s[0] = 0.3
    trial.run_s(3.0)
    particle = trial.state.particle[k]
    assert particle.position_m[2] == pytest.approx(0.0, abs=2e-5)
    assert particle.velocity_m_s == pytest.approx((0.0, 0.0, 0.0), abs=2e-2)
    assert trial.work.drape_force_n == pytest.approx((0.0, 0.0, 0.0), abs=1e-12)
