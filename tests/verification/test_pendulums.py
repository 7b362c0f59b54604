"""Weights on threads, hung from a craft in the step, against the closed forms of pendulums."""

import math

import numpy as np
import pytest

from tests.verification.craft_builder import (
    GRAVITY,
    HUGE,
    Trial,
    add_particle,
    add_rim,
    add_thread,
    add_thruster,
    damp_threads,
    measured_frequency,
    set_inertia,
    set_mass,
    stable_stiffness,
)

STEP_S = 1e-4


def hung_at_rest(masses, lengths, *, step_s=STEP_S):
    """Give a trial with weights one below the other, each thread stretched by what it carries.

    Threads are as stiff as the step allows, so that they are longer by m g / k = 10 g dt^2, a
    micrometre.
    """
    trial = Trial()
    trial.flight.step_s = step_s
    above, depth, carried = add_rim(trial.craft, (0.0, 0.0, 0.0)), 0.0, sum(masses)
    for mass, length in zip(masses, lengths, strict=True):
        stiffness = stable_stiffness(mass, step_s)
        depth += length + carried * GRAVITY / stiffness
        k = add_particle(trial, above, mass, (0.0, 0.0, depth))
        add_thread(trial.craft, above, k, length, stiffness)
        above, carried = k, carried - mass
    return trial


def shift(trial, k, north_m):
    """Move a particle sideways on the circle that its thread allows, the ones above at rest."""
    particle = trial.state.particle[k]
    above = trial.state.particle[k - 1].position_m if k else trial.state.body.position_m
    length = float(np.linalg.norm(particle.position_m - above))
    particle.position_m[0] += north_m
    across = float(particle.position_m[0] - above[0])
    particle.position_m[2] = above[2] + math.sqrt(length**2 - across**2)


def north_m(k):
    return lambda trial: trial.state.particle[k].position_m[0]


@pytest.mark.parametrize(
    ("amplitude_deg", "ratio"),
    [
        (5, 1.00047617),
        (10, 1.00190719),
        (30, 1.01740880),
        (60, 1.07318201),
        (90, 1.18034060),
    ],
)
def test_period_grows_with_amplitude(amplitude_deg, ratio):
    """T = 4 sqrt(L/g) K(sin(a/2)), T0 = 2.006409 s for 1 m (complete elliptic integral).

    The thread is a spring of m / (10 dt^2), a few micrometres longer in the swing: below 5e-6 of T.
    """
    trial = hung_at_rest([0.5], [1.0])
    trial.flight.is_held = 1
    angle = math.radians(amplitude_deg)
    body, particle = trial.state.body, trial.state.particle[0]
    particle.position_m[:] = body.position_m + np.array([math.sin(angle), 0.0, math.cos(angle)])
    ticks = round(3.5 * 2.0 * ratio / STEP_S)
    seen = trial.follow(ticks, north_m(0), every=10)
    period = 2.0 * math.pi / measured_frequency(trial.times(ticks, 10), seen)
    assert 2.0 * math.pi / math.sqrt(GRAVITY) == pytest.approx(2.006409, abs=6e-7)
    assert period == pytest.approx(2.0 * math.pi / math.sqrt(GRAVITY) * ratio, rel=5e-6)


def test_double_pendulum():
    """Equal weights on 1 m and 1 m: w^2 = (2 -+ sqrt 2) g / L, 2.396790 and 5.786363 rad/s.

    Started in the shape of each mode, theta2 = +- sqrt 2 theta1.
    """
    for sign, frequency in ((1.0, 2.396790), (-1.0, 5.786363)):
        assert math.sqrt((2.0 - sign * math.sqrt(2.0)) * GRAVITY) == pytest.approx(
            frequency, abs=6e-7
        )
        trial = hung_at_rest([0.3, 0.3], [1.0, 1.0])
        trial.flight.is_held = 1
        shift(trial, 0, 1e-3)
        trial.state.particle[1].position_m[0] = 1e-3 * (1.0 + sign * math.sqrt(2.0))
        ticks = 100_000
        seen = trial.follow(ticks, north_m(1), every=10)
        measured = measured_frequency(trial.times(ticks, 10), seen)
        assert measured == pytest.approx(frequency, rel=5e-6)


def carrying(mass_kg, load_kg, length_m):
    """Give a craft that hovers on a steady thrust at its CG with a load on a thread below it."""
    trial = hung_at_rest([load_kg], [length_m])
    trial.craft.mass_kg = mass_kg
    set_inertia(trial.craft, (HUGE, HUGE, HUGE))
    add_thruster(trial, (0.0, 0.0, 0.0), (mass_kg + load_kg) * GRAVITY)
    return trial


def swing_frequency(trial):
    start = float(trial.state.body.position_m[0])
    shift(trial, 0, 1e-3)
    ticks = 60_000

    def apart(t):
        return t.state.particle[0].position_m[0] - t.state.body.position_m[0]

    seen = trial.follow(ticks, apart, every=10)
    assert trial.state.body.position_m[0] != start
    return measured_frequency(trial.times(ticks, 10), seen)


def test_load_under_a_free_craft_swings_faster():
    """w^2 = g/L (1 + m/M): 3 kg free to move with 1.5 kg on 0.5 m swing at 5.424016 rad/s.

    On a fixed pivot it would be 4.428691 rad/s, 22 % less: the craft must give way to the fabric.
    """
    assert math.sqrt(GRAVITY / 0.5 * 1.5) == pytest.approx(5.424016, abs=6e-7)
    measured = swing_frequency(carrying(3.0, 1.5, 0.5))
    assert measured == pytest.approx(5.424016, rel=5e-6)


def test_load_under_a_very_heavy_craft_swings_as_from_a_fixed_pivot():
    """The limit M to infinity of the same: sqrt(g/L) = 4.428691 rad/s."""
    trial = hung_at_rest([1.5], [0.5])
    trial.flight.is_held = 1
    shift(trial, 0, 1e-3)
    ticks = 60_000
    seen = trial.follow(ticks, north_m(0), every=10)
    assert measured_frequency(trial.times(ticks, 10), seen) == pytest.approx(4.428691, rel=5e-6)


def test_entrained_air_slows_the_swing():
    """w^2 = (g/L) m / (m + m_a): air that moves along has inertia and no weight (Lamb 1932)."""
    trial = hung_at_rest([0.1], [0.5])
    set_mass(trial.craft, 0, 0.1, 0.16)
    trial.flight.is_held = 1
    shift(trial, 0, 1e-3)
    ticks = 60_000
    seen = trial.follow(ticks, north_m(0), every=10)
    expected = math.sqrt(GRAVITY / 0.5 * 0.1 / 0.16)
    assert measured_frequency(trial.times(ticks, 10), seen) == pytest.approx(expected, rel=5e-6)


def test_craft_on_two_threads_turns_as_a_bifilar_pendulum():
    """I = m g d^2 T^2 / (16 pi^2 L): 3 kg, d 0.4 m, L 1 m and 0.06706944 kg m2 give T = 1.5 s.

    The threads hang from two points that cannot move (formula from memory, small angles; the twist
    of 0.02 rad raises T by 3e-5).
    """
    inertia, spacing, length, mass = 0.06706944, 0.4, 1.0, 3.0
    trial = Trial()
    trial.flight.step_s = STEP_S
    trial.craft.mass_kg = mass
    set_inertia(trial.craft, (inertia, inertia, inertia))
    stiffness = stable_stiffness(mass, STEP_S, 0.02)
    stretch = 0.5 * mass * GRAVITY / stiffness
    for side in (-0.5, 0.5):
        rim = add_rim(trial.craft, (0.0, side * spacing, 0.0))
        place = (0.0, side * spacing, -length - stretch)
        fixed = add_particle(trial, rim, 0.0, place, moved_mass_kg=HUGE)
        add_thread(trial.craft, rim, fixed, length, stiffness)
    twist = 0.02
    trial.state.body.attitude[:] = (math.cos(0.5 * twist), 0.0, 0.0, math.sin(0.5 * twist))
    lift = length - math.sqrt(length**2 - (spacing * math.sin(0.5 * twist)) ** 2)
    trial.state.body.position_m[2] -= lift
    ticks = 70_000
    seen = trial.follow(ticks, lambda t: t.rotation[1, 0], every=10)
    period = 2.0 * math.pi / measured_frequency(trial.times(ticks, 10), seen)
    assert 16.0 * math.pi**2 * length * inertia / (mass * GRAVITY * spacing**2) == pytest.approx(
        1.5**2, rel=1e-7
    )
    assert period == pytest.approx(1.5, rel=1e-4)


def test_slack_thread_carries_nothing():
    """A weight let go at its pivot falls freely, z = g t (t + dt) / 2, until its thread is taut.

    Meanwhile the craft feels no force.
    """
    trial = hung_at_rest([0.2], [0.5], step_s=1e-3)
    trial.flight.is_held = 1
    particle, body = trial.state.particle[0], trial.state.body
    particle.position_m[:] = body.position_m
    taut_at = math.sqrt(2.0 * 0.5 / GRAVITY)
    ticks = int(taut_at / 1e-3) - 2
    for tick in range(1, ticks + 1):
        trial.run()
        fallen = float(particle.position_m[2] - body.position_m[2])
        assert fallen == pytest.approx(0.5 * GRAVITY * 1e-6 * tick * (tick + 1), abs=1e-9)
        assert np.all(trial.work.drape_force_n == 0.0)
        assert trial.work.stretch == 0.0
    trial.run(6)
    assert trial.work.drape_force_n[2] > 0.2 * GRAVITY
    assert trial.work.stretch > 0.0


def test_thread_never_pushes():
    """However a weight bounces on its thread, the craft is only ever pulled towards it."""
    trial = hung_at_rest([0.2], [0.5], step_s=1e-3)
    trial.flight.is_held = 1
    damp_threads(trial.craft, 20.0)
    trial.state.particle[0].position_m[2] -= 0.2
    pulls = trial.follow(4000, lambda t: t.work.drape_force_n[2])
    assert pulls.min() == 0.0
    assert pulls.max() > 0.2 * GRAVITY
    assert pulls[-1] == pytest.approx(0.2 * GRAVITY, rel=1e-3)
