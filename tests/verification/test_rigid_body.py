"""A body turning in empty space, run by the step, against Euler: I dw/dt = M - w x I w."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import ellipj, ellipk, ellipkinc

from sim.physics.body.rigid_body import free_turn
from tests.verification.craft_builder import (
    Trial,
    add_thruster,
    order_of,
    set_inertia,
    upward_crossings,
)

# Jackson, Shelton, Murri et al., NASA/TM-2015-218675, check-case 2 "tumbling brick, no damping, no
# drag" (inertia in slug ft2 as quoted from volume II, B.1.3; initial rates from memory).
BRICK = np.array([0.001894220, 0.006211019, 0.007194665]) * 1.3558179483314
BRICK_RATE = np.radians([10.0, 20.0, 30.0])


def spinning(inertia, rate, step_s=1e-3):
    trial = Trial()
    set_inertia(trial.craft, inertia)
    trial.flight.gravity_m_s2 = 0.0
    trial.flight.step_s = step_s
    trial.state.body.rate_rad_s[:] = rate
    return trial


def momentum_body(trial):
    return trial.craft.inertia_kg_m2 @ trial.state.body.rate_rad_s


def momentum_earth(trial):
    return trial.rotation @ momentum_body(trial)


def brick_rates(time_s):
    """Give rates [deg/s] and period [s] by Jacobi's functions (Landau and Lifshitz, section 37).

    For I1 < I2 < I3 and H^2 > 2 E I2: p = a cn u, q = b sn u, r = c dn u with u = n t + u0.
    """
    i1, i2, i3 = BRICK
    twice_energy = BRICK @ BRICK_RATE**2
    square = (BRICK * BRICK_RATE) @ (BRICK * BRICK_RATE)
    a = math.sqrt((twice_energy * i3 - square) / (i1 * (i3 - i1)))
    b = math.sqrt((twice_energy * i3 - square) / (i2 * (i3 - i2)))
    c = math.sqrt((square - twice_energy * i1) / (i3 * (i3 - i1)))
    n = math.sqrt((i3 - i2) * (square - twice_energy * i1) / (i1 * i2 * i3))
    m = (i2 - i1) * (twice_energy * i3 - square) / ((i3 - i2) * (square - twice_energy * i1))
    start = ellipkinc(math.asin(BRICK_RATE[1] / b), m)
    sn, cn, dn, _ = ellipj(n * time_s + start, m)
    return np.degrees([a * cn, b * sn, c * dn]), 4.0 * ellipk(m) / n


@pytest.mark.parametrize(
    ("time_s", "rates"),
    [
        (1, (4.258842, 23.119943, 28.379818)),
        (2, (-1.750815, 23.649558, 28.071320)),
        (5, (-16.939485, 9.631939, 33.406628)),
        (10, (-2.418902, -23.552570, 28.128593)),
        (20, (-5.422735, 22.715931, 28.608282)),
    ],
)
def test_tumbling_brick(time_s, rates):
    """Body rates [deg/s] of the brick: elliptic functions and the step agree to 1e-6 deg/s."""
    closed, period = brick_rates(time_s)
    assert closed == pytest.approx(rates, abs=6e-7)
    assert period == pytest.approx(17.384489, abs=6e-7)
    trial = spinning(BRICK, BRICK_RATE).run_s(time_s)
    assert np.degrees(trial.state.body.rate_rad_s) == pytest.approx(rates, abs=1e-6)


def test_tumbling_brick_conserves_momentum_and_energy():
    """|H| = 0.0059100190 kg m2/s and w I w / 2 = 0.0018893007 J stay for 30 s, to 1e-9."""
    trial = spinning(BRICK, BRICK_RATE)
    seen = trial.follow(
        30_000,
        lambda t: (
            np.linalg.norm(momentum_body(t)),
            0.5 * t.state.body.rate_rad_s @ momentum_body(t),
        ),
        every=1000,
    )
    assert seen[0, 0] == pytest.approx(0.0059100190, rel=1e-8)
    assert seen[0, 1] == pytest.approx(0.0018893007, rel=1e-7)
    assert seen == pytest.approx(np.broadcast_to(seen[0], seen.shape), rel=1e-9)


@pytest.mark.parametrize("step_s", [4e-3, 1e-3])
def test_momentum_is_a_fixed_vector(step_s):
    """Without moment H stands still in the earth's axes; with any step, to rounding."""
    trial = spinning(BRICK, BRICK_RATE, step_s)
    before = momentum_earth(trial)
    after = momentum_earth(trial.run_s(10.0))
    assert np.linalg.norm(after - before) < 1e-12 * np.linalg.norm(before)


def test_attitude_is_of_fourth_order():
    """Magnus' series to its first commutator: error of the brick's attitude as step^4."""

    def attitude(step_s):
        return spinning(BRICK, BRICK_RATE, step_s).run_s(8.0).state.body.attitude.copy()

    best = attitude(1e-3)
    coarse, fine = (np.linalg.norm(attitude(step_s) - best) for step_s in (16e-3, 8e-3))
    assert math.log2(coarse / fine) == pytest.approx(4.0, abs=0.3)


def test_free_turn_is_of_fourth_order():
    """The classical rule of Runge and Kutta (1901): error of the brick's rates as step^4."""

    def error(steps):
        rate, step_s = tuple(BRICK_RATE), 20.0 / steps
        inertia = np.diag(BRICK)
        inverse = np.linalg.inv(inertia)
        for _ in range(steps):
            rate = free_turn(inertia, inverse, rate, step_s)
        return np.linalg.norm(np.degrees(rate) - brick_rates(20.0)[0])

    assert math.log2(error(400) / error(800)) == pytest.approx(4.0, abs=0.15)


@pytest.mark.parametrize(
    ("rate", "flips", "half_period"),
    [
        ((0.01, 1.0, 0.02), (8.81336, 25.41086, 42.00836), 16.597499),
        ((0.01, 1.0, 0.01), (), 39.105734 / 2),
    ],
)
def test_middle_axis_flips(rate, flips, half_period):
    """Spin about the axis of middle inertia is unstable (Poinsot 1834); I = (1, 2, 3) kg m2.

    The flips are where the middle rate passes zero; their times come from elliptic integrals.
    """
    trial = spinning((1.0, 2.0, 3.0), rate)
    ticks = 50_000
    middle = trial.follow(ticks, lambda t: t.state.body.rate_rad_s[1], every=10)
    times = trial.times(ticks, 10)
    passes = np.sort(
        np.concatenate([upward_crossings(times, middle), upward_crossings(times, -middle)])
    )
    # Straight lines between samples 10 ms apart are good to 1e-5 s here.
    assert passes[: len(flips)] == pytest.approx(flips, abs=2e-5)
    assert np.diff(passes) == pytest.approx(half_period, abs=2e-5)


def test_round_body_precesses():
    """I = (1, 1, 2), w = (0.1, 0, 1): w circles the body's axis at (I3 - I1) w3 / I1 = 1 rad/s.

    Seen from the earth the axis circles H at |H| / I1 = 2.002498 rad/s (Goldstein, Classical
    Mechanics, section 5.6).
    """
    trial = spinning((1.0, 1.0, 2.0), (0.1, 0.0, 1.0))
    momentum = momentum_earth(trial)
    along = momentum / np.linalg.norm(momentum)
    side = np.cross(along, (0.0, 1.0, 0.0))
    side /= np.linalg.norm(side)
    across = np.cross(along, side)
    axis = trial.rotation[:, 2]
    before = math.atan2(axis @ across, axis @ side)
    trial.run_s(1.0)
    turned = math.atan2(*(trial.rotation[:, 2] @ np.stack([across, side], axis=1))) - before
    assert turned % (2.0 * math.pi) == pytest.approx(2.002498, abs=1e-6)
    rate = trial.state.body.rate_rad_s
    # I dw1/dt = (I - I3) w2 w3, I dw2/dt = (I3 - I) w1 w3: from x towards y.
    assert math.atan2(rate[1], rate[0]) == pytest.approx(1.0, abs=1e-10)
    assert np.hypot(rate[0], rate[1]) == pytest.approx(0.1, rel=1e-10)


def pushed_off_centre(step_s, inertia, rate=(0.0, 0.0, 0.0)):
    """Give a body with a steady thrust of 2 N, 0.3 m right and 0.1 m ahead of its CG."""
    trial = spinning(inertia, rate, step_s)
    add_thruster(trial, (0.1, 0.3, 0.0), 2.0)
    return trial


def test_steady_moment_about_one_axis():
    """I w = M t; the angle of the semi-implicit rule is exactly M t (t + dt) / 2 I."""
    trial = spinning((0.5, 1.0, 1.0), (0.0, 0.0, 0.0))
    add_thruster(trial, (0.0, 0.3, 0.0), 2.0)  # lifts the right side: rolls left
    trial.run_s(1.0)
    acceleration = -2.0 * 0.3 / 0.5
    assert trial.state.body.rate_rad_s == pytest.approx((acceleration, 0.0, 0.0), rel=1e-9)
    angle = 2.0 * math.atan2(trial.state.body.attitude[1], trial.state.body.attitude[0])
    assert angle == pytest.approx(0.5 * acceleration * 1.0 * 1.001, rel=1e-9)


def test_moment_is_of_first_order_and_converges_to_eulers_equations():
    """Splitting kick from free turn is of first order (Lie, Trotter); its limit is Euler's law."""
    inertia = np.array([0.02, 0.05, 0.06])
    start = (0.5, -1.0, 2.0)
    moment = np.cross((0.1, 0.3, 0.0), (0.0, 0.0, -2.0))

    def euler(_, rate):
        return (moment - np.cross(rate, inertia * rate)) / inertia

    exact = solve_ivp(euler, (0.0, 0.4), start, rtol=1e-12, atol=1e-12).y[:, -1]
    runs = [
        pushed_off_centre(h, inertia, start).run_s(0.4).state.body.rate_rad_s
        for h in (1e-3, 5e-4, 2.5e-4)
    ]
    for coarse, middle, fine, limit in zip(*runs, exact, strict=True):
        assert order_of(coarse, middle, fine) == pytest.approx(1.0, abs=0.05)
        # One step of Richardson's extrapolation leaves an error of second order.
        assert 2.0 * fine - middle == pytest.approx(limit, abs=2e-5)
