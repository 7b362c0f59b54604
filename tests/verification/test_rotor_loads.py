"""Rotors on the craft, in the step: directions, reactions, gyroscopic moments, momentum."""

import math

import numpy as np
import pytest

from sim.physics.rotor.ground_effect import ground_effect_ratio
from tests.verification.craft_builder import (
    GRAVITY,
    HUGE,
    SEA_LEVEL_DENSITY,
    Trial,
    add_rotor,
    add_thruster,
    blow,
    make_tilting,
    order_of,
    set_inertia,
    write_flat_map,
)

CLOCKWISE, ANTICLOCKWISE = 1.0, -1.0
THRUST, TORQUE = 0.012, 0.0009


def with_rotor(pivot=(0.0, 0.0, 0.0), *, spin=CLOCKWISE, speed=600.0, density=SEA_LEVEL_DENSITY):
    """Give a held craft with one spinning rotor on a map of the same coefficients everywhere."""
    trial = Trial()
    trial.flight.is_held = 1
    trial.flight.density_kg_m3 = density
    write_flat_map(trial.craft, THRUST, TORQUE)
    add_rotor(trial.craft, pivot, spin=spin)
    trial.state.rotor[0].speed_rad_s = speed
    return trial


def driven(trial):
    """Give the rotor the throttle at which its motor just carries the air's torque."""
    rotor, motion = trial.craft.rotor[0], trial.state.rotor[0]
    tip, area = motion.speed_rad_s * rotor.radius_m, math.pi * rotor.radius_m**2
    torque = trial.flight.density_kg_m3 * area * tip**2 * rotor.radius_m * TORQUE
    constant = rotor.speed_constant_rad_s_v
    volts = motion.speed_rad_s / constant + torque * constant * rotor.resistance_ohm
    motion.throttle = volts / 12.0
    return trial


def tilted(trial, angle, index=0):
    """Put a rotor at a tilt and leave it there."""
    rotor = trial.craft.rotor[index]
    make_tilting(rotor, frequency_rad_s=0.0, damping=0.0, slew_rad_s=0.0)
    trial.state.rotor[index].servo_rad = angle
    trial.state.rotor[index].tilt_rad = angle


def test_thrust_and_torque_of_the_rotor_convention():
    """T = rho A (Omega R)^2 C_T, Q = rho A (Omega R)^2 R C_Q, v_i = Omega R sqrt(C_T / 2)."""
    trial = with_rotor().run()
    tip, area = 600.0 * 0.2, math.pi * 0.04
    spot = trial.work.rotor[0]
    thrust = SEA_LEVEL_DENSITY * area * tip**2 * THRUST
    assert spot.thrust_n == pytest.approx(thrust, rel=1e-9)
    torque = SEA_LEVEL_DENSITY * area * tip**2 * 0.2 * TORQUE
    assert spot.torque_n_m == pytest.approx(torque, rel=1e-12)
    # Momentum theory: T = 2 rho A v_i^2.
    assert 2.0 * SEA_LEVEL_DENSITY * area * spot.induced_m_s**2 == pytest.approx(thrust, rel=1e-9)


@pytest.mark.parametrize(("axis", "lean"), [((0, 1, 0), (-1, 0)), ((1, 0, 0), (0, 1))])
def test_positive_tilt_turns_right_handed_about_its_axis(axis, lean):
    """About the right axis it leans the thrust backwards, about the forward axis to the right.

    The hub goes with it on the circle of its height above the pivot.
    """
    trial = with_rotor((0.1, 0.2, -0.05))
    trial.craft.rotor[0].tilt_axis[:] = axis
    trial.craft.rotor[0].hub_above_pivot_m = 0.06
    tilted(trial, 0.3)
    driven(trial).run()
    across, up = math.sin(0.3), math.cos(0.3)
    expected = np.array([lean[0] * across, lean[1] * across, -up])
    spot = trial.work.rotor[0]
    assert spot.axis == pytest.approx(expected, abs=1e-15)
    assert spot.hub_m == pytest.approx(np.array([0.1, 0.2, -0.05]) + 0.06 * expected, abs=1e-15)
    assert trial.work.force_n == pytest.approx(spot.thrust_n * expected, rel=1e-9, abs=1e-9)
    lever = np.cross(spot.hub_m, spot.thrust_n * expected)
    drag = expected * spot.torque_n_m  # clockwise: the air turns the craft about its thrust
    assert trial.work.moment_n_m == pytest.approx(lever + drag, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(("spin", "yaw"), [(CLOCKWISE, -1.0), (ANTICLOCKWISE, 1.0)])
def test_craft_turns_against_its_rotor(spin, yaw):
    """A clockwise rotor driven at a steady speed turns the craft anticlockwise, by its torque."""
    trial = driven(with_rotor(spin=spin)).run()
    moment = (0.0, 0.0, yaw * trial.work.rotor[0].torque_n_m)
    assert trial.work.moment_n_m == pytest.approx(moment, rel=1e-9, abs=1e-15)


def test_rotor_that_runs_down_does_not_turn_the_craft():
    """With no motor torque between them the air slows the rotor alone."""
    trial = with_rotor().run()
    assert trial.work.rotor[0].torque_n_m > 0.1
    assert trial.work.moment_n_m == pytest.approx((0.0, 0.0, 0.0), abs=1e-12)


@pytest.mark.parametrize(("spin", "yaw"), [(CLOCKWISE, -1.0), (ANTICLOCKWISE, 1.0)])
def test_speeding_up_kicks_the_craft_the_other_way(spin, yaw):
    """J dOmega/dt of the rotor is taken from the craft; in a vacuum that is the motor's torque."""
    trial = with_rotor(spin=spin, density=0.0)
    trial.craft.rotor[0].inertia_kg_m2 = 3e-5
    trial.state.rotor[0].throttle = 1.0
    trial.run()
    gained = (trial.state.rotor[0].speed_rad_s - 600.0) / 1e-3
    torque = (12.0 - 600.0 / 100.0) / 0.1 / 100.0
    assert 3e-5 * gained == pytest.approx(torque, rel=1e-12)
    assert trial.work.moment_n_m[2] == pytest.approx(yaw * torque, rel=1e-12)


def test_tilting_a_spinning_rotor_takes_a_gyroscopic_moment():
    """J Omega d(tilt)/dt about the third axis: 3e-5 kg m2, 6000 rpm, 375 deg/s give .123370 N m.

    A clockwise rotor's momentum points down; tilting about the right axis swings it forwards, so
    the craft is rolled left.
    """
    for spin in (CLOCKWISE, ANTICLOCKWISE):
        trial = with_rotor(spin=spin, speed=6000.0 * 2.0 * math.pi / 60.0, density=0.0)
        rotor = trial.craft.rotor[0]
        rotor.inertia_kg_m2 = 3e-5
        slew = math.radians(375.0)
        make_tilting(rotor, frequency_rad_s=400.0, damping=1.0, slew_rad_s=slew)
        trial.state.rotor[0].servo_rate_rad_s = slew
        trial.state.rotor[0].servo_rad = trial.state.rotor[0].tilt_rad = -1e-3 * slew
        trial.state.rotor[0].tilt_command_rad = 5.0
        trial.run(2)  # the second step begins upright
        assert trial.work.rotor[0].tilt_rate_rad_s == pytest.approx(slew, rel=1e-9)
        expected = (-spin * 0.123370, 0.0, 0.0)
        assert trial.work.moment_n_m == pytest.approx(expected, abs=6e-7)


def test_pitching_a_spinning_rotor_rolls_the_craft():
    """Euler with momentum H = J Omega down: the craft feels -w x H, so nose up gives -q J Omega."""
    trial = with_rotor(density=0.0)
    trial.craft.rotor[0].inertia_kg_m2 = 2e-4
    trial.state.body.rate_rad_s[:] = (0.0, 1.5, 0.0)
    trial.run()
    expected = -np.cross((0.0, 1.5, 0.0), (0.0, 0.0, 2e-4 * 600.0))
    assert trial.work.moment_n_m == pytest.approx(expected, rel=1e-12, abs=1e-15)


def free_in_vacuum(spins, step_s=1e-3):
    """Give a free craft in a vacuum whose motors are about to start."""
    trial = Trial()
    trial.flight.step_s = step_s
    trial.flight.gravity_m_s2 = 0.0
    set_inertia(trial.craft, (0.02, 0.03, 0.04))
    for i, spin in enumerate(spins):
        add_rotor(trial.craft, (0.0, 0.3 * (-1.0) ** i, 0.0), spin=spin, inertia_kg_m2=4e-5)
        trial.state.rotor[i].throttle = 0.5 + 0.2 * i
    trial.craft.rotor_map[0].axial_step = trial.craft.rotor_map[0].edge_step = 1.0
    trial.craft.rotor_map[0].reference_speed_rad_s = 1.0
    return trial


def angular_momentum(trial):
    """Give the angular momentum [kg m2/s] of all, earth axes; a rotor's is -s J Omega axis."""
    whole = trial.craft.inertia_kg_m2 @ trial.state.body.rate_rad_s
    for i in range(trial.craft.rotor_count):
        rotor, motion = trial.craft.rotor[i], trial.state.rotor[i]
        turn = motion.tilt_rad * np.sign(rotor.tilts)
        axis = np.array([-math.sin(turn), 0.0, -math.cos(turn)])
        whole = whole - rotor.spin * rotor.inertia_kg_m2 * motion.speed_rad_s * axis
    return trial.rotation @ whole


def test_starting_a_motor_gives_craft_and_rotor_opposite_spin():
    """In a vacuum I r + J Omega stays 0 to rounding, while both turn fast."""
    trial = free_in_vacuum([CLOCKWISE]).run_s(2.0)
    assert trial.state.rotor[0].speed_rad_s > 400.0
    spun = 4e-5 * trial.state.rotor[0].speed_rad_s
    assert trial.state.body.rate_rad_s == pytest.approx((0.0, 0.0, -spun / 0.04), rel=1e-9)
    assert angular_momentum(trial) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9 * spun)


def test_equal_and_opposite_rotors_leave_the_craft_at_rest():
    """Two rotors of opposite sense that speed up alike cancel each other."""
    trial = free_in_vacuum([CLOCKWISE, ANTICLOCKWISE])
    trial.state.rotor[1].throttle = trial.state.rotor[0].throttle
    trial.run_s(2.0)
    assert np.all(trial.state.body.rate_rad_s == 0.0)


def test_angular_momentum_stays_while_everything_turns():
    """Craft tumbling, motors starting, one rotor tilting: H of all of it is fixed in the earth.

    The step is of first order, so what drifts falls in half with half the step.
    """

    def drift(step_s):
        trial = free_in_vacuum([CLOCKWISE, ANTICLOCKWISE], step_s)
        make_tilting(trial.craft.rotor[0], frequency_rad_s=30.0, damping=0.7, slew_rad_s=HUGE)
        trial.state.rotor[0].tilt_command_rad = 0.6
        trial.state.body.rate_rad_s[:] = (0.5, 1.0, -0.3)
        before = angular_momentum(trial)
        trial.run_s(0.5)
        assert trial.state.rotor[1].speed_rad_s > 500.0
        return angular_momentum(trial) - before, np.linalg.norm(before)

    (coarse, size), (middle, _), (fine, _) = (drift(h) for h in (1e-3, 5e-4, 2.5e-4))
    assert np.linalg.norm(coarse) < 1e-2 * size
    ratio = np.linalg.norm(coarse - middle) / np.linalg.norm(middle - fine)
    assert math.log2(ratio) == pytest.approx(1.0, abs=0.1)
    # Extrapolated to no step nothing is left but the second order.
    assert np.linalg.norm(2.0 * fine - middle) < 1e-5 * size


def two_tilting(height_m, mass_kg=3.0, inertia=0.05, step_s=1e-3):
    """Give a craft on two tilting rotors beside each other, `height_m` above its CG, in hover."""
    trial = Trial()
    trial.flight.step_s = step_s
    trial.craft.mass_kg = mass_kg
    set_inertia(trial.craft, (inertia, inertia, inertia))
    for i, right in enumerate((-0.4, 0.4)):
        add_thruster(trial, (0.0, right, -height_m), 0.5 * mass_kg * GRAVITY)
        tilted(trial, 0.0, i)
    return trial


def set_tilts(trial, angle):
    for i in range(2):
        trial.state.rotor[i].servo_rad = trial.state.rotor[i].tilt_rad = angle


@pytest.mark.parametrize(
    ("height_m", "moment", "acceleration"),
    [(0.1, 1.006222, 20.1244), (0.0, 0.0, 0.0), (-0.1, -1.006222, -20.1244)],
)
def test_pitch_authority_is_thrust_times_height_times_tilt(height_m, moment, acceleration):
    """M = T h sin(tilt): 20 degrees at 0.1 m above the CG of 3 kg, J = 0.05 kg m2.

    With the rotors at the CG's height there is none; below it, it is reversed.
    """
    trial = two_tilting(height_m)
    set_tilts(trial, math.radians(20.0))
    trial.run()
    assert trial.work.moment_n_m[1] == pytest.approx(moment, abs=6e-7)
    assert trial.state.body.rate_rad_s[1] / 1e-3 == pytest.approx(acceleration, abs=6e-5)


def test_craft_swings_under_a_thrust_that_stays_vertical():
    """The transfer from tilt to place has its zeros at +- 7.670717 j rad/s: sqrt(m g h / J).

    Tilted against its own pitch the thrust stays upright, the craft stays in place and swings below
    it as a pendulum (3 kg, h = 0.1 m, J = 0.05 kg m2).
    """
    assert math.sqrt(3.0 * GRAVITY * 0.1 / 0.05) == pytest.approx(7.670717, abs=6e-7)
    trial = two_tilting(0.1, step_s=1e-4)
    start = 0.002
    trial.state.body.attitude[:] = (math.cos(0.5 * start), 0.0, math.sin(0.5 * start), 0.0)
    pitch, place = [], []
    for _ in range(8192):
        rotation = trial.rotation
        angle = math.atan2(rotation[0, 2], rotation[0, 0])
        set_tilts(trial, -angle)
        trial.run()
        pitch.append(angle)
        place.append(float(trial.state.body.position_m[0]))
    crossing = next(i for i in range(8192) if pitch[i] > 0.0 >= pitch[i + 1])
    quarter = (crossing + pitch[crossing] / (pitch[crossing] - pitch[crossing + 1])) * 1e-4
    assert 0.5 * math.pi / quarter == pytest.approx(7.670717, rel=1e-3)
    assert np.abs(place).max() < 1e-9
    assert np.ptp(pitch) == pytest.approx(2.0 * start, rel=1e-3)


def test_edgewise_flow_gives_drag_and_hub_moments():
    """In-plane force along the wind; upwind edge lifted; a clockwise rotor rolls to windward.

    Flying forward, the advancing blade of a rotor that turns clockwise seen from above is on the
    left: it lifts, and the craft rolls to the right, about the upwind direction.
    """
    for spin in (CLOCKWISE, ANTICLOCKWISE):
        trial = with_rotor(spin=spin, density=SEA_LEVEL_DENSITY)
        chart = trial.craft.rotor_map[0]
        chart.node["torque"][:] = 0.0
        chart.node["in_plane_force"][:] = 1e-4
        chart.node["rolling_moment"][:] = 2e-4
        chart.node["pitching_moment"][:] = 3e-4
        blow(trial.flight, 6.0)
        trial.flight.wind_from_rad = 0.0  # from ahead
        trial.run()
        pressure = SEA_LEVEL_DENSITY * math.pi * 0.04 * 120.0**2
        assert trial.work.force_n[0] == pytest.approx(-1e-4 * pressure, rel=1e-6)
        roll, pitch = spin * 2e-4 * pressure * 0.2, 3e-4 * pressure * 0.2
        assert trial.work.moment_n_m[:2] == pytest.approx((roll, pitch), rel=1e-6)


def test_advance_reaches_the_map():
    """A rotor reads its map at V/(Omega R): climbing at 6 m/s with 120 m/s at the tips, 0.05."""
    trial = with_rotor()
    chart = trial.craft.rotor_map[0]
    rows = chart.axial_min + chart.axial_step * np.arange(chart.node.shape[0])
    chart.node["thrust"][:] = (0.012 - 0.05 * rows)[:, None]
    trial.state.body.velocity_m_s[2] = -6.0
    trial.run()
    pressure = SEA_LEVEL_DENSITY * math.pi * 0.04 * 120.0**2
    assert trial.work.rotor[0].thrust_n == pytest.approx(pressure * (0.012 - 0.0025), rel=1e-9)
    assert trial.work.off_map == 0.0
    trial.state.body.velocity_m_s[2] = -0.6 * 120.0  # outside the map: its edge, and a mark
    trial.run()
    assert trial.work.rotor[0].thrust_n == pytest.approx(pressure * (0.012 - 0.025), rel=1e-9)
    assert trial.work.off_map == 1.0


def test_turning_craft_carries_its_rotors_through_the_air():
    """Roll rate p sends the right rotor down at p y: it meets air from below."""
    trial = with_rotor((0.0, 0.4, 0.0))
    chart = trial.craft.rotor_map[0]
    rows = chart.axial_min + chart.axial_step * np.arange(chart.node.shape[0])
    chart.node["thrust"][:] = (0.012 - 0.05 * rows)[:, None]
    trial.state.body.rate_rad_s[0] = 3.0
    trial.run()
    pressure = SEA_LEVEL_DENSITY * math.pi * 0.04 * 120.0**2
    more = 0.05 * 3.0 * 0.4 / 120.0
    assert trial.work.rotor[0].thrust_n == pytest.approx(pressure * (0.012 + more), rel=1e-9)


@pytest.mark.parametrize(("sink_share", "marked"), [(0.25, 0.0), (0.31, 1.0)])
def test_sinking_into_its_own_wake_is_marked(sink_share, marked):
    """From a sink of about 0.28 of the induced velocity on (Leishman, from memory)."""
    trial = with_rotor()
    trial.state.body.velocity_m_s[2] = sink_share * 120.0 * math.sqrt(0.5 * THRUST)
    trial.run()
    assert trial.work.in_own_wake == marked


@pytest.mark.parametrize("height_over_radius", [0.5, 1.0, 2.0, 3.0])
def test_ground_effect_is_that_of_the_hub(height_over_radius):
    """T / T_inf of Cheeseman and Bennett 1955 at the height of each hub above the ground."""
    trial = with_rotor((0.0, 0.0, -0.1))
    far = float(trial.run().work.rotor[0].thrust_n)
    trial.state.body.position_m[2] = 0.1 - height_over_radius * 0.2
    near = float(trial.run().work.rotor[0].thrust_n)
    assert near / far == pytest.approx(ground_effect_ratio(height_over_radius, 0.0), rel=1e-9)


def test_spin_down_is_that_of_drag_alone():
    """J dOmega/dt = -k Omega^2 leaves 1/Omega = 1/Omega_0 + k t / J, of first order in the step."""
    speeds = []
    for step_s in (1e-3, 5e-4, 2.5e-4):
        trial = with_rotor()
        trial.flight.step_s = step_s
        trial.craft.rotor[0].inertia_kg_m2 = 1e-4
        trial.run_s(0.5)
        speeds.append(float(trial.state.rotor[0].speed_rad_s))
    k = SEA_LEVEL_DENSITY * math.pi * 0.04 * 0.2**3 * TORQUE
    exact = 1.0 / (1.0 / 600.0 + k * 0.5 / 1e-4)
    assert order_of(*speeds) == pytest.approx(1.0, abs=0.05)
    assert 2.0 * speeds[2] - speeds[1] == pytest.approx(exact, rel=1e-5)
