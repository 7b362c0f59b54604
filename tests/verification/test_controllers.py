"""Mixers and loops: the moments that come out are those asked for, and what is given up first."""

import itertools
import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from controllers.cascade import delay_line, throttle_for
from controllers.height import climb_integral, climb_wanted
from controllers.level import attitude_for, level_rate
from controllers.mixer import mix_thrusts
from controllers.position import drift_integral, speed_wanted
from controllers.rate import rate_demand, rate_integral
from controllers.tilt_mixer import mix_tilts
from sim.numerics.quaternion import from_euler, to_earth, write_rotation
from sim.pack.mixer import write_mixer
from sim.params.craft_record import CRAFT_TYPE
from sim.params.tally_record import LIMITS, Limit

FULL_N, LEAST_N, HOVER_N = 20.0, 0.8, 24.0
BICOPTER = np.array([[0.0, -0.4, -0.15], [0.0, 0.4, -0.15]])
TRICOPTER = np.array([[0.25, -0.4, 0.0], [0.25, 0.4, 0.0], [-0.5, 0.0, 0.0]])
CURVE = 1.7


def mixer_for(pivots, full_n=FULL_N):
    """Give the mixer that packing makes for rotors at these places, body axes from the CG."""
    layout = "bicopter" if len(pivots) == 2 else "tricopter"
    rotors = [SimpleNamespace(tilt=None) for _ in pivots]
    rotors[-1].tilt = "tail"
    mixer = np.zeros(1, dtype=CRAFT_TYPE)[0].mixer
    write_mixer(SimpleNamespace(layout=layout, rotors=rotors), mixer, pivots)
    mixer.full_thrust_n[: len(pivots)] = full_n
    mixer.least_thrust_n = LEAST_N
    mixer.hover_thrust_n = HOVER_N
    mixer.thrust_exponent = CURVE
    return mixer


def thrusts_for(mixer, count, demand, reserved=0.0):
    """Give thrusts [N] and limits met for thrust [N], roll and pitch moment [N m]."""
    thrusts, limits = np.zeros(8), np.zeros(LIMITS)
    mix_thrusts(mixer, count, reserved, demand, thrusts, limits)
    return thrusts[:count], limits


def wrench(pivots, thrusts, tilts=None, tilt_axis=(0.0, 1.0, 0.0)):
    """Give force and moment of thrusts at their places, summed here from geometry alone."""
    force, moment = np.zeros(3), np.zeros(3)
    for i, (place, thrust) in enumerate(zip(pivots, thrusts, strict=True)):
        angle = 0.0 if tilts is None else tilts[i]
        up = np.array([0.0, 0.0, -1.0])
        axis = math.cos(angle) * up + math.sin(angle) * np.cross(tilt_axis, up)
        force += thrust * axis
        moment += np.cross(place, thrust * axis)
    return force, moment


@st.composite
def layouts(draw):
    """Draw rotor places of either layout with the CG inside, not in the middle."""
    left, right = draw(st.floats(0.2, 0.6)), draw(st.floats(0.2, 0.6))
    if draw(st.booleans()):
        return np.array([[0.0, -left, -0.15], [0.0, right, -0.15]])
    front, back = draw(st.floats(0.15, 0.4)), draw(st.floats(0.2, 0.7))
    return np.array([[front, -left, 0.0], [front, right, 0.0], [-back, 0.0, 0.0]])


SMALL = st.floats(-0.3, 0.3)
ANY = st.floats(-50.0, 50.0)


@given(pivots=layouts(), thrust=st.floats(18.0, 26.0), roll=SMALL, pitch=SMALL)
def test_thrusts_give_exactly_what_was_asked(pivots, thrust, roll, pitch):
    """Sum of T = thrust, sum of r x F = (roll, pitch); two rotors leave pitch to their tilt."""
    pitch = pitch if len(pivots) == 3 else 0.0
    thrusts, limits = thrusts_for(mixer_for(pivots), len(pivots), (thrust, roll, pitch))
    assume(not limits.any())
    force, moment = wrench(pivots, thrusts)
    assert force == pytest.approx((0.0, 0.0, -thrust), abs=1e-12)
    assert moment[:2] == pytest.approx((roll, pitch), abs=1e-12)


@given(pivots=layouts(), thrust=st.floats(-10.0, 200.0), roll=ANY, pitch=ANY, reserved=SMALL)
def test_thrusts_never_leave_their_bounds(pivots, thrust, roll, pitch, reserved):
    """Whatever is asked, each rotor is given from least to full thrust."""
    thrusts, _ = thrusts_for(
        mixer_for(pivots), len(pivots), (thrust, roll, pitch), reserved=abs(reserved)
    )
    assert np.all(thrusts >= LEAST_N - 1e-9)
    assert np.all(thrusts <= FULL_N + 1e-9)


@given(pivots=layouts(), thrust=st.floats(-10.0, 200.0), roll=SMALL, pitch=SMALL)
def test_collective_is_given_up_before_roll_and_pitch(pivots, thrust, roll, pitch):
    """A thrust that cannot be had with the moments asked for is changed; the moments are kept."""
    pitch = pitch if len(pivots) == 3 else 0.0
    thrusts, limits = thrusts_for(mixer_for(pivots), len(pivots), (thrust, roll, pitch))
    force, moment = wrench(pivots, thrusts)
    assert moment[:2] == pytest.approx((roll, pitch), abs=1e-11)
    changed = abs(-force[2] - thrust) > 1e-9
    assert changed == bool(limits.any())


@given(pivots=layouts(), thrust=st.floats(0.0, 60.0), roll=ANY, pitch=ANY)
def test_moments_beyond_reach_shrink_together(pivots, thrust, roll, pitch):
    """When no collective can give them, roll and pitch keep their ratio; a limit is marked.

    And they shrink no more than they must: some rotor is at its least and some at its full thrust.
    """
    pitch = pitch if len(pivots) == 3 else 0.0
    thrusts, limits = thrusts_for(mixer_for(pivots), len(pivots), (thrust, roll, pitch))
    moment = wrench(pivots, thrusts)[1]
    asked = np.array([roll, pitch])
    size = np.linalg.norm(asked)
    assume(size > 1e-6)
    along = moment[:2] @ asked / size**2
    assert -1e-9 <= along <= 1.0 + 1e-9
    assert moment[:2] == pytest.approx(along * asked, abs=1e-9)
    if along < 1.0 - 1e-6:
        assert limits[Limit.THRUST_FULL] == 1.0
        assert thrusts.min() == pytest.approx(LEAST_N, abs=1e-8)
        assert thrusts.max() == pytest.approx(FULL_N, abs=1e-8)


@pytest.mark.parametrize("reserved", [0.0, 0.1, 0.3])
def test_reserve_for_levelling_caps_the_collective_only(reserved):
    """Throttle 1 - r is the thrust of its curve, (1 - r)^n; levelling still reaches full thrust."""
    mixer = mixer_for(BICOPTER)
    thrusts, limits = thrusts_for(mixer, 2, (1000.0, 0.0, 0.0), reserved=reserved)
    assert thrusts.sum() == pytest.approx(2.0 * FULL_N * (1.0 - reserved) ** CURVE, rel=1e-12)
    assert limits[Limit.THRUST_RESERVE] == 1.0
    roll = 0.8 * 2.0 * FULL_N * (1.0 - (1.0 - reserved) ** CURVE) * 0.4
    thrusts, _ = thrusts_for(mixer, 2, (1000.0, roll, 0.0), reserved=reserved)
    assert thrusts.sum() == pytest.approx(2.0 * FULL_N * (1.0 - reserved) ** CURVE, rel=1e-12)
    assert wrench(BICOPTER, thrusts)[1][0] == pytest.approx(roll, abs=1e-12)


def tilts_for(mixer, count, thrusts, pitch, yaw, travel=0.35):
    """Give tilts [rad] and limits met for pitch and yaw moments [N m] at these thrusts."""
    padded, tilts, limits = np.zeros(8), np.zeros(8), np.zeros(LIMITS)
    padded[:count] = thrusts
    mix_tilts(mixer, travel, pitch, yaw, padded, tilts, limits)
    return tilts[:count], limits


@given(pitch=st.floats(-0.3, 0.3), yaw=st.floats(-0.6, 0.6))
def test_tilts_of_two_rotors_give_pitch_and_yaw(pitch, yaw):
    """Pitch T h sin(tilt) and yaw by tilting apart, exact but for sin(x) = x - x^3/6 + ..."""
    tilts, limits = tilts_for(mixer_for(BICOPTER), 2, (12.0, 12.0), pitch, yaw)
    assert not limits.any()
    moment = wrench(BICOPTER, (12.0, 12.0), tilts)[1]
    lost = np.abs(tilts).max() ** 3 / 6.0
    assert moment[1] == pytest.approx(pitch, abs=24.0 * 0.15 * lost + 1e-12)
    assert moment[2] == pytest.approx(yaw, abs=24.0 * 0.4 * lost + 1e-12)


@given(yaw=st.floats(-0.8, 0.8))
def test_tail_tilt_of_three_rotors_gives_yaw(yaw):
    """The tail's sideways thrust at its lever turns the craft: N = l T sin(tilt)."""
    thrusts = (8.0, 8.0, 8.0)
    tilts, limits = tilts_for(mixer_for(TRICOPTER), 3, thrusts, 0.0, yaw)
    assert not limits.any()
    assert tilts[0] == tilts[1] == 0.0
    moment = wrench(TRICOPTER, thrusts, tilts, tilt_axis=(1.0, 0.0, 0.0))[1]
    lost = abs(tilts[2]) ** 3 / 6.0
    assert moment[2] == pytest.approx(yaw, abs=8.0 * 0.5 * lost + 1e-12)


@given(pitch=ANY, yaw=ANY, left=st.floats(LEAST_N, FULL_N), right=st.floats(LEAST_N, FULL_N))
def test_tilts_stay_within_their_travel_and_yaw_goes_first(pitch, yaw, left, right):
    """Pitch has the whole travel, yaw what pitch leaves; what is lost is marked."""
    mixer, travel = mixer_for(BICOPTER), 0.35
    tilts, limits = tilts_for(mixer, 2, (left, right), pitch, yaw, travel)
    assert np.abs(tilts).max() <= travel * (1.0 + 1e-12)
    common = 0.5 * (tilts[0] + tilts[1])
    alone, _ = tilts_for(mixer, 2, (left, right), pitch, 0.0, travel)
    assert common == pytest.approx(alone[0], abs=1e-12)
    if limits[Limit.TILT_TRAVEL]:
        assert abs(common) == pytest.approx(travel, rel=1e-12)
    if limits[Limit.YAW_GIVEN_UP]:
        apart = abs(tilts[1] - tilts[0]) / 2.0
        assert abs(common) + apart == pytest.approx(travel, rel=1e-12)


@given(yaw=ANY, tail=st.floats(LEAST_N, FULL_N))
def test_tail_tilt_stays_within_its_travel(yaw, tail):
    """What the tail cannot give in yaw is given up, and marked when it is."""
    mixer = mixer_for(TRICOPTER)
    tilts, limits = tilts_for(mixer, 3, (8.0, 8.0, tail), 0.0, yaw)
    assert abs(tilts[2]) <= 0.35
    wanted = abs(yaw) / (0.5 * max(tail, 0.2 * HOVER_N / 3.0))
    assert bool(limits[Limit.YAW_GIVEN_UP]) == (wanted > 0.35)


@given(wanted=ANY, gyro=ANY, slope=ANY, runs=st.integers(1, 50))
def test_rate_loop_is_proportional_integral_and_brakes_on_the_measured_slope(
    wanted, gyro, slope, runs
):
    """M = P e + I sum(e dt) - D dw/dt, and the integral never passes its bound."""
    gains = np.zeros(1, dtype=CRAFT_TYPE)[0].control.rate[0]
    gains.p_n_m_s, gains.i_n_m, gains.d_n_m_s2 = 0.7, 0.9, 0.02
    gains.integral_limit_n_m = 1.5
    held = 0.0
    for _ in range(runs):
        held = rate_integral(gains, wanted, gyro, held, 0.01)
    expected = min(max(0.9 * (wanted - gyro) * 0.01 * runs, -1.5), 1.5)
    assert held == pytest.approx(expected, abs=1e-9)
    moment = rate_demand(gains, wanted, gyro, slope, held)
    assert moment == pytest.approx(0.7 * (wanted - gyro) + held - 0.02 * slope, abs=1e-9)


@given(error=ANY)
def test_outer_loops_ask_for_no_more_than_their_limits(error):
    """Proportional inside, at the limit outside."""
    assert level_rate(4.0, error, 2.5) == pytest.approx(min(max(4.0 * error, -2.5), 2.5))
    control = np.zeros(1, dtype=CRAFT_TYPE)[0].control
    control.height_p_1_s, control.max_climb_m_s, control.max_sink_m_s = 0.8, 2.0, 1.0
    control.climb_i_1_s2 = control.speed_i_1_s2 = 0.5
    assert climb_wanted(control, error, 0.0) == pytest.approx(min(max(0.8 * error, -1.0), 2.0))
    bounded = min(max(1.0 + 0.5 * error * 0.1, -3.0), 3.0)
    assert climb_integral(control, error, 1.0, 0.1, 3.0) == pytest.approx(bounded)
    assert drift_integral(control, error, 1.0, 0.1, 3.0) == pytest.approx(bounded)


@given(north=ANY, east=ANY)
def test_position_loop_heads_straight_for_the_place(north, east):
    """The velocity asked for points at the place and is capped in size, not by axis."""
    control = np.zeros(1, dtype=CRAFT_TYPE)[0].control
    control.position_p_1_s, control.max_speed_m_s = 0.5, 1.5
    v = speed_wanted(control, (north, east), (0.0, 0.0))
    assert math.hypot(*v) == pytest.approx(min(0.5 * math.hypot(north, east), 1.5), abs=1e-12)
    assert v[0] * east == pytest.approx(v[1] * north, abs=1e-9)
    assert v[0] * north + v[1] * east >= 0.0


@given(north=st.floats(-3.0, 3.0), east=st.floats(-3.0, 3.0), heading=st.floats(-math.pi, math.pi))
def test_lean_asked_for_gives_the_acceleration_asked_for(north, east, heading):
    """Thrust that carries the weight, leaned so, pushes by g tan(lean): right along either axis.

    With both at once the two angles act one after the other, and the push is a few per cent off.
    """
    roll, pitch = attitude_for(north, east, heading, 9.80665, 1.0)
    rotation = np.empty((3, 3))
    write_rotation(np.array(from_euler(roll, pitch, heading)), rotation)
    push = np.array(to_earth(rotation, (0.0, 0.0, -1.0)))
    push *= 9.80665 / -push[2]
    assert push[:2] == pytest.approx((north, east), abs=0.05 * math.hypot(north, east) + 1e-12)
    if abs(north) < 1e-9 and abs(heading) < 1e-9:
        assert push[1] == pytest.approx(east, abs=1e-9)


def test_lean_asked_for_has_a_limit():
    """However hard it is to go north, the nose goes down by no more than the most tilt."""
    assert attitude_for(100.0, 0.0, 0.0, 9.80665, 0.4) == (0.0, -0.4)
    assert attitude_for(0.0, -100.0, 0.0, 9.80665, 0.4) == (-0.4, 0.0)


@pytest.mark.parametrize("runs", [0, 1, 7, 40])
def test_demand_comes_out_of_the_delay_line_after_its_runs(runs):
    """Pure delay: what is asked at run k acts at run k + n, unchanged."""
    line, nothing = np.zeros((48, 4)), np.zeros(6)
    out = []
    for k in range(100):
        demand = np.array([k, 10.0 * k, -k, 0.5 * k, 9.0, 9.0])
        delay_line(line, demand, nothing, runs)
        out.append(line[runs].copy())
    for k, late in itertools.islice(enumerate(out), runs, None):
        assert late == pytest.approx((k - runs) * np.array([1.0, 10.0, -1.0, 0.5]), abs=0.0)


@given(thrust=st.floats(-5.0, 30.0), exponent=st.floats(1.2, 2.5))
def test_throttle_undoes_the_thrust_curve(thrust, exponent):
    """T / T_full = throttle^n, between nothing and full."""
    throttle = throttle_for(thrust, FULL_N, exponent)
    assert 0.0 <= throttle <= 1.0
    assert FULL_N * throttle**exponent == pytest.approx(min(max(thrust, 0.0), FULL_N), abs=1e-9)
