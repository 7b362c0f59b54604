"""Gyro and accelerometer to attitude: right at rest, wrong while speeding up, as real ones are."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.numerics.quaternion import euler_angles, from_euler, turned, write_rotation
from sim.sensing.attitude_estimate import corrected_angles, euler_rates, felt_angles
from tests.verification.craft_builder import (
    GRAVITY,
    HUGE,
    Trial,
    add_foot,
    add_part,
    add_thruster,
    blow,
    make_tilting,
    set_inertia,
)

LEANS = st.floats(-1.2, 1.2)
TURNS = st.floats(-math.pi, math.pi)


def matrix(roll, pitch, heading):
    rotation = np.empty((3, 3))
    write_rotation(np.array(from_euler(roll, pitch, heading)), rotation)
    return rotation


@given(roll=TURNS, pitch=LEANS, heading=TURNS)
def test_gravity_alone_gives_roll_and_pitch(roll, pitch, heading):
    """At rest the accelerometer feels g upwards; its direction in the body is the attitude."""
    felt = matrix(roll, pitch, heading).T @ (0.0, 0.0, -GRAVITY)
    seen = felt_angles(tuple(felt))
    assert math.remainder(seen[0] - roll, 2.0 * math.pi) == pytest.approx(0.0, abs=1e-9)
    assert seen[1] == pytest.approx(pitch, abs=1e-9)


@pytest.mark.parametrize("nothing", [0.0, -0.0])
def test_free_fall_tells_nothing_and_is_taken_for_level(nothing):
    """Whatever the signs of the zeros, compiled and not."""
    for felt in (felt_angles, felt_angles.py_func):
        assert felt((nothing, nothing, nothing)) == (0.0, 0.0)


@given(roll=LEANS, pitch=LEANS, heading=LEANS, rate=st.tuples(*[st.floats(-3.0, 3.0)] * 3))
def test_euler_rates_are_the_slopes_of_the_angles(roll, pitch, heading, rate):
    """Kinematics of ISO 1151-1 angles against a difference of the turning attitude itself."""
    attitude, small = from_euler(roll, pitch, heading), 1e-6
    ends = []
    for sign in (-1.0, 1.0):
        rotation = np.empty((3, 3))
        turn = tuple(sign * small * r for r in rate)
        write_rotation(np.array(turned(attitude, turn)), rotation)
        ends.append(np.array(euler_angles(rotation)))
    slope = (ends[1] - ends[0]) / (2.0 * small)
    assert euler_rates((roll, pitch, heading), rate) == pytest.approx(slope, abs=1e-6)


def test_error_fades_with_the_time_constant():
    """At rest the estimate goes to gravity's direction as exp(-t / tau), by (1 - dt/tau)^n."""
    angles, tau, period = (0.3, -0.2, 1.0), 2.0, 0.004
    for _ in range(500):
        angles = corrected_angles(
            angles, (0.0, 0.0, 0.0), (0.0, 0.0, -GRAVITY), 0.0, 1.0 / tau, period
        )
    left = (1.0 - period / tau) ** 500
    assert angles == pytest.approx((0.3 * left, -0.2 * left, left), rel=1e-6)
    assert left == pytest.approx(math.exp(-1.0), rel=2e-3)


def test_gyro_offset_leaves_a_steady_error():
    """An offset b of the gyro is balanced by the correction at an error b tau."""
    angles, tau, offset = (0.0, 0.0, 0.0), 2.0, 0.01
    for _ in range(10_000):
        angles = corrected_angles(
            angles, (offset, 0.0, 0.0), (0.0, 0.0, -GRAVITY), 0.0, 1.0 / tau, 0.004
        )
    assert angles == pytest.approx((offset * tau, 0.0, 0.0), rel=1e-6, abs=1e-12)


def sensing(trial, tau=0.5):
    """Let sensors and loops run every tick, with the motors off."""
    trial.craft.control.period_ticks = 1
    trial.craft.sensing.attitude_time_constant_s = tau
    trial.craft.mixer.full_thrust_n[:] = 1.0
    trial.craft.mixer.thrust_share[:] = 1.0
    trial.craft.mixer.yaw_arm_m = trial.craft.mixer.pitch_arm_m = 1.0
    trial.state.armed = 0.0
    trial.state.body.specific_force_m_s2[:] = (0.0, 0.0, -GRAVITY)
    return trial


def estimate(trial):
    return trial.state.estimate.angle_rad.copy()


def test_standing_craft_finds_the_vertical():
    """On its feet, started with 0.2 rad wrong in roll, pitch and heading, it finds 0 with tau."""
    trial = sensing(Trial())
    for forward in (-0.2, 0.2):
        for right in (-0.2, 0.2):
            add_foot(trial.craft, (forward, right, 0.3))
    trial.craft.foot_stiffness_n_m, trial.craft.foot_damping_n_s_m = 1000.0, 20.0
    trial.state.body.position_m[2] = -0.3 + GRAVITY / 4000.0
    trial.state.estimate.angle_rad[:] = (0.2, -0.2, 0.2)
    share = estimate(trial.run_s(0.5)) / (0.2, -0.2, 0.2)
    assert share == pytest.approx((1.0 - 1e-3 / 0.5) ** 500 * np.ones(3), rel=1e-3)
    assert estimate(trial.run_s(10.0)) == pytest.approx((0.0, 0.0, 0.0), abs=1e-8)


def test_leaning_craft_in_steady_wind_knows_its_lean():
    """Held in place against the wind it feels g straight up: the estimate is true."""
    trial = sensing(Trial())
    set_inertia(trial.craft, (HUGE, HUGE, HUGE))
    lean, wind = 0.2, 8.0
    thrust = GRAVITY / math.cos(lean)
    add_thruster(trial, (0.0, 0.0, 0.0), thrust)
    blow(trial.flight, wind)
    drag = GRAVITY * math.tan(lean)
    trial.state.body.attitude[:] = from_euler(0.0, lean, 0.0)  # nose up: leans back against it
    area = drag / (0.5 * 1.225 * wind**2)
    # The flow in body axes is turned by the lean; equal areas make the drag lie along it.
    add_part(trial.craft, (0.0, 0.0, 0.0), (area, area, area))
    trial.run_s(6.0)
    assert trial.state.body.velocity_m_s == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    assert estimate(trial) == pytest.approx((0.0, lean, 0.0), abs=1e-5)


@pytest.mark.parametrize("acceleration", [0.5, 2.0])
def test_steady_acceleration_is_taken_for_a_lean(acceleration):
    """A level craft pushed forwards at a believes that it is nose up by atan(a / g)."""
    trial = sensing(Trial())
    set_inertia(trial.craft, (HUGE, HUGE, HUGE))
    rotor = add_thruster(trial, (0.0, 0.0, 0.0), math.hypot(GRAVITY, acceleration))
    tilt = -math.atan(acceleration / GRAVITY)  # forwards
    make_tilting(rotor, frequency_rad_s=0.0, damping=0.0, slew_rad_s=0.0)
    trial.state.rotor[0].servo_rad = trial.state.rotor[0].tilt_rad = tilt
    trial.run_s(6.0)
    assert trial.state.body.velocity_m_s[0] == pytest.approx(6.0 * acceleration, rel=1e-6)
    expected = math.atan(acceleration / GRAVITY)
    assert estimate(trial) == pytest.approx((0.0, expected, 0.0), abs=1e-4)


def test_estimate_follows_a_quick_turn_by_the_gyro():
    """A turn much quicker than tau is seen whole: gravity's correction has no time to act."""
    trial = sensing(Trial(), tau=1000.0)
    trial.flight.gravity_m_s2 = 0.0
    set_inertia(trial.craft, (1.0, 1.0, 1.0))
    trial.state.body.rate_rad_s[:] = (2.0, 0.0, 0.0)
    trial.run_s(0.5)
    roll = euler_angles(trial.rotation)[0]
    assert roll == pytest.approx(1.0, rel=1e-9)
    assert estimate(trial)[0] == pytest.approx(roll, abs=4e-3)


def test_gyro_reads_through_its_low_pass():
    """1 - exp(-w t) of a step of the rate, exact at the runs of the loop."""
    trial = sensing(Trial())
    trial.flight.gravity_m_s2 = 0.0
    trial.craft.sensing.gyro_cutoff_rad_s = 60.0
    trial.state.body.rate_rad_s[:] = (0.0, 0.0, 1.5)
    trial.run(20)
    expected = 1.5 * (1.0 - math.exp(-60.0 * 0.020))
    assert trial.state.estimate.gyro_rad_s[2] == pytest.approx(expected, rel=1e-12)


def test_noise_has_the_size_it_is_given():
    """White noise of 0.05 rad/s through the low-pass keeps its variance times a / (2 - a).

    a = 1 - exp(-w dt) is the filter's share (variance of a first-order autoregression). 20 000
    samples that are alike for 2 / a of them give the deviation to about 2 %.
    """
    trial = sensing(Trial())
    trial.flight.noise_factor = 1.0
    trial.flight.seed = 7
    trial.craft.sensing.gyro_noise_rad_s = 0.05
    trial.craft.sensing.gyro_cutoff_rad_s = 500.0
    trial.flight.is_held = 1
    seen = trial.follow(20_000, lambda t: t.state.estimate.gyro_rad_s.copy())[100:]
    a = 1.0 - math.exp(-0.5)
    assert seen.std(axis=0) == pytest.approx(0.05 * math.sqrt(a / (2.0 - a)) * np.ones(3), rel=0.05)
    assert np.abs(seen.mean(axis=0)).max() < 5.0 * 0.05 / math.sqrt(20_000)
    across = np.corrcoef(seen.T)
    assert np.abs(across - np.eye(3)).max() < 0.05
