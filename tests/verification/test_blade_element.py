"""Blade element momentum theory against closed forms and against itself at finer steps.

Hover, small angles: lambda = (sigma a / 16) (sqrt(1 + 32 theta r / (sigma a)) - 1),
C_T = integral of 4 lambda^2 r dr; ideal twist theta = theta_tip / r makes lambda uniform,
C_T = (sigma a / 4) (theta_tip - sqrt(C_T / 2)).
"""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.physics.rotor.blade_element import RESULTS, Method, rotor_coefficients, rotor_sweep
from sim.physics.rotor.geometry import annuli, blade_from_functions, propeller_blade, solidity
from sim.physics.rotor.momentum import figure_of_merit, vortex_ring_induced_ratio
from sim.physics.rotor.section_polar import (
    THIN_CAMBERED,
    linear_section,
    profile_drag,
    section_forces,
)

CLOSED_FORM = Method(1e5, tip_loss=False, small_angle=True)
WITH_TIP_LOSS = Method(1e5, tip_loss=True, small_angle=True)
FULL_ANGLES = Method(1e5, tip_loss=True, small_angle=False)


def untwisted(stations, solidity_ratio, degrees, blades=2, root=0.0):
    chord = np.full(stations, solidity_ratio * math.pi / blades)
    return blade_from_functions(blades, chord, np.full(stations, math.radians(degrees)), root=root)


def coefficients(blade, section, axial, edge, method):
    result = np.zeros(RESULTS)
    rotor_coefficients(blade, section, axial, edge, method, result)
    return result


@pytest.mark.parametrize(
    ("solidity_ratio", "slope", "degrees", "expected"),
    [
        (0.1, 5.7, 5.0, 0.00299287),
        (0.1, 5.7, 10.0, 0.00792205),
        (0.0424413, 5.75, 8.0, 0.00328386),
    ],
)
def test_hover_untwisted(solidity_ratio, slope, degrees, expected):
    """C_T of the closed form above, integrated independently."""
    blade = untwisted(200, solidity_ratio, degrees)
    thrust = coefficients(blade, linear_section(slope, 0.0, 0.0, 0.0), 0.0, 0.0, CLOSED_FORM)[0]
    assert thrust == pytest.approx(expected, rel=1e-4)


def test_hover_ideal_twist():
    """C_T = (sigma a / 4) (theta_tip - sqrt(C_T / 2)), uniform inflow sqrt(C_T / 2)."""
    radius, _width = annuli(0.0, 200)
    chord = np.full(200, 0.1 * math.pi / 2.0)
    blade = blade_from_functions(2, chord, math.radians(10.0) / radius, root=0.0)
    result = coefficients(blade, linear_section(5.7, 0.0, 0.0, 0.0), 0.0, 0.0, CLOSED_FORM)
    assert result[0] == pytest.approx(0.01326550, rel=1e-6)
    assert result[5] == pytest.approx(math.sqrt(result[0] / 2.0), rel=1e-6)
    # Without drag the power is that of momentum theory alone: figure of merit 1.
    assert figure_of_merit(result[0], result[1]) == pytest.approx(1.0, rel=1e-6)


def test_second_order_in_stations():
    """The middle of each annulus stands for it, so halving the annuli divides the error by 4."""
    section = linear_section(5.7, 0.0, 0.0, 0.0)
    exact = coefficients(untwisted(3200, 0.1, 10.0), section, 0.0, 0.0, CLOSED_FORM)[0]
    errors = [
        abs(coefficients(untwisted(n, 0.1, 10.0), section, 0.0, 0.0, CLOSED_FORM)[0] - exact)
        for n in (25, 50, 100)
    ]
    for coarse, fine in itertools.pairwise(errors):
        assert math.log2(coarse / fine) == pytest.approx(2.0, abs=0.05)


def test_tip_loss_costs_thrust():
    """8 degrees, two blades: Prandtl's factor takes 0.003284 to 0.003150, 4.1 % less."""
    section = linear_section(5.75, 0.0113, 0.0, 1.25)
    blade = untwisted(200, 0.0424413, 8.0)
    without = coefficients(blade, section, 0.0, 0.0, CLOSED_FORM)[0]
    with_loss = coefficients(blade, section, 0.0, 0.0, WITH_TIP_LOSS)[0]
    assert with_loss == pytest.approx(0.003150, abs=1e-6)
    assert with_loss / without - 1.0 == pytest.approx(-0.041, abs=5e-4)


# Rotor of Knight and Hefner, NACA TN-626, 1937: R 0.762 m, chord 0.0508 m, untwisted; dimensions
# and the section model c_l = 5.75 alpha, c_d = 0.0113 + 1.25 alpha^2 as quoted by academic blade
# element codes, not checked against the report. The coefficients were computed with an independent
# hover code for that section model (Prandtl tip loss, no cut-out); they are not the measurements.
KNIGHT_AND_HEFNER = {
    2: ((1278, 103), (2183, 162), (3150, 245), (4158, 352), (5197, 483)),
    3: ((1642, 150), (2875, 236), (4214, 360), (5624, 520), (7088, 716)),
    4: ((1929, 195), (3444, 306), (5111, 467), (6883, 678), (8732, 938)),
    5: ((2164, 238), (3926, 371), (5887, 568), (7986, 828), (10190, 1150)),
}


@pytest.mark.parametrize("method", [WITH_TIP_LOSS, FULL_ANGLES])
@pytest.mark.parametrize("blades", [2, 3, 4, 5])
def test_knight_and_hefner(blades, method):
    """1 % or half a printed unit: small-angle and full-angle codes differ by that much."""
    section = linear_section(5.75, 0.0113, 0.0, 1.25)
    solidity_ratio = blades * 0.0508 / (math.pi * 0.762)
    for degrees, (thrust, power) in zip((4, 6, 8, 10, 12), KNIGHT_AND_HEFNER[blades], strict=True):
        blade = untwisted(200, solidity_ratio, degrees, blades)
        assert solidity(blade) == pytest.approx(solidity_ratio, rel=1e-9)
        result = coefficients(blade, section, 0.0, 0.0, method)
        assert result[0] * 1e6 == pytest.approx(thrust, rel=0.01, abs=0.5)
        assert result[1] * 1e6 == pytest.approx(power, rel=0.01, abs=0.5)


def test_edgewise_flow_of_a_vanishing_solidity():
    """With no induced flow, edgewise integrals are exact.

    Thrust sigma a theta ((1-r0^3)/3 + mu^2 (1-r0)/2) / 2, rolling sigma a theta mu (1-r0^3)/6,
    in-plane sigma c_d mu (1-r0^2)/4, from U = r + mu sin(psi); no pitching moment.
    """
    sigma, slope, drag, degrees, mu, root = 1e-9, 5.7, 0.02, 6.0, 0.2, 0.25
    blade = untwisted(400, sigma, degrees, root=root)
    theta = math.radians(degrees)
    result = coefficients(
        blade,
        linear_section(slope, drag, 0.0, 0.0),
        0.0,
        mu,
        Method(1e5, tip_loss=False, small_angle=False),
    )
    thrust = sigma * slope * theta * ((1.0 - root**3) / 3.0 + mu**2 * (1.0 - root) / 2.0) / 2.0
    # 400 annuli: the middle rule errs by about (1/400)^2; induced flow by about 1e-8.
    assert result[0] == pytest.approx(thrust, rel=1e-4)
    assert result[2] == pytest.approx(sigma * drag * mu * (1.0 - root**2) / 4.0, rel=1e-4)
    assert result[3] == pytest.approx(sigma * slope * theta * mu * (1.0 - root**3) / 6.0, rel=1e-4)
    assert abs(result[4]) < 1e-6 * result[3]


def test_edgewise_momentum_balance():
    """A lightly loaded rotor in edgewise flow: mean inflow close to Glauert's C_T / (2 mu)."""
    blade = propeller_blade(0.254, 0.127, 2)
    result = coefficients(
        blade, THIN_CAMBERED, 0.0, 0.4, Method(5e5, tip_loss=False, small_angle=False)
    )
    induced = result[5]
    glauert = result[0] / (2.0 * math.sqrt(0.4**2 + induced**2))
    # The inflow is not uniform over the disc, so its mean differs from the uniform one by some %.
    assert induced == pytest.approx(glauert, rel=0.10)


def test_edgewise_signs():
    """In wind along the disc: drag downwind, more lift on the advancing side, upwind edge up."""
    blade = propeller_blade(0.254, 0.127, 2)
    hover = coefficients(blade, THIN_CAMBERED, 0.0, 0.0, FULL_ANGLES)
    wind = coefficients(blade, THIN_CAMBERED, 0.0, 0.05, FULL_ANGLES)
    assert wind[0] > hover[0]
    assert wind[2] > 0.0
    assert wind[3] > 0.0
    assert wind[4] > 0.0
    assert np.all(hover[2:5] == 0.0)


@pytest.mark.parametrize("climb", [0.02, 0.05, 0.08])
def test_climb_momentum_balance(climb):
    """Ideal twist in climb keeps the inflow uniform: C_T = 2 lambda_i (lambda_c + lambda_i)."""
    radius, _width = annuli(0.0, 100)
    blade = blade_from_functions(2, np.full(100, 0.15), math.radians(12.0) / radius, root=0.0)
    result = coefficients(blade, linear_section(5.7, 0.0, 0.0, 0.0), climb, 0.0, CLOSED_FORM)
    assert result[0] == pytest.approx(2.0 * result[5] * (climb + result[5]), rel=1e-6)
    assert result[1] == pytest.approx(result[0] * (climb + result[5]), rel=1e-6)


def test_descent_uses_the_fit():
    """Ideal twist sinking at x = -1: uniform inflow 1.816 sqrt(C_T / 2), Leishman (from memory)."""
    radius, _width = annuli(0.0, 50)
    blade = blade_from_functions(2, np.full(50, 0.15), math.radians(8.0) / radius, root=0.0)
    section = linear_section(5.7, 0.0, 0.0, 0.0)
    sink = 0.06
    for _ in range(60):
        result = coefficients(blade, section, -sink, 0.0, CLOSED_FORM)
        sink += 0.5 * (math.sqrt(result[0] / 2.0) - sink)
    hover = math.sqrt(result[0] / 2.0)
    assert sink == pytest.approx(hover, rel=1e-6)
    assert result[5] == pytest.approx(hover * vortex_ring_induced_ratio(-1.0), rel=1e-4)


def test_fast_descent_is_a_windmill():
    """Below twice the induced speed the momentum branch returns: C_T = 2 l_i (|l_c| - l_i)."""
    radius, _width = annuli(0.0, 50)
    blade = blade_from_functions(2, np.full(50, 0.05), math.radians(1.0) / radius, root=0.0)
    section = linear_section(5.7, 0.0, 0.0, 0.0)
    result = coefficients(blade, section, -0.3, 0.0, CLOSED_FORM)
    assert 2.0 * math.sqrt(result[0] / 2.0) < 0.3
    assert result[0] == pytest.approx(2.0 * result[5] * (0.3 - result[5]), rel=1e-5)
    assert result[1] < 0.0


@settings(max_examples=40, deadline=None)
@given(
    pitch=st.floats(0.35, 0.5),
    blades=st.integers(2, 4),
    climb=st.floats(0.0, 0.1),
    more=st.floats(0.005, 0.05),
)
def test_thrust_falls_with_climb(pitch, blades, climb, more):
    """A propeller that does not stall in hover loses thrust by climbing."""
    blade = propeller_blade(0.3, 0.3 * pitch, blades)
    slow = coefficients(blade, THIN_CAMBERED, climb, 0.0, FULL_ANGLES)
    fast = coefficients(blade, THIN_CAMBERED, climb + more, 0.0, FULL_ANGLES)
    assert fast[0] < slow[0]


@settings(max_examples=40, deadline=None)
@given(
    diameter=st.floats(0.1, 0.8),
    pitch=st.floats(0.3, 0.8),
    blades=st.integers(2, 3),
    reynolds=st.floats(1e5, 1e6),
)
def test_no_small_propeller_beats_a_helicopter(diameter, pitch, blades, reynolds):
    """Figure of merit below 0.75, the upper end of Harrington, NACA TN-2318, 1951 (second hand)."""
    blade = propeller_blade(diameter, diameter * pitch, blades)
    result = coefficients(
        blade, THIN_CAMBERED, 0.0, 0.0, Method(reynolds, tip_loss=True, small_angle=False)
    )
    assert 0.2 < figure_of_merit(result[0], result[1]) < 0.75


def test_everything_is_finite_over_the_whole_map():
    """No hole in any state, from windmill descent to windmilling climb."""
    blade = propeller_blade(0.254, 0.127, 2)
    axial = np.linspace(-0.4, 0.6, 21)
    edge = np.linspace(0.0, 0.5, 6)
    result = np.full((21, 6, RESULTS), math.nan)
    rotor_sweep(blade, THIN_CAMBERED, axial, edge, FULL_ANGLES, result)
    assert np.all(np.isfinite(result))
    assert np.all(np.abs(result[:, :, 0]) < 0.1)
    one = coefficients(blade, THIN_CAMBERED, float(axial[7]), float(edge[3]), FULL_ANGLES)
    assert np.array_equal(result[7, 3], one)


def test_section_all_around():
    """Attached near zero lift, flat plate at right angles, no lift flying backwards, continuous."""
    least = profile_drag(THIN_CAMBERED, 1e5)
    zero = THIN_CAMBERED.zero_lift_angle
    lift, drag = section_forces(THIN_CAMBERED, zero + 0.1, least)
    assert lift == pytest.approx(0.1 * THIN_CAMBERED.lift_slope, rel=1e-12)
    lift, drag = section_forces(THIN_CAMBERED, zero + 0.5 * math.pi, least)
    assert lift == pytest.approx(0.0, abs=1e-12)
    assert drag == pytest.approx(THIN_CAMBERED.plate_drag + least, rel=1e-12)
    assert section_forces(THIN_CAMBERED, zero + math.pi, least)[0] == pytest.approx(0.0, abs=1e-12)
    angles = np.linspace(-math.pi, math.pi, 4001)
    curve = np.array([section_forces(THIN_CAMBERED, angle, least) for angle in angles])
    # No jump: steps stay below the steepest slope (about 7 per radian) times the step.
    assert np.max(np.abs(np.diff(curve, axis=0))) < 8.0 * (angles[1] - angles[0])
    assert np.all(curve[:, 1] > 0.0)
    assert 1.0 < np.max(curve[:, 0]) < 1.4


def test_profile_drag_falls_with_reynolds_number():
    """c_d0 goes as Re^-0.4: twice the Reynolds number, 2^-0.4 of the drag."""
    ratio = profile_drag(THIN_CAMBERED, 2e5) / profile_drag(THIN_CAMBERED, 1e5)
    assert ratio == pytest.approx(2.0**-0.4, rel=1e-12)
    assert profile_drag(linear_section(5.7, 0.01, 0.0, 0.0), 10.0) == 0.01


def test_pitch_gives_twist():
    """The lower face advances by the pitch in one turn: tan = pitch / (2 pi r)."""
    blade = propeller_blade(0.254, 0.127, 2)
    face = np.arctan(0.127 / (2.0 * math.pi * 0.127 * blade.radius))
    assert np.allclose(blade.twist - face, blade.twist[0] - face[0], atol=1e-12)
    assert np.all(np.diff(blade.twist) < 0.0)
    table = propeller_blade(0.254, 0.0, 2, [(0.2, 0.1), (1.0, 0.1)], [(0.2, 0.3), (1.0, 0.1)])
    assert np.allclose(table.chord, 0.1)
    assert table.twist[0] == pytest.approx(0.3, abs=0.02)
    assert np.sum(table.width) == pytest.approx(0.8, rel=1e-12)
