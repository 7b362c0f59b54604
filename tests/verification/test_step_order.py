"""Order of convergence of the whole step, the order of its parts, and what a step may depend on."""

import math

import numpy as np
import pytest

from tests.verification.craft_builder import (
    SEA_LEVEL_DENSITY,
    Trial,
    add_foot,
    add_part,
    add_particle,
    add_rim,
    add_rotor,
    add_thread,
    blow,
    make_tilting,
    set_inertia,
    set_panel,
    write_flat_map,
)


def flying(step_s=1e-3):
    """Give a craft with all of it moving: two rotors that spin up and tilt, drag, cloth, wind."""
    trial = Trial()
    trial.flight.step_s = step_s
    trial.craft.mass_kg = 1.5
    set_inertia(trial.craft, [[0.03, 0.001, 0.0], [0.001, 0.04, 0.002], [0.0, 0.002, 0.05]])
    write_flat_map(trial.craft, 0.012, 0.0009)
    for i, right in enumerate((-0.4, 0.4)):
        rotor = add_rotor(trial.craft, (0.0, right, -0.15), spin=2.0 * i - 1.0, inertia_kg_m2=2e-4)
        make_tilting(rotor, frequency_rad_s=50.0, damping=0.8, slew_rad_s=1e6)
        rotor.hub_above_pivot_m = 0.05
        trial.state.rotor[i].speed_rad_s = 500.0
        trial.state.rotor[i].throttle = 0.75 + 0.02 * i
        trial.state.rotor[i].tilt_command_rad = 0.1 - 0.15 * i
    trial.craft.battery.resistance_ohm = 0.02
    add_part(trial.craft, (0.05, 0.1, 0.2), (0.02, 0.03, 0.05))
    blow(trial.flight, 4.0)
    above = add_rim(trial.craft, (0.1, 0.0, 0.1))
    for row in range(3):
        k = add_particle(trial, above, 0.02, (0.1, 0.0, 0.1 + 0.2 * (row + 1)))
        add_thread(trial.craft, above, k, 0.199, 400.0, 0.2)
        set_panel(trial.craft, k, 0.02, normal=1.2, tangent=0.1)
        above = k
    trial.state.body.rate_rad_s[:] = (0.2, -0.1, 0.3)
    return trial


def figures(trial):
    """Give one figure of each part of the state."""
    body, first, second = trial.state.body, trial.state.rotor[0], trial.state.rotor[1]
    return {
        "north": body.position_m[0],
        "climb": body.velocity_m_s[2],
        "attitude": body.attitude[2],
        "pitch rate": body.rate_rad_s[1],
        "yaw rate": body.rate_rad_s[2],
        "rotor speed": first.speed_rad_s,
        "tilt": second.tilt_rad,
        "cloth": trial.state.particle[2].position_m[0],
        "cloth speed": trial.state.particle[2].velocity_m_s[1],
    }


def test_whole_step_is_of_first_order():
    """Semi-implicit Euler: halving the step halves what every part of the state is off by."""
    seconds = 0.256
    coarse, middle, fine = (figures(flying(h).run_s(seconds)) for h in (1e-3, 5e-4, 2.5e-4))
    for name, value in coarse.items():
        ratio = abs((value - middle[name]) / (middle[name] - fine[name]))
        assert math.log2(ratio) == pytest.approx(1.0, abs=0.15), name


def test_steps_join_without_a_seam():
    """A hundred steps at once are a hundred single steps, to the last bit."""
    whole, single = flying().run(100), flying()
    for _ in range(100):
        single.run()
    assert whole.states.tobytes() == single.states.tobytes()


def test_step_depends_on_the_state_alone():
    """What the scratch record holds from before changes nothing, for a craft in the air."""
    clean, dirty = flying(), flying()
    numbers = dirty.works[1]
    for name in ("force_n", "moment_n_m", "drape_force_n", "rotation"):
        numbers[name][...] = 17.0
    for name in ("thrust_wanted_n", "tilt_wanted_rad", "at_limit", "held_at_limit"):
        numbers[name][...] = 1.0
    for name in ("bus_v", "pack_a", "stretch", "in_own_wake", "off_map", "upright"):
        numbers[name] = 1.0
    for name in numbers["rotor"].dtype.names:
        numbers["rotor"][name][...] = 2.0
    assert clean.run(50).states.tobytes() == dirty.run(50).states.tobytes()


def looped(delay_runs, period_ticks=4):
    """Give a held tilting pair whose loops ask for nothing but what is injected."""
    trial = Trial()
    trial.flight.is_held = 1
    trial.flight.density_kg_m3 = SEA_LEVEL_DENSITY
    write_flat_map(trial.craft, 0.012, 0.0)
    for right in (-0.4, 0.4):
        rotor = add_rotor(trial.craft, (0.0, right, -0.15))
        make_tilting(rotor, frequency_rad_s=50.0, damping=0.8, slew_rad_s=1e6)
        rotor.tilt_travel_rad = 0.5
    control, mixer = trial.craft.control, trial.craft.mixer
    control.period_ticks, control.delay_runs = period_ticks, delay_runs
    mixer.layout, mixer.left, mixer.right = 2, 0, 1
    mixer.thrust_share[:2], mixer.thrust_per_roll[:2] = 0.5, (1.25, -1.25)
    mixer.pitch_arm_m, mixer.yaw_arm_m = 0.15, 0.4
    mixer.full_thrust_n[:2], mixer.least_thrust_n, mixer.hover_thrust_n = 20.0, 0.5, 15.0
    trial.state.tick = 0
    return trial


@pytest.mark.parametrize("delay_runs", [0, 1, 5])
def test_demand_acts_after_its_delay_and_not_before(delay_runs):
    """A moment injected at a run of the loops tilts the rotors that many runs later, to the tick.

    The servo moves in the very tick in which the command arrives.
    """
    trial = looped(delay_runs)
    trial.run(8)
    assert trial.state.rotor[0].tilt_command_rad == 0.0
    trial.flight.injected[2] = 0.1
    before = 0
    while trial.state.rotor[0].tilt_command_rad == 0.0:
        assert trial.state.rotor[0].servo_rate_rad_s == 0.0
        trial.run()
        before += 1
        assert before < 100
    assert before == 4 * delay_runs + 1
    assert trial.state.rotor[0].servo_rate_rad_s != 0.0


def test_loops_run_on_their_ticks_only():
    """Between two runs commands are held: they change every fourth tick here."""
    trial = looped(0)
    changes = []
    last = 0.0
    for tick in range(40):
        trial.flight.injected[2] = 0.01 * (tick + 1)
        trial.run()
        if trial.state.rotor[0].tilt_command_rad != last:
            changes.append(tick)
            last = float(trial.state.rotor[0].tilt_command_rad)
    assert changes == list(range(0, 40, 4))


def test_forces_of_a_step_are_those_of_its_start():
    """A step's force is that of the place and speed at its start, its move that of the new speed.

    So the wind that comes with a step acts in it: v = a dt, and x = v dt at once.
    """
    trial = Trial()
    trial.flight.gravity_m_s2 = 0.0
    add_part(trial.craft, (0.0, 0.0, 0.0), (0.1, 0.1, 0.1))
    blow(trial.flight, 10.0)
    trial.run()
    speed = 0.5 * SEA_LEVEL_DENSITY * 0.1 * 100.0 * 1e-3
    assert trial.state.body.velocity_m_s[0] == pytest.approx(speed, rel=1e-12)
    assert trial.state.body.position_m[0] == pytest.approx(speed * 1e-3, rel=1e-12)


def test_tick_counts_steps_and_held_body_stays():
    """A clamped craft feels everything and moves nowhere."""
    trial = flying()
    trial.flight.is_held = 1
    before, first = trial.states["body"].copy(), int(trial.state.tick)
    trial.run(500)
    for name in ("position_m", "velocity_m_s", "attitude", "rate_rad_s"):
        assert np.array_equal(trial.states["body"][name], before[name]), name
    assert trial.state.tick == first + 500
    assert np.linalg.norm(trial.state.body.specific_force_m_s2) > 1.0


def test_standing_on_the_ground_settles_whatever_the_step():
    """Where a craft comes to rest does not depend on the step: the fixed point is exact."""
    depths = []
    for step_s in (1e-3, 2.5e-4):
        trial = Trial()
        trial.flight.step_s = step_s
        for forward, right in ((0.2, 0.0), (-0.1, 0.2), (-0.1, -0.2)):
            add_foot(trial.craft, (forward, right, 0.3))
        trial.craft.foot_stiffness_n_m, trial.craft.foot_damping_n_s_m = 1500.0, 15.0
        trial.craft.foot_friction = 0.5
        trial.state.body.position_m[2] = -0.3
        depths.append(float(trial.run_s(4.0).state.body.position_m[2]))
    assert depths[0] == pytest.approx(depths[1], abs=1e-12)
