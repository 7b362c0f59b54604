"""The step against a general multibody engine: a pushed body, chains, and a load under a craft."""

import math

import numpy as np
import pytest

from tests.verification.craft_builder import (
    GRAVITY,
    Trial,
    add_particle,
    add_rim,
    add_thread,
    add_thruster,
    make_tilting,
    measured_frequency,
    set_inertia,
    stable_stiffness,
)

mujoco = pytest.importorskip("mujoco")

# The other engine is told that gravity points along +z, so that its world is north, east, down.
OPTIONS = f'<option timestep="1e-4" integrator="RK4" gravity="0 0 {GRAVITY}"/>'
INERTIA = np.array([[0.03, 0.002, 0.001], [0.002, 0.05, -0.003], [0.001, -0.003, 0.06]])
MASS_KG = 1.4
RATE = (0.8, -1.1, 0.6)


def engine(text):
    model = mujoco.MjModel.from_xml_string(f"<mujoco>{OPTIONS}{text}</mujoco>")
    return model, mujoco.MjData(model)


def craft_element(force, moment, inside=""):
    """Give a free body of our mass and inertia with a steady force and moment in its own axes."""
    i = INERTIA
    full = f"{i[0, 0]} {i[1, 1]} {i[2, 2]} {i[0, 1]} {i[0, 2]} {i[1, 2]}"
    gear = " ".join(str(x) for x in (*force, *moment))
    return f"""
    <worldbody><body name="craft"><freejoint/>
      <inertial pos="0 0 0" mass="{MASS_KG}" fullinertia="{full}"/><site name="cg"/>{inside}
    </body></worldbody>
    <actuator><general site="cg" gear="{gear}"/></actuator>"""


def advance(model, data, seconds):
    for _ in range(round(seconds / model.opt.timestep)):
        mujoco.mj_step(model, data)


def pushed_craft(step_s):
    """Give our craft with two steady thrusts off its CG, one leaning, and their resultant."""
    trial = Trial()
    trial.flight.step_s = step_s
    trial.craft.mass_kg = MASS_KG
    set_inertia(trial.craft, INERTIA)
    place, lean, thrust = (0.02, 0.3, -0.1), 0.3, 8.0
    rotor = add_thruster(trial, place, thrust)
    make_tilting(rotor, frequency_rad_s=0.0, damping=0.0, slew_rad_s=0.0)
    trial.state.rotor[0].servo_rad = trial.state.rotor[0].tilt_rad = lean
    other = (-0.01, -0.31, -0.12)
    add_thruster(trial, other, thrust)
    trial.state.body.rate_rad_s[:] = RATE
    first = thrust * np.array([-math.sin(lean), 0.0, -math.cos(lean)])
    second = np.array([0.0, 0.0, -thrust])
    moment = np.cross(place, first) + np.cross(other, second)
    return trial, first + second, moment


def extrapolated(read, *steps):
    """Give 2 x(h/2) - x(h): what a first-order step tends to, off by its second order."""
    coarse, fine = (np.array(read(h)) for h in steps)
    return 2.0 * fine - coarse


def test_body_under_a_steady_wrench():
    """Newton and Euler, against the engine's Runge-Kutta rule: place, speed, attitude, rates."""

    def ours(step_s):
        trial = pushed_craft(step_s)[0]
        start = trial.state.body.position_m.copy()
        trial.run_s(1.0)
        body = trial.state.body
        moved = body.position_m - start
        return np.concatenate([moved, body.attitude, body.velocity_m_s, body.rate_rad_s])

    _, force, moment = pushed_craft(1e-3)
    model, data = engine(craft_element(force, moment))
    data.ctrl[0] = 1.0
    data.qvel[3:6] = RATE
    advance(model, data, 1.0)
    theirs = np.concatenate([data.qpos, data.qvel])
    assert np.abs(theirs[7:]).max() > 2.0, "it must have turned and moved"
    limit = extrapolated(ours, 2.5e-4, 1.25e-4)
    # Second order in a step of 0.25 ms, at some radians per second for a second.
    assert limit == pytest.approx(theirs, abs=2e-6)


def chain_element(masses, length_m):
    """Give point masses on massless rods, hinged one below the other about the right axis."""
    text = ""
    for depth, mass in reversed(list(enumerate(masses))):
        place = "0 0 0" if depth == 0 else f"0 0 {length_m}"
        text = f"""<body pos="{place}"><joint type="hinge" axis="0 1 0"/>
          <inertial pos="0 0 {length_m}" mass="{mass}" diaginertia="1e-9 1e-9 1e-9"/>
          {text}</body>"""
    return f"<worldbody>{text}</worldbody>"


def chain_modes(masses, length_m):
    """Give frequencies [rad/s] and mode shapes [rad] of the engine's chain about hanging straight.

    Its own mass matrix, and stiffness by differences of its own gravity force.
    """
    model, data = engine(chain_element(masses, length_m))
    count = model.nv
    mass, stiffness = np.zeros((count, count)), np.zeros((count, count))
    for j in range(count):
        bias = []
        for sign in (1.0, -1.0):
            data.qpos[:] = 0.0
            data.qpos[j] = sign * 1e-4
            mujoco.mj_forward(model, data)
            bias.append(data.qfrc_bias.copy())
        stiffness[:, j] = (bias[0] - bias[1]) / 2e-4
        data.qpos[:] = 0.0
        mujoco.mj_forward(model, data)
        column, unit = np.zeros(count), np.zeros(count)
        unit[j] = 1.0
        mujoco.mj_mulM(model, data, column, unit)
        mass[:, j] = column
    squares, shapes = np.linalg.eig(np.linalg.solve(mass, stiffness))
    order = np.argsort(squares.real)
    return np.sqrt(squares.real[order]), shapes.real[:, order]


def hanging(masses, length_m, angles, step_s=1e-4):
    """Give our held craft with the same chain, its links at angles [rad] from the vertical."""
    trial = Trial()
    trial.flight.is_held = 1
    trial.flight.step_s = step_s
    above, place, carried = add_rim(trial.craft, (0.0, 0.0, 0.0)), np.zeros(3), sum(masses)
    for mass, angle in zip(masses, angles, strict=True):
        stiffness = stable_stiffness(mass, step_s)
        length = length_m + carried * GRAVITY / stiffness
        place = place + length * np.array([math.sin(angle), 0.0, math.cos(angle)])
        k = add_particle(trial, above, mass, place)
        add_thread(trial.craft, above, k, length_m, stiffness)
        above, carried = k, carried - mass
    return trial


@pytest.mark.parametrize("mode", [0, 1, 2])
def test_chain_swings_at_the_same_frequencies(mode):
    """Five weights on threads of 0.2 m, unequal: each swing of the step is one of the engine's."""
    masses, length_m = (0.05, 0.03, 0.08, 0.02, 0.04), 0.2
    frequencies, shapes = chain_modes(masses, length_m)
    angles = 1e-3 * shapes[:, mode] / np.abs(shapes[:, mode]).max()
    trial = hanging(masses, length_m, np.cumsum(angles))
    ticks = int(4.5 * 2.0 * math.pi / frequencies[mode] / 1e-4)

    def sideways(t):
        first = t.state.particle[0].position_m
        return first[0] - t.state.body.position_m[0]

    seen = trial.follow(ticks, sideways, every=5)
    # The threads are longer by what they carry, up to 2e-5 of 0.2 m.
    assert measured_frequency(trial.times(ticks, 5), seen) == pytest.approx(
        frequencies[mode], rel=1.5e-5
    )


def test_double_pendulum_swings_the_same_way():
    """Two weights let go at 60 and 20 degrees are where the engine has them a second later."""
    masses, length_m, angles = (0.3, 0.2), 0.5, (math.radians(60.0), math.radians(20.0))
    model, data = engine(chain_element(masses, length_m))
    data.qpos[:] = (angles[0], angles[1] - angles[0])
    mujoco.mj_forward(model, data)
    start = data.xipos[1:].copy()
    advance(model, data, 1.0)
    mujoco.mj_forward(model, data)
    theirs = data.xipos[1:]
    assert np.abs(theirs - start).max() > 0.5

    trial = hanging(masses, length_m, angles, step_s=5e-5)
    origin = trial.state.body.position_m.copy()
    trial.run_s(1.0)
    ours = trial.states["particle"]["position_m"][0, :2] - origin
    # Threads of m / (10 dt^2) are longer by 2e-7 m; the step is of first order, 5e-5 of a second.
    assert ours == pytest.approx(theirs, abs=3e-5)


def test_load_under_a_tumbling_craft():
    """Craft with thrust, turning, and a weight on a thread from a point off its CG: both agree.

    Here every coupling of body and cloth acts at once: pull, its moment, and the pivot's motion.
    """
    rim, length_m, load = np.array([0.05, 0.1, 0.08]), 0.4, 0.3
    below = np.array([0.0, 0.0, length_m])

    def ours(step_s):
        trial = pushed_craft(step_s)[0]
        index = add_rim(trial.craft, rim)
        k = add_particle(trial, index, load, rim + below)
        add_thread(trial.craft, index, k, length_m, stable_stiffness(load, step_s, 0.05))
        start = trial.state.body.position_m.copy()
        trial.state.particle[k].velocity_m_s[:] = np.cross(RATE, rim + below)
        trial.run_s(0.6)
        assert trial.work.stretch > 0.0, "the thread must be taut"
        body, particle = trial.state.body, trial.state.particle[k]
        return np.concatenate([body.position_m - start, particle.position_m - start, body.attitude])

    _, force, moment = pushed_craft(1e-3)
    hung = f"""<body name="load" pos="{rim[0]} {rim[1]} {rim[2]}"><joint type="ball"/>
      <inertial pos="0 0 {length_m}" mass="{load}" diaginertia="1e-7 1e-7 1e-7"/></body>"""
    model, data = engine(craft_element(force, moment, hung))
    data.ctrl[0] = 1.0
    data.qvel[3:6] = RATE
    advance(model, data, 0.6)
    mujoco.mj_forward(model, data)
    theirs = np.concatenate([data.qpos[:3], data.xipos[model.body("load").id], data.qpos[3:7]])
    assert np.linalg.norm(theirs[:3]) > 0.1
    # A thread of m / (20 dt^2) stretches by some 1e-5 of its length and rings.
    assert extrapolated(ours, 1e-4, 5e-5) == pytest.approx(theirs, abs=5e-6)
