"""Authority against statics by hand: rotors that turn easily on a pack without resistance.

Thrust then goes as the square of throttle, F of each at full, and no torque is left on the craft.
Places are body axes: x forward, y right, z down, tilt pivots above the centre of gravity at -z.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.analysis.authority import backwards
from sim.analysis.motor_loss import Left, motor_loss
from sim.analysis.rotor_set import AXES, rotor_set, setting_of
from sim.analysis.trim import Trim
from sim.pack.craft import PackedCraft
from sim.params.craft_record import BICOPTER, TRICOPTER
from sim.params.state_record import STATE_TYPE
from tests.verification.craft_builder import Trial, add_rotor, make_tilting, write_flat_map

FULL_N, LEAST_N = 10.0, 0.4
COEFFICIENT, RADIUS_M, DENSITY = 0.01, 0.2, 1.225
TRAVEL_RAD = math.radians(30.0)
# The motors lose a hundred-thousandth of their speed to what turning takes.
TIGHT = 1e-4
CLOSE = 1e-5


def with_rotors(places, *, tilt_axes, layout, least_n=LEAST_N):
    """Give a craft whose rotors give 10 N each at full throttle, and none falls below the least."""
    trial = Trial()
    craft = trial.craft
    write_flat_map(craft, COEFFICIENT, 1e-6)
    trial.flight.density_kg_m3 = DENSITY
    area = math.pi * RADIUS_M**2
    full_speed = math.sqrt(FULL_N / (DENSITY * area * COEFFICIENT)) / RADIUS_M
    for place, axis in zip(places, tilt_axes, strict=True):
        rotor = add_rotor(craft, place, inertia_kg_m2=1e-4)
        rotor.speed_constant_rad_s_v = full_speed / 12.0
        rotor.resistance_ohm = 1e-5
        if axis is not None:
            make_tilting(rotor, frequency_rad_s=50.0, damping=0.8, slew_rad_s=10.0)
            rotor.tilt_axis[:] = axis
            rotor.tilt_travel_rad = TRAVEL_RAD
    mixer, count = craft.mixer, len(places)
    mixer.layout = layout
    mixer.full_thrust_n[:count] = FULL_N
    mixer.least_thrust_n = least_n
    mixer.thrust_exponent = 2.0
    state = np.zeros(1, dtype=STATE_TYPE)
    state["charge"], state["body"]["attitude"][:, 0] = 1.0, 1.0
    state["body"]["position_m"][:, 2] = -100.0
    return trial, state


def throttle(thrust_n):
    return math.sqrt(thrust_n / FULL_N)


def direction(axis, sense=1.0):
    found = np.zeros(len(AXES))
    found[AXES.index(axis)] = sense
    return found


A, B, C = 0.3, 0.4, 0.5


@pytest.fixture
def three():
    """Give two rotors in front at (A, +-B), a tail at -C that tilts sideways, all at CG height."""
    trial, state = with_rotors(
        [(A, -B, 0.0), (A, B, 0.0), (-C, 0.0, 0.0)],
        tilt_axes=[None, None, (1.0, 0.0, 0.0)],
        layout=TRICOPTER,
    )
    # 15 N without moments: the tail takes t with t (1 + C / A) = 15, the front the rest in halves.
    tail = 15.0 / (1.0 + C / A)
    setting = np.array([throttle((15.0 - tail) / 2.0)] * 2 + [throttle(tail), 0.0])
    return rotor_set(trial.craft, trial.flight, state), setting, tail


def test_three_rotors_at_rest(three):
    rotors, setting, _ = three
    assert rotors.wrenches(setting)[0] == pytest.approx([15.0, 0.0, 0.0, 0.0], abs=CLOSE)


def test_most_lift_of_three_rotors(three):
    """The tail is full first, as it carries 2 A / C > 1 times a front rotor: T = F (1 + C / A)."""
    rotors, setting, _ = three
    found = rotors.reach(setting, rotors.wrenches(setting)[0], direction("thrust"))
    assert 15.0 + found.amount == pytest.approx(FULL_N * (1.0 + C / A), rel=TIGHT)
    assert rotors.bounds_met(found.setting) == ((2, "full"),)


def test_roll_of_three_rotors(three):
    """With thrust and pitch kept the front pair keeps its sum s; one falls to the least thrust l:
    roll B (s - 2 l), the left rotor pushing the right side down.
    """
    rotors, setting, tail = three
    found = rotors.reach(setting, rotors.wrenches(setting)[0], direction("roll"))
    front = 15.0 - tail
    assert found.amount == pytest.approx(B * (front - 2.0 * LEAST_N), rel=TIGHT)
    assert found.setting[0] > found.setting[1]
    assert (1, "least") in rotors.bounds_met(found.setting)


def test_nose_up_of_three_rotors(three):
    """The front takes all but the tail's least: pitch A (15 - l) - C l, and can give that."""
    rotors, setting, _ = three
    found = rotors.reach(setting, rotors.wrenches(setting)[0], direction("pitch"))
    assert found.amount == pytest.approx(A * (15.0 - LEAST_N) - C * LEAST_N, rel=TIGHT)


def test_nose_down_of_three_rotors(three):
    """The tail goes to full, the front keeps the rest: pitch C F - A (15 - F)."""
    rotors, setting, _ = three
    found = rotors.reach(setting, rotors.wrenches(setting)[0], direction("pitch", -1.0))
    assert found.amount == pytest.approx(C * FULL_N - A * (15.0 - FULL_N), rel=TIGHT)


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_yaw_of_three_rotors(three, sense):
    """The tail keeps its upright part t, so that its side push is t tan(travel) at the arm C."""
    rotors, setting, tail = three
    found = rotors.reach(setting, rotors.wrenches(setting)[0], direction("yaw", sense))
    assert found.amount == pytest.approx(C * tail * math.tan(TRAVEL_RAD), rel=TIGHT)
    assert (2, "tilt") in rotors.bounds_met(found.setting)


SPAN, HEIGHT = 0.5, 0.1


@pytest.fixture
def two():
    """Give two rotors at +-SPAN that tilt about the right axis, HEIGHT above the CG; 12 N."""
    trial, state = with_rotors(
        [(0.0, -SPAN, -HEIGHT), (0.0, SPAN, -HEIGHT)],
        tilt_axes=[(0.0, 1.0, 0.0)] * 2,
        layout=BICOPTER,
    )
    setting = np.array([throttle(6.0)] * 2 + [0.0, 0.0])
    return rotor_set(trial.craft, trial.flight, state), setting


def test_pitch_of_two_rotors(two):
    """12 N upright at the tilt's stop push 12 tan(travel) fore or aft at the height's lever."""
    rotors, setting = two
    most = HEIGHT * 12.0 * math.tan(TRAVEL_RAD)
    for sense in (1.0, -1.0):
        found = rotors.reach(setting, rotors.wrenches(setting)[0], direction("pitch", sense))
        assert found.amount == pytest.approx(most, rel=TIGHT)
    assert {what for _, what in rotors.bounds_met(found.setting)} == {"tilt"}


def test_yaw_and_roll_of_two_rotors(two):
    """Apart at the stops: 12 tan(travel) at half the span; roll: one full, the other 2 N."""
    rotors, setting = two
    yaw = rotors.reach(setting, rotors.wrenches(setting)[0], direction("yaw")).amount
    assert yaw == pytest.approx(SPAN * 12.0 * math.tan(TRAVEL_RAD), rel=TIGHT)
    roll = rotors.reach(setting, rotors.wrenches(setting)[0], direction("roll"))
    assert roll.amount == pytest.approx(SPAN * (FULL_N - 2.0), rel=TIGHT)


def test_centre_of_gravity_at_the_pivots_has_no_pitch(two):
    """h = 0: tilting both moves the craft but does not turn it."""
    rotors, setting = two
    rotors.craft["rotor"]["pivot_m"][0, :2, 2] = 0.0
    low = rotors.wrenches(setting + np.array([0.0, 0.0, 0.3, 0.3]))[0]
    assert low[AXES.index("pitch")] == pytest.approx(0.0, abs=1e-12)


def test_centre_of_gravity_above_the_pivots_turns_pitch_round(two):
    """Below them nothing works backwards; above, what tilts for nose up pushes the nose down."""
    rotors, setting = two
    rotors.craft["mixer"]["right"] = 1
    assert backwards(rotors, setting) == ()
    rotors.craft["rotor"]["pivot_m"][0, :2, 2] = 0.05
    assert backwards(rotors, setting) == ("pitch",)


def test_leaning_tail_turns_the_way_the_mixer_means(three):
    rotors, setting, _ = three
    rotors.craft["mixer"]["tail"] = 2
    assert backwards(rotors, setting) == ()


def test_slice_of_the_hull_holds_what_is_reached(two):
    """Every way, the hull of the sampled settings ends where the rotors do, within a hundredth,
    except for "less lift" at tilted rotors, where the least thrust curves inward.
    """
    rotors, setting = two
    wrench = rotors.wrenches(setting)[0]
    for axis in AXES:
        for sense in (1.0, -1.0):
            reached = rotors.reach(setting, wrench, direction(axis, sense)).amount
            promised = rotors.hull.reach(wrench, direction(axis, sense))
            assert promised == pytest.approx(reached, rel=0.02)


def test_volume_grows_as_the_fourth_power_of_thrust(two):
    """All thrusts times q: the body is q times as large in four directions."""
    rotors, _ = two
    whole = rotors.hull.volume
    volumes = []
    for share in (0.5, 0.8, 0.9, 0.99):
        weaker = rotors.craft.copy()
        weaker["rotor"]["full_command"][0, :2] = share
        smaller = rotor_set(weaker[0], rotors.flight[0], rotors.state)
        volumes.append(smaller.hull.volume)
        assert volumes[-1] == pytest.approx(whole * share**8, rel=8 * CLOSE)
    assert volumes == sorted(volumes)
    assert volumes[-1] < whole


def losing(rotors, setting, rotor, share):
    """Give what a lost motor leaves, by the function for packed crafts."""
    # Without loops: a period of no steps leaves the throttles as they are.
    rotors.craft["control"]["period_ticks"] = 0
    state = rotors.state.copy()
    state["rotor"]["throttle"][0, : rotors.rotors] = setting[: rotors.rotors]
    packed = PackedCraft(rotors.craft, None, 1.0, 0.0, (), None, None, 1.0)
    trim = Trim(state, None, 0.0, 0, rotors.craft, rotors.flight)
    assert setting_of(state, rotors) == pytest.approx(setting)
    return motor_loss(packed, trim, rotor, share)


def test_two_rotors_with_one_stopped_turn_over(two):
    """Nothing balances the other: it rolls at once with 6 N at half the span over 1 kg m2."""
    found = losing(*two, 0, 0.0)
    assert found.left is Left.NOTHING
    assert found.tips_rad_s2 == pytest.approx([-6.0 * SPAN, 0.0, 0.0], abs=CLOSE)


def test_three_rotors_with_one_stopped_turn_over(three):
    rotors, setting, tail = three
    front = losing(rotors, setting, 0, 0.0)
    behind = losing(rotors, setting, 2, 0.0)
    assert front.left is behind.left is Left.NOTHING
    assert front.tips_rad_s2[0] == pytest.approx(-B * (15.0 - tail) / 2.0, rel=CLOSE)
    # Without the tail's push the nose comes up.
    assert behind.tips_rad_s2[1] == pytest.approx(C * tail, rel=CLOSE)


def test_weak_motor_leaves_less(two):
    """At 0.8 of its thrust the left rotor gives 8 N at full: 16 N level, and roll to the right by
    SPAN (8 - 4); to the left the right rotor still has 10 N.
    """
    found = losing(*two, 0, 0.8)
    assert found.left is Left.HOVER
    assert found.lift_left_n == pytest.approx(16.0 - 12.0, rel=TIGHT)
    assert found.weakest_roll_n_m == pytest.approx(SPAN * 4.0, rel=TIGHT)
    assert found.weakest_pitch_n_m == pytest.approx(HEIGHT * 12.0 * math.tan(TRAVEL_RAD), rel=TIGHT)


def test_four_rotors_without_one_hover_while_they_turn():
    """One stopped and its opposite shut down, two carry: level, but their torque turns it: the
    known way home of a craft with four rotors (from memory of Mueller and D'Andrea, 2014).
    """
    places = [(0.3, 0.3, 0.0), (-0.3, -0.3, 0.0), (0.3, -0.3, 0.0), (-0.3, 0.3, 0.0)]
    trial, state = with_rotors(places, tilt_axes=[None] * 4, layout=TRICOPTER, least_n=0.0)
    chart = trial.craft.rotor_map[0]
    chart.node["torque"][:] = 0.001
    for rotor, spin in zip(trial.craft.rotor, (1.0, 1.0, -1.0, -1.0), strict=False):
        rotor.spin = spin
    rotors = rotor_set(trial.craft, trial.flight, state)
    setting = np.full(4, throttle(4.0))
    found = losing(rotors, setting, 0, 0.0)
    assert found.left is Left.TURNING
    two_full = rotors.wrenches(np.array([0.0, 0.0, 1.0, 1.0]))[0][0]
    needed = rotors.wrenches(setting)[0][0]
    assert found.lift_left_n == pytest.approx(two_full - needed, rel=1e-6)
