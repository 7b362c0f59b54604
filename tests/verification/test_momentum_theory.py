"""Momentum theory against its closed forms, evaluated by hand.

v_h = sqrt(T / (2 rho A)); climb v/v_h = -x/2 + sqrt(x^2/4 + 1); edgewise (Glauert)
(v/v_h)^2 = -x^2/2 + sqrt(x^4/4 + 1); windmill v/v_h = -x/2 - sqrt(x^2/4 - 1).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.rotor.inflow import (
    NORMAL,
    VORTEX_RING,
    WINDMILL,
    disc_flow,
    disc_load,
    induced_speed,
    inflow_gradient,
    tip_loss,
    wake_state,
)
from sim.physics.rotor.momentum import (
    climb_induced_ratio,
    edgewise_induced_ratio,
    figure_of_merit,
    hover_induced_speed,
    ideal_hover_power,
    vortex_ring_induced_ratio,
    windmill_induced_ratio,
)

SEA_LEVEL = 1.225
GRAVITY = 9.80665


def disc(diameter):
    return math.pi * diameter**2 / 4.0


@pytest.mark.parametrize(
    ("rotors", "diameter", "mass", "speed", "power"),
    [
        (2, 0.381, 3.0, 7.256931, 213.4986),
        (2, 0.254, 3.0, 10.885397, 320.2478),
        (3, 0.381, 6.0, 8.379582, 493.0538),
        (1, 0.254, 1.0, 8.887889, 87.16042),
    ],
)
def test_hover(rotors, diameter, mass, speed, power):
    """v_h = sqrt(T / (2 rho A)) and P = T v_h, evaluated independently of this code."""
    thrust = mass * GRAVITY / rotors
    area = disc(diameter)
    assert hover_induced_speed(thrust, SEA_LEVEL, area) == pytest.approx(speed, rel=1e-6)
    assert rotors * ideal_hover_power(thrust, SEA_LEVEL, area) == pytest.approx(power, rel=1e-6)


def test_tilt_rotor_example():
    """45 000 lb on two 38 ft rotors, 0.002378 slug/ft3.

    Problem as in Leishman, Principles of Helicopter Aerodynamics, example 2.1 (from memory):
    v_h 64.5865 ft/s, 2642.18 hp ideal each, 3522.9 hp at a figure of merit of 0.75.
    """
    area = math.pi * 19.0**2
    assert hover_induced_speed(22500.0, 0.002378, area) == pytest.approx(64.5865, rel=1e-5)
    ideal = ideal_hover_power(22500.0, 0.002378, area) / 550.0
    assert ideal == pytest.approx(2642.18, rel=1e-5)
    assert ideal / 0.75 == pytest.approx(3522.9, rel=1e-5)


def test_figure_of_merit():
    """FM = C_T^1.5 / (sqrt(2) C_P): 1 for C_P = C_T^1.5 / sqrt(2)."""
    assert figure_of_merit(0.01, 0.01**1.5 / math.sqrt(2.0)) == pytest.approx(1.0, rel=1e-14)


@given(thrust=st.floats(0.1, 1e3), density=st.floats(0.5, 1.5), diameter=st.floats(0.1, 2.0))
def test_power_scales(thrust, density, diameter):
    """P goes as T^1.5, as 1/D and as rho^-0.5."""
    power = ideal_hover_power(thrust, density, disc(diameter))
    assert ideal_hover_power(2.0 * thrust, density, disc(diameter)) == pytest.approx(
        power * 2.0**1.5, rel=1e-12
    )
    assert ideal_hover_power(thrust, density, disc(2.0 * diameter)) == pytest.approx(
        power / 2.0, rel=1e-12
    )
    assert ideal_hover_power(thrust, density / 2.0, disc(diameter)) == pytest.approx(
        power * math.sqrt(2.0), rel=1e-12
    )


@pytest.mark.parametrize(
    ("ratio", "expected"), [(0.5, 0.780776), (1.0, 0.618034), (2.0, 0.414214), (3.0, 0.302776)]
)
def test_climb(ratio, expected):
    """v/v_h = -x/2 + sqrt(x^2/4 + 1); the golden ratio at x = 1."""
    assert climb_induced_ratio(ratio) == pytest.approx(expected, rel=1e-5)
    assert induced_speed(7.0, 7.0 * ratio, 0.0) == pytest.approx(7.0 * expected, rel=1e-5)


@pytest.mark.parametrize(
    ("ratio", "expected"), [(0.5, 0.939565), (1.0, 0.786151), (2.0, 0.485868), (3.0, 0.331319)]
)
def test_edgewise(ratio, expected):
    """(v/v_h)^2 = -x^2/2 + sqrt(x^4/4 + 1)."""
    assert edgewise_induced_ratio(ratio) == pytest.approx(expected, rel=1e-5)
    assert induced_speed(7.0, 0.0, 7.0 * ratio) == pytest.approx(7.0 * expected, rel=1e-5)


@pytest.mark.parametrize(("ratio", "expected"), [(-2.0, 1.0), (-2.5, 0.5), (-3.0, 0.381966)])
def test_windmill(ratio, expected):
    """v/v_h = -x/2 - sqrt(x^2/4 - 1)."""
    assert windmill_induced_ratio(ratio) == pytest.approx(expected, rel=1e-5)
    # The branch meets x = -2 with infinite slope, so a rounding error of 1e-16 shows as 1e-8.
    assert induced_speed(7.0, 7.0 * ratio, 0.0) == pytest.approx(7.0 * expected, rel=1e-5)


@pytest.mark.parametrize(
    ("ratio", "expected"), [(-0.5, 1.393313), (-1.0, 1.816), (-1.5, 2.082812), (-2.0, 1.026)]
)
def test_vortex_ring_fit(ratio, expected):
    """v/v_h = 1 - 1.125x - 1.372x^2 - 1.718x^3 - 0.655x^4, Leishman (from memory)."""
    # Half a unit of the last digit; the first value, 1.3933125, is itself a tie.
    assert vortex_ring_induced_ratio(ratio) == pytest.approx(expected, abs=5.001e-7)


@pytest.mark.parametrize("ratio", [-0.5, -1.0, -1.5])
def test_slow_descent_follows_the_fit(ratio):
    """From half the hover speed of sink on, the disc's induced speed is the fit itself."""
    expected = 9.0 * vortex_ring_induced_ratio(ratio)
    assert induced_speed(9.0, 9.0 * ratio, 0.0) == pytest.approx(expected, rel=1e-9)


def test_branches_refuse_what_momentum_theory_cannot_say():
    """No branch answers outside its range."""
    assert math.isnan(climb_induced_ratio(-0.1))
    assert math.isnan(windmill_induced_ratio(-1.9))
    assert math.isnan(vortex_ring_induced_ratio(0.1))
    assert math.isnan(vortex_ring_induced_ratio(-2.1))


def test_slope_at_hover_is_one_value():
    """d(v)/d(V) = -1/2 at hover from climb; descent must continue it (central difference)."""
    above = (induced_speed(1.0, 1e-4, 0.0) - 1.0) / 1e-4
    below = (1.0 - induced_speed(1.0, -1e-4, 0.0)) / 1e-4
    # The next term of either side is second order in the step.
    assert above == pytest.approx(-0.5, abs=1e-3)
    assert below == pytest.approx(-0.5, abs=1e-3)


def test_slow_descent_bends_without_a_kink():
    """Where the fit takes over (x = -0.5) the slope is the same from both sides (to the step)."""
    at = [induced_speed(1.0, -0.5 + step, 0.0) for step in (-1e-4, 0.0, 1e-4)]
    assert (at[2] - at[1]) / 1e-4 == pytest.approx((at[1] - at[0]) / 1e-4, abs=2e-3)


@given(hover=st.floats(0.5, 20.0), axial=st.floats(-60.0, 30.0), edge=st.floats(0.0, 30.0))
def test_induced_speed_satisfies_the_momentum_balance(hover, axial, edge):
    """v sqrt(V_edge^2 + m^2) = v_h^2, and m = V + v in climb."""
    induced = induced_speed(hover, axial, edge)
    assert 0.0 < induced < 2.2 * hover
    if axial >= 0.0:
        balance = induced * math.sqrt(edge**2 + (axial + induced) ** 2)
        assert balance == pytest.approx(hover**2, rel=1e-9)


@given(
    axial=st.floats(-0.5, 0.5),
    edge=st.floats(0.0, 0.5),
    strength=st.floats(-0.5, 0.5),
    more=st.floats(1e-4, 0.1),
)
def test_load_rises_with_strength(axial, edge, strength, more):
    """The load of a disc is monotone in its parameter, in every state, so a root is unique."""
    assert disc_load(strength + more, axial, edge) > disc_load(strength, axial, edge)


@given(axial=st.floats(-0.5, 0.5), strength=st.floats(0.0, 0.5))
def test_pushing_disc_is_the_mirror_image(axial, strength):
    """v(-w, -V) = -v(w, V) with the same through-flow."""
    induced, through = disc_flow(strength, axial)
    mirrored, same = disc_flow(-strength, -axial)
    assert (mirrored, same) == (pytest.approx(-induced, abs=1e-15), pytest.approx(through))
    assert induced * through == pytest.approx(strength**2, abs=1e-15)


def test_wake_states():
    """Climb and hover are normal; slow sink recirculates unless the rotor moves along its disc."""
    assert wake_state(8.0, 0.0, 0.0) == NORMAL
    assert wake_state(8.0, 5.0, 0.0) == NORMAL
    assert wake_state(8.0, -2.0, 0.0) == NORMAL
    assert wake_state(8.0, -8.0, 0.0) == VORTEX_RING
    assert wake_state(8.0, -8.0, 12.0) == NORMAL
    assert wake_state(8.0, -17.0, 0.0) == WINDMILL


def test_inflow_gradient():
    """k = tan(chi/2): 0 in hover, tan(22.5 deg) at equal speeds, 1 with no through-flow."""
    assert inflow_gradient(0.0, 0.0) == 0.0
    assert inflow_gradient(3.0, 3.0) == pytest.approx(math.tan(math.radians(22.5)), rel=1e-12)
    assert inflow_gradient(3.0, 0.0) == pytest.approx(1.0, rel=1e-12)


def test_tip_loss():
    """F = (2/pi) acos(exp(-(B/2)(1-r)/(r sin phi)))."""
    expected = 2.0 / math.pi * math.acos(math.exp(-0.1 / 0.05))
    small, full = True, False
    assert tip_loss(2, 0.9, 0.05, small) == pytest.approx(expected, rel=1e-12)
    assert tip_loss(2, 0.9, 1e-4, full) == pytest.approx(1.0, rel=1e-12)
    assert tip_loss(4, 0.9, 0.05, full) > tip_loss(2, 0.9, 0.05, full)
