"""A head on a hinge, run by the step, against closed forms and the laws of conservation."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.params.tally_record import Limit
from sim.physics.body.hinged_head import (
    energy_slopes,
    neck_moment,
    pitch_axis_of,
    write_head_rotation,
    write_mass_matrix,
    write_turned_inertia,
)
from tests.verification.craft_builder import (
    GRAVITY,
    SEA_LEVEL_DENSITY,
    add_part,
    add_thruster,
    blow,
    measured_frequency,
    order_of,
)
from tests.verification.hinged_craft import (
    ARM,
    HEAD_INERTIA,
    HEAD_KG,
    MAIN_INERTIA,
    MAIN_KG,
    PIVOT,
    hinged_trial,
    momenta,
    rotation_of_head,
)

SMALL_RAD = 1e-4
ROUND = np.diag([0.004, 0.003, 0.002])
CYCLES = 10


def frequency_seen(trial, axis, expected_rad_s):
    """Give the frequency [rad/s] at which one angle of the neck swings, over ten cycles."""
    ticks = round((CYCLES + 0.6) * 2.0 * math.pi / expected_rad_s / float(trial.flight.step_s))
    angle = trial.follow(ticks, lambda t: t.state.neck.angle_rad[axis])
    assert np.abs(angle).max() < 3.0 * SMALL_RAD
    return measured_frequency(trial.times(ticks), angle)


# Semi-implicit Euler swings faster by (w dt)^2 / 24 of its frequency (Hairer, Lubich and Wanner,
# Geometric Numerical Integration, chapter I): below 1e-5 at 15 rad/s and 1 ms.
SWING = 2e-5


@pytest.mark.parametrize("axis", [0, 1])
def test_head_above_its_pivot_on_a_clamped_craft(axis):
    """w = sqrt((k - m g r) / (J + m r^2)): gravity softens a spring that holds a head up."""
    inertia, above, stiffness = ROUND, 0.12, 2.0
    trial = hinged_trial(
        head_inertia=inertia, arm=(0.0, 0.0, -above), stiffness=(stiffness, stiffness)
    )
    trial.flight.is_held = 1
    trial.state.neck.angle_rad[axis] = SMALL_RAD
    turned = inertia[axis, axis] + HEAD_KG * above**2
    expected = math.sqrt((stiffness - HEAD_KG * GRAVITY * above) / turned)
    assert frequency_seen(trial, axis, expected) == pytest.approx(expected, rel=SWING)


def test_head_below_its_pivot_is_a_pendulum():
    """w = sqrt(m g r / (J + m r^2)), Huygens' compound pendulum, without a spring."""
    trial = hinged_trial(head_inertia=ROUND, arm=(0.0, 0.0, 0.2))
    trial.flight.is_held = 1
    trial.state.neck.angle_rad[1] = SMALL_RAD
    expected = math.sqrt(HEAD_KG * GRAVITY * 0.2 / (0.003 + HEAD_KG * 0.2**2))
    assert frequency_seen(trial, 1, expected) == pytest.approx(expected, rel=SWING)


def test_two_free_bodies_on_a_torsion_spring():
    """w = sqrt(k (1/I1 + 1/I2)) when both centres are on the pivot (two discs on a shaft)."""
    main = np.diag([0.03, 0.05, 0.06])
    trial = hinged_trial(
        main_inertia=main, head_inertia=ROUND, pivot=(0, 0, 0), arm=(0, 0, 0), stiffness=(1.0, 1.0)
    )
    trial.state.neck.angle_rad[1] = SMALL_RAD
    expected = math.sqrt(1.0 / 0.05 + 1.0 / 0.003)
    # The step's own error, and no more: w is 18.8 rad/s.
    assert frequency_seen(trial, 1, expected) == pytest.approx(expected, rel=SWING)


@pytest.mark.parametrize("falling", [True, False])
def test_two_free_bodies_apart(falling):
    """In one plane, with A over the two rates: w = sqrt(k / (A22 - A12^2 / A11)).

    A11 = I1 + I2 + mu (a + b)^2, A12 = I2 + mu (a + b) b, A22 = I2 + mu b^2, with the pivot a above
    one centre and b below the other, mu = m1 m2 / (m1 + m2). Gravity, being uniform, changes
    nothing in free fall.
    """
    i1, i2, a, b, stiffness = 0.05, 0.003, 0.11, 0.14, 1.5
    trial = hinged_trial(
        main_inertia=np.diag([0.03, i1, 0.06]),
        head_inertia=np.diag([0.004, i2, 0.002]),
        pivot=(0.0, 0.0, -a),
        arm=(0.0, 0.0, -b),
        stiffness=(stiffness, stiffness),
    )
    trial.flight.gravity_m_s2 = GRAVITY if falling else 0.0
    trial.state.neck.angle_rad[1] = SMALL_RAD
    mu = MAIN_KG * HEAD_KG / (MAIN_KG + HEAD_KG)
    a11, a12, a22 = i1 + i2 + mu * (a + b) ** 2, i2 + mu * (a + b) * b, i2 + mu * b * b
    expected = math.sqrt(stiffness / (a22 - a12**2 / a11))
    assert frequency_seen(trial, 1, expected) == pytest.approx(expected, rel=SWING)


def tumbling(**given):
    trial = hinged_trial(**given)
    trial.flight.gravity_m_s2 = 0.0
    trial.state.body.position_m[:] = 0.0
    trial.state.body.velocity_m_s[:] = (0.3, -0.2, 0.1)
    trial.state.body.rate_rad_s[:] = (0.8, -1.1, 0.6)
    trial.state.neck.angle_rad[:] = (0.3, -0.2)
    trial.state.neck.rate_rad_s[:] = (1.5, -2.0)
    return trial


NECKS = {
    "loose": {},
    "sprung": {"stiffness": (3.0, 2.0)},
    "damped": {"stiffness": (3.0, 2.0), "damping": (0.02, 0.03)},
    "stopped": {"stop": (0.4, 0.4)},
}


@pytest.mark.parametrize("kind", list(NECKS))
def test_momentum_and_angular_momentum_stay(kind):
    """Ten seconds of tumbling without outside forces: 1e-12 of what they are, which is rounding."""
    trial = tumbling(**NECKS[kind])
    if kind == "stopped":
        trial.craft.neck.stop_stiffness_n_m_rad[:] = 40.0
        trial.craft.neck.stop_damping_n_m_s_rad[:] = 0.1
    before = momenta(trial)
    after = momenta(trial.run_s(10.0))
    assert np.linalg.norm(before[3:6]) > 0.1
    assert after[:6] == pytest.approx(before[:6], abs=2e-12)
    if kind == "stopped":
        assert np.abs(trial.state.neck.angle_rad).max() < 0.6


def test_energy_of_free_tumbling_drifts_with_the_square_of_the_step():
    """The mean of two speeds (Heun) keeps the energy of free turning to second order."""
    drifts = []
    for step_s in (4e-3, 2e-3, 1e-3):
        trial = tumbling(step_s=step_s)
        before = momenta(trial)[6]
        drifts.append(momenta(trial.run_s(2.0))[6] / before - 1.0)
    assert abs(drifts[2]) < 1e-6
    assert order_of(*drifts) == pytest.approx(2.0, abs=0.6)


def test_damping_only_takes_energy_away():
    """Spring and motion together, every 0.1 s for 20 s; what is left turns as one body."""
    trial = tumbling(stiffness=(3.0, 2.0), damping=(0.02, 0.03))

    def energy(t):
        spring = 0.5 * float(t.craft.neck.stiffness_n_m_rad @ t.state.neck.angle_rad**2)
        return momenta(t)[6] + spring

    seen = trial.follow(20_000, energy, every=100)
    # Semi-implicit Euler keeps a nearby energy: its own swings to and fro with w dt / 2.
    assert np.all(np.diff(seen) <= 0.02 * (seen[0] - seen[-1]))
    assert seen[-1] < 0.8 * seen[0]
    assert trial.state.neck.rate_rad_s == pytest.approx((0.0, 0.0), abs=0.05)


def test_free_fall_does_not_bend_the_neck():
    """Gravity pulls both alike: nothing is felt, and an off-centre head stays where it is."""
    trial = hinged_trial(stiffness=(0.5, 0.5))
    trial.run_s(1.0)
    assert trial.state.neck.angle_rad == pytest.approx((0.0, 0.0), abs=1e-15)
    assert trial.state.body.specific_force_m_s2 == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    assert trial.state.body.velocity_m_s[2] == pytest.approx(GRAVITY, rel=1e-12)


def test_carried_head_sags_as_on_a_stand_and_the_craft_feels_one_g():
    """k q = m g x(q) in hover as on a clamp, x being how far the head's centre is off the pivot.

    The thrust passes the common centre of the bent craft, so that nothing turns; what is felt at
    the reference point is minus g.
    """
    arm, stiffness = (0.06, 0.0, -0.02), 1.2
    held = hinged_trial(arm=arm, stiffness=(stiffness, stiffness), damping=(0.05, 0.05))
    held.flight.is_held = 1
    held.run_s(5.0)
    pitch = float(held.state.neck.angle_rad[1])
    ahead = rotation_of_head(held) @ arm
    assert pitch == pytest.approx(-HEAD_KG * GRAVITY * ahead[0] / stiffness, rel=1e-9)
    trial = hinged_trial(arm=arm, stiffness=(stiffness, stiffness), damping=(0.05, 0.05))
    share = HEAD_KG / (MAIN_KG + HEAD_KG)
    centre = share * (ahead - arm)
    add_thruster(trial, (centre[0], centre[1], -0.1), (MAIN_KG + HEAD_KG) * GRAVITY)
    trial.state.neck.angle_rad[:] = held.state.neck.angle_rad
    trial.run_s(0.5)
    assert trial.state.neck.angle_rad == pytest.approx(held.state.neck.angle_rad, abs=1e-7)
    assert trial.state.body.rate_rad_s == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    felt = trial.state.body.specific_force_m_s2
    assert felt == pytest.approx((0.0, 0.0, -GRAVITY), abs=1e-5)


def test_what_is_felt_is_the_acceleration_of_the_reference_point_less_gravity():
    """In the midst of a swing under thrust: (v' - v) / dt - g, turned into body axes."""
    trial = tumbling(stiffness=(3.0, 2.0))
    trial.flight.gravity_m_s2 = GRAVITY
    add_thruster(trial, (0.05, 0.1, -0.1), 9.0)
    trial.run(50)
    before, rotation = trial.state.body.velocity_m_s.copy(), trial.rotation
    trial.run()
    change = (trial.state.body.velocity_m_s - before) / 1e-3 - np.array([0.0, 0.0, GRAVITY])
    felt = trial.state.body.specific_force_m_s2
    assert felt == pytest.approx(rotation.T @ change, abs=1e-9)
    force = np.array(trial.work.force_n) / float(trial.craft.mass_kg)
    assert np.linalg.norm(felt - force) > 0.1, "the swinging head must be felt"


def test_wind_pushes_the_head_where_it_is():
    """Impulse of the drag at the bent head's place: momentum F dt, angular momentum r x F dt."""
    trial = hinged_trial()
    trial.flight.gravity_m_s2 = 0.0
    trial.state.body.position_m[:] = (0.0, 0.0, -50.0)
    add_part(trial.craft, trial.craft.neck.pivot_m + trial.craft.neck.head_centre_m, (0.05,) * 3)
    trial.craft.neck.body_index = 0
    blow(trial.flight, 8.0)
    trial.state.neck.angle_rad[:] = (0.7, -0.5)
    place = trial.craft.neck.pivot_m + rotation_of_head(trial) @ ARM
    where = trial.state.body.position_m + place
    before = momenta(trial)
    after = momenta(trial.run())
    drag = np.array([0.5 * SEA_LEVEL_DENSITY * 0.05 * 64.0, 0.0, 0.0])
    assert (after - before)[:3] == pytest.approx(1e-3 * drag, rel=1e-9, abs=1e-15)
    assert (after - before)[3:6] == pytest.approx(1e-3 * np.cross(where, drag), rel=1e-9, abs=1e-12)
    bent = trial.state.neck.rate_rad_s[1]
    assert bent < 0.0, "wind from behind bends a head that stands up forward, which is nose down"


def test_a_head_feels_its_own_swing():
    """A swinging head in still air is braked by its own speed, at its own place."""
    trial = hinged_trial(head_inertia=ROUND, arm=(0.0, 0.0, -0.2))
    trial.flight.is_held = 1
    trial.flight.gravity_m_s2 = 0.0
    trial.flight.density_kg_m3 = SEA_LEVEL_DENSITY
    add_part(trial.craft, trial.craft.neck.pivot_m + trial.craft.neck.head_centre_m, (0.05,) * 3)
    trial.craft.neck.body_index = 0
    trial.state.neck.rate_rad_s[1] = 5.0
    trial.run()
    braking = 0.5 * SEA_LEVEL_DENSITY * 0.05 * (5.0 * 0.2) ** 2 * 0.2
    turned = ROUND[1, 1] + HEAD_KG * 0.2**2
    assert 5.0 - trial.state.neck.rate_rad_s[1] == pytest.approx(1e-3 * braking / turned, rel=1e-3)


def test_stops_hold_and_are_counted():
    """A head let fall from upright comes to rest on its stop, less than half a degree beyond."""
    stop = math.radians(30.0)
    trial = hinged_trial(
        head_inertia=ROUND, arm=(0.0, 0.0, -0.2), damping=(0.02, 0.02), stop=(stop, stop)
    )
    trial.flight.is_held = 1
    trial.craft.neck.stop_stiffness_n_m_rad[:] = 500.0
    trial.craft.neck.stop_damping_n_m_s_rad[:] = 2.0
    trial.state.neck.angle_rad[1] = 0.01
    angle = trial.follow(8000, lambda t: t.state.neck.angle_rad[1])
    assert angle.max() < stop + math.radians(2.0)
    load = HEAD_KG * GRAVITY * 0.2 * math.sin(float(angle[-1]))
    assert angle[-1] - stop == pytest.approx(load / 500.0, rel=1e-6)
    assert trial.work.at_limit[int(Limit.NECK_STOP)] == 1.0


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_stops_of_a_packed_craft_hold_a_head_that_is_thrown(shipped, axis, side):
    """Thrown at 10 rad/s it goes at most a few degrees beyond, and what it brought is not given
    back: stops are as stiff as the step allows, and the step carries them.
    """
    trial = hinged_trial()
    trial.crafts = np.array([shipped("heron_tricopter").record])
    trial.flight.is_held = 1
    trial.flight.gravity_m_s2 = 0.0
    trial.craft.rotor_count, trial.craft.body_count, trial.craft.foot_count = 0, 0, 0
    neck = trial.craft.neck
    neck.body_index = -1
    neck.stiffness_n_m_rad[:], neck.damping_n_m_s_rad[:] = 0.0, 0.0
    trial.state.neck.rate_rad_s[axis] = 10.0 * side
    seen = trial.follow(
        5000, lambda t: (t.state.neck.angle_rad[axis], t.state.neck.rate_rad_s[axis])
    )
    beyond = np.abs(seen[:, 0]).max() - float(neck.stop_rad[axis])
    assert 0.0 < beyond < math.radians(3.0)
    assert np.abs(seen[:, 1]).max() <= 10.0 + 1e-9
    assert abs(seen[-1, 1]) < 5.0


def test_a_stop_pushes_and_never_pulls():
    """Leaving a stop faster than its spring follows, a head is not held back."""
    assert neck_moment(0.51, -100.0, 0.0, 0.0, 0.5, 10.0, 1.0) == 0.0
    assert neck_moment(0.51, 0.0, 0.0, 0.0, 0.5, 10.0, 1.0) == pytest.approx(-0.1, rel=1e-12)
    assert neck_moment(-0.51, 0.0, 0.0, 0.0, 0.5, 10.0, 1.0) == pytest.approx(0.1, rel=1e-12)


def test_a_very_stiff_neck_is_a_rigid_one():
    """Turned by an off-centre thrust for half a second: the stiffer, the more as one body.

    The neck bends by the moment that the head's weight in the felt acceleration has on it, over
    its stiffness; so what differs from a rigid neck halves with every doubling of the stiffness.
    """

    def flown(stiffness):
        trial = hinged_trial(stiffness=(stiffness, stiffness), damping=(1.0, 1.0), step_s=5e-5)
        trial.craft.neck.is_hinged = int(stiffness > 0.0)
        add_thruster(trial, (0.02, 0.05, -0.1), 16.0)
        trial.state.body.rate_rad_s[:] = (0.8, -1.1, 0.6)
        start = trial.state.body.position_m.copy()
        trial.run_s(0.5)
        body = trial.state.body
        return np.concatenate([body.position_m - start, body.attitude, body.rate_rad_s])

    rigid = flown(0.0)
    off = np.array([np.abs(flown(k) - rigid).max() for k in (125.0, 250.0, 500.0)])
    assert np.abs(rigid).max() > 2.0
    assert off[:-1] / off[1:] == pytest.approx([2.0, 2.0], abs=0.2)
    assert off[-1] < 4e-3 * np.abs(rigid).max()


ANGLES = st.floats(-1.4, 1.4)
RATES = st.lists(st.floats(-5.0, 5.0), min_size=5, max_size=5)


def kinetic(roll, pitch, rates):
    """Give the energy [J] of the matrix in a pose, and the matrix's arguments."""
    rotation, turned, matrix = np.empty((3, 3)), np.empty((3, 3)), np.empty((5, 5))
    write_head_rotation(roll, pitch, rotation)
    write_turned_inertia(HEAD_INERTIA, rotation, turned)
    arm = rotation @ ARM
    mu = MAIN_KG * HEAD_KG / (MAIN_KG + HEAD_KG)
    given_to = (tuple(map(float, PIVOT + arm)), tuple(map(float, arm)), pitch_axis_of(roll))
    write_mass_matrix(MAIN_INERTIA, turned, mu, *given_to, matrix)
    return 0.5 * rates @ matrix @ rates, (turned, mu, *given_to)


@settings(max_examples=50, deadline=None)
@given(roll=ANGLES, pitch=ANGLES, rates=RATES)
def test_slopes_are_those_of_the_energy(roll, pitch, rates):
    """Central differences of the matrix's energy at fixed rates, good to 1e-9 of its size."""
    rates = np.array(rates)
    energy, given_to = kinetic(roll, pitch, rates)
    slopes = energy_slopes(*given_to, rates)
    h = 1e-5
    by_roll = (kinetic(roll + h, pitch, rates)[0] - kinetic(roll - h, pitch, rates)[0]) / (2 * h)
    by_pitch = (kinetic(roll, pitch + h, rates)[0] - kinetic(roll, pitch - h, rates)[0]) / (2 * h)
    assert slopes == pytest.approx((by_roll, by_pitch), abs=1e-8 * (1.0 + energy))


@settings(max_examples=30, deadline=None)
@given(roll=ANGLES, pitch=ANGLES, rates=RATES)
def test_the_matrix_has_the_energy_of_two_bodies(roll, pitch, rates):
    """Against the sum over both bodies of their own speeds and rates, common centre at rest."""
    trial = hinged_trial()
    trial.state.neck.angle_rad[:] = (roll, pitch)
    trial.state.body.rate_rad_s[:] = rates[:3]
    trial.state.neck.rate_rad_s[:] = rates[3:]
    total, mass = momenta(trial)[:3], MAIN_KG + HEAD_KG
    alone = momenta(trial)[6] - 0.5 * total @ total / mass
    assert kinetic(roll, pitch, np.array(rates))[0] == pytest.approx(alone, rel=1e-9, abs=1e-12)
