"""A craft without rotors in gravity and wind, run by the step, against a falling body's laws."""

import math

import numpy as np
import pytest

from tests.verification.craft_builder import (
    GRAVITY,
    SEA_LEVEL_DENSITY,
    Trial,
    add_gust,
    add_part,
    add_thruster,
    blow,
    order_of,
    set_inertia,
)

FOOT_M = 0.3048
HEAVY_KG = 1e7


def body_with_drag(area_m2, *, mass_kg=1.0, step_s=1e-3):
    """Give a body of one part at its CG with the same drag area along every axis."""
    trial = Trial()
    trial.craft.mass_kg = mass_kg
    add_part(trial.craft, (0.0, 0.0, 0.0), (area_m2, area_m2, area_m2))
    trial.flight.density_kg_m3 = SEA_LEVEL_DENSITY
    trial.flight.step_s = step_s
    return trial


@pytest.mark.parametrize("step_s", [1e-3, 5e-4])
def test_free_fall_has_the_very_error_of_the_semi_implicit_rule(step_s):
    """v = g t exactly, and the fall is g t^2 / 2 + g dt t / 2, not more and not less."""
    trial = Trial()
    trial.flight.step_s = step_s
    trial.state.body.position_m[2] = 0.0
    trial.run_s(3.0)
    assert trial.state.body.velocity_m_s[2] == pytest.approx(GRAVITY * 3.0, rel=1e-12)
    exact = 0.5 * GRAVITY * 3.0 * (3.0 + step_s)
    assert trial.state.body.position_m[2] == pytest.approx(exact, rel=1e-12)


def test_dragless_drop_over_a_flat_earth():
    """NASA/TM-2015-218675, check-case 1 on a flat earth of constant gravity: 30 s from 30 000 ft.

    Closed form: 15 521.678 ft high and 965.2215 ft/s after 30 s. Over the rotating WGS-84 earth
    the end is 77 ft higher: that is outside this model.
    """
    trial = Trial()
    trial.state.body.position_m[2] = -30_000.0 * FOOT_M
    trial.flight.gravity_m_s2 = 32.174049 * FOOT_M
    trial.run_s(30.0)
    known_error = 0.5 * 32.174049 * 1e-3 * 30.0
    height = -trial.state.body.position_m[2] / FOOT_M + known_error
    assert height == pytest.approx(15521.678, abs=6e-4)
    assert trial.state.body.velocity_m_s[2] / FOOT_M == pytest.approx(965.2215, abs=5e-5)


def test_thrown_body_keeps_its_level_speed():
    """Newton's first law: without air nothing changes along the ground."""
    trial = Trial()
    trial.state.body.velocity_m_s[:] = (3.0, -4.0, -5.0)
    trial.run_s(2.0)
    assert trial.state.body.velocity_m_s[:2] == pytest.approx((3.0, -4.0), rel=1e-15)
    assert trial.state.body.position_m[:2] == pytest.approx((6.0, -8.0), rel=1e-12)


@pytest.mark.parametrize(
    ("seconds", "speed", "fallen"),
    [(1.0, 9.089606, 4.718588), (2.0, 15.067073, 17.095937), (5.0, 19.705313, 72.029073)],
)
def test_fall_with_quadratic_drag(seconds, speed, fallen):
    """v = vt tanh(g t / vt), y = vt^2 / g ln cosh(g t / vt) with vt = 20 m/s.

    The error is of first order in the step and below dt v (a step's way) and dt g (a step's speed);
    extrapolated to no step, the closed form is met to its printed digits.
    """
    terminal = 20.0
    assert terminal * math.tanh(GRAVITY * seconds / terminal) == pytest.approx(speed, abs=6e-7)
    area = 2.0 * GRAVITY / (SEA_LEVEL_DENSITY * terminal**2)
    figures = []
    for step_s in (1e-3, 5e-4, 2.5e-4):
        trial = body_with_drag(area, step_s=step_s)
        trial.state.body.position_m[2] = 0.0
        trial.flight.wind_m_s = 0.0
        trial.run_s(seconds)
        body = trial.state.body
        figures.append((float(body.velocity_m_s[2]), float(body.position_m[2])))
        assert figures[-1][0] == pytest.approx(speed, abs=step_s * GRAVITY)
        assert figures[-1][1] == pytest.approx(fallen, abs=step_s * speed)
    for coarse, middle, fine, limit in zip(*figures, (speed, fallen), strict=True):
        assert order_of(coarse, middle, fine) == pytest.approx(1.0, abs=0.02)
        assert 2.0 * fine - middle == pytest.approx(limit, abs=2e-6)


def test_terminal_speed_carries_the_weight():
    """m g = rho/2 Cd A v^2: 3 kg on 0.6 m2 sink at sqrt(2 m g / (rho Cd A))."""
    trial = body_with_drag(0.6, mass_kg=3.0).run_s(20.0)
    terminal = math.sqrt(2.0 * 3.0 * GRAVITY / (SEA_LEVEL_DENSITY * 0.6))
    assert trial.state.body.velocity_m_s[2] == pytest.approx(terminal, rel=1e-9)


def test_body_ends_up_drifting_with_the_wind():
    """Drag is of the relative speed: with that gone the body goes with the wind."""
    trial = body_with_drag(2.0)
    trial.flight.gravity_m_s2 = 0.0
    blow(trial.flight, 6.0)
    trial.run_s(60.0)
    # m dv/dt = c (w - v)^2 leaves w - v = w / (1 + c w t / m).
    c = 0.5 * SEA_LEVEL_DENSITY * 2.0
    left = 6.0 - trial.state.body.velocity_m_s[0]
    assert left == pytest.approx(6.0 / (1.0 + c * 6.0 * 60.0), rel=1e-3)
    assert trial.state.body.velocity_m_s[1:] == pytest.approx((0.0, 0.0), abs=1e-14)


def test_still_air_and_level_flight_are_one_case():
    """Galileo: wind on a craft at rest is the drag of a craft at that speed in still air."""
    blown = body_with_drag(0.3)
    blow(blown.flight, 5.0)
    flown = body_with_drag(0.3)
    flown.state.body.velocity_m_s[0] = -5.0
    push = [t.run().state.body.specific_force_m_s2.copy() for t in (blown, flown)]
    assert push[0][0] == pytest.approx(0.5 * SEA_LEVEL_DENSITY * 0.3 * 25.0, rel=1e-12)
    assert push[0] == pytest.approx(push[1], rel=1e-12)


def test_part_off_the_centre_turns_the_craft():
    """Drag acts at the part's own place: I dr/dt = -y D for a part y to the right, blown north."""
    trial = body_with_drag(0.0)
    set_inertia(trial.craft, (0.1, 0.2, 0.25))
    add_part(trial.craft, (0.0, 0.4, -0.3), (0.05, 0.5, 0.5))
    blow(trial.flight, 8.0)
    trial.run()
    drag = 0.5 * SEA_LEVEL_DENSITY * 0.05 * 64.0
    # r x F with F along +x: pitch z F, yaw -y F.
    expected = np.array([0.0, -0.3 * drag / 0.2, -0.4 * drag / 0.25]) * 1e-3
    # The absolute share is for w x I w of the rates that one step makes.
    assert trial.state.body.rate_rad_s == pytest.approx(expected, rel=1e-6, abs=1e-8)


def test_part_feels_its_own_speed():
    """A part on a turning craft is braked by w x r: I dr/dt = -rho/2 Cd A (r y)^2 y."""
    trial = body_with_drag(0.0)
    trial.flight.gravity_m_s2 = 0.0
    add_part(trial.craft, (0.0, 0.5, 0.0), (0.2, 0.0, 0.0))
    trial.state.body.rate_rad_s[2] = 4.0
    before = 4.0
    trial.run()
    moment = -0.5 * SEA_LEVEL_DENSITY * 0.2 * (4.0 * 0.5) ** 2 * 0.5
    assert trial.state.body.rate_rad_s[2] - before == pytest.approx(moment * 1e-3, rel=1e-6)


@pytest.mark.parametrize(
    ("from_deg", "north", "east"), [(0, -1, 0), (90, 0, -1), (180, 1, 0), (270, 0, 1)]
)
def test_wind_is_named_for_where_it_comes_from(from_deg, north, east):
    """Weather's habit: a north wind pushes south."""
    trial = body_with_drag(0.5)
    blow(trial.flight, 7.0)
    trial.flight.wind_from_rad = math.radians(from_deg)
    push = trial.run().state.body.specific_force_m_s2
    drag = 0.5 * SEA_LEVEL_DENSITY * 0.5 * 49.0
    assert push == pytest.approx((north * drag, east * drag, 0.0), abs=1e-12)


@pytest.mark.parametrize("above_m", [0.0, 0.5])
def test_wind_grows_with_height_by_the_log_law(above_m):
    """U(z) = U(10 m) ln(z/z0) / ln(10 m/z0) (EN 1991-1-4, 4.3.2), at the part and not at the CG."""
    trial = body_with_drag(0.0)
    add_part(trial.craft, (0.0, 0.0, -above_m), (0.5, 0.5, 0.5))
    blow(trial.flight, 6.0)
    trial.flight.wind_height_m, trial.flight.roughness_m = 10.0, 0.05
    trial.flight.least_height_m = 0.2
    trial.state.body.position_m[2] = -2.0
    wind = 6.0 * math.log((2.0 + above_m) / 0.05) / math.log(10.0 / 0.05)
    push = trial.run().state.body.specific_force_m_s2[0]
    assert push == pytest.approx(0.5 * SEA_LEVEL_DENSITY * 0.5 * wind**2, rel=1e-9)


def test_gust_gives_its_drag_impulse():
    """One-minus-cosine gust on a body too heavy to yield: (3/16) rho Cd A V^2 T = 0.882 N s.

    The integral of rho/2 Cd A u^2 over the pulse u = V/2 (1 - cos 2 pi t / T); V 4 m/s, T 2 s,
    Cd A 0.12 m2. 3 kg would take up 0.294 m/s.
    """
    trial = body_with_drag(0.12, mass_kg=HEAVY_KG)
    blow(trial.flight, 0.0)
    trial.flight.gravity_m_s2 = 0.0
    add_gust(trial.flight, 4.0, 0.5, 2.0)
    trial.run_s(3.0)
    impulse = HEAVY_KG * trial.state.body.velocity_m_s[0]
    # The rectangle rule over a smooth pulse that begins and ends at zero has no error to speak of.
    assert impulse == pytest.approx(0.882, rel=1e-6)


def test_level_trim_leans_against_the_wind():
    """tan(lean) = D / W: thrust W / cos(lean) along a leaning axis holds place against 8 m/s.

    3 kg with Cd A 0.15 m2: D = 5.88 N, 11.3025 degrees, thrust over weight 1.019777 (closed form).
    """
    trial = body_with_drag(0.0, mass_kg=3.0)
    add_part(trial.craft, (0.0, 0.0, 0.0), (0.15, 0.15, 0.15))
    add_thruster(trial, (0.0, 0.0, 0.0), 1.019777 * 3.0 * GRAVITY)
    blow(trial.flight, 8.0)
    lean = math.radians(11.3025)
    trial.state.body.attitude[:] = (math.cos(0.5 * lean), 0.0, math.sin(0.5 * lean), 0.0)
    trial.run()
    acceleration = trial.state.body.velocity_m_s / 1e-3
    # Half a unit of the last printed digit of angle and thrust ratio.
    assert acceleration == pytest.approx((0.0, 0.0, 0.0), abs=2e-5 * GRAVITY)
