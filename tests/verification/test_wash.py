"""The wake under a rotor against momentum theory, its continuity, and known downloads on wings."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from sim.physics.rotor.wash import distance_from_disc, wake_direction, wake_face, wash_at
from tests.verification.craft_builder import (
    GRAVITY,
    SEA_LEVEL_DENSITY,
    Trial,
    add_part,
    add_rotor,
    write_flat_map,
)

UP = (0.0, 0.0, -1.0)
STRAIGHT = (0.0, 0.0, 1.0)

# Depth over radius, v / v_h, tube radius / R, dynamic pressure / disc loading (vortex tube,
# McCormick 1967, and momentum theory; closed forms printed to six digits).
TUBE = [
    (0.0, 1.0, 1.0, 0.25),
    (0.25, 1.242536, 0.897110, 0.385973),
    (0.5, 1.447214, 0.831254, 0.523607),
    (1.0, 1.707107, 0.765367, 0.728553),
    (2.0, 1.894427, 0.726543, 0.897214),
]
DIGIT = 1e-6


def below(depth, aside=0.0):
    """Give the wash over the induced speed at a depth and beside the axis, for R = 1."""
    return wash_at((aside, 0.0, depth), UP, STRAIGHT, 1.0, 1.0)[2]


def outward(depth, aside):
    """Give the outward speed over the induced speed likewise."""
    return wash_at((aside, 0.0, depth), UP, STRAIGHT, 1.0, 1.0)[0]


def divergence(depth, aside, step=1e-4):
    """Give the divergence of the wash, by central differences."""
    fluxes = [(aside + d) * outward(depth, aside + d) for d in (-step, step)]
    axial = below(depth + step, aside) - below(depth - step, aside)
    return (axial + (fluxes[1] - fluxes[0]) / aside) / (2.0 * step)


def sinks_of_a_disc(depth, aside):
    """Give (axial, outward) speed outside the wake of a vortex tube of unit induced speed.

    Outside its tube it is the field of sinks spread evenly over the disc, 2 v_i an area (closed
    form of potential theory; here summed over 200 by 400 cells).
    """
    radius, weight = np.polynomial.legendre.leggauss(200)
    radius = 0.5 * (radius + 1.0)
    turn = (np.arange(400) + 0.5) * 2.0 * math.pi / 400
    ahead = radius[:, None] * np.cos(turn) - aside
    far = (ahead**2 + (radius[:, None] * np.sin(turn)) ** 2 + depth**2) ** -1.5
    share = (0.5 * weight * radius)[:, None] / 400
    return float(np.sum(-depth * share * far)), float(np.sum(ahead * share * far))


@pytest.mark.parametrize(("depth", "speed", "radius", "pressure"), TUBE)
def test_speed_and_pressure_on_the_axis(depth, speed, radius, pressure):
    """v / v_i = 1 + (z/R) / sqrt(1 + (z/R)^2): 1 in the disc, 2 far below.

    The dynamic pressure over the disc loading 2 rho v_h^2 is (v / v_h)^2 / 4.
    """
    assert below(depth) == pytest.approx(speed, abs=DIGIT)
    assert 0.25 * below(depth) ** 2 == pytest.approx(pressure, abs=DIGIT)


@pytest.mark.parametrize(("depth", "speed", "radius", "pressure"), TUBE)
def test_wake_contracts_by_continuity(depth, speed, radius, pressure):
    """The tube's radius is R sqrt(v_i / v); its smooth edge stands there."""
    assert radius == pytest.approx(math.sqrt(1.0 / speed), abs=DIGIT)
    assert below(depth, 0.5 * radius) == pytest.approx(below(depth), rel=0.02)
    assert below(depth, 0.8 * radius) > below(depth)
    assert below(depth, radius) < 0.5 * below(depth)
    assert below(depth, 1.3 * radius) < 0.05 * below(depth)


def test_the_edge_keeps_mass_flow_and_momentum():
    """Over s = (r/a)^2 the face's integral is 1 (the disc's own mass flow, whatever the depth) and
    so is that of its square (far below, rho (2 v_i)^2 pi a^2 = T with a^2 = R^2 / 2).
    """
    for power in (1, 2):
        parts = [
            quad(lambda s, p: wake_face(s)[0] ** p, *ends, (power,), epsabs=1e-13, limit=200)[0]
            for ends in ((0.0, 1.0), (1.0, np.inf))
        ]
        assert sum(parts) == pytest.approx(1.0, abs=1e-10)
    for s in (0.3, 0.9, 2.0):
        passed = quad(lambda x: wake_face(x)[0], 0.0, s, epsabs=1e-13)[0]
        assert 1.0 - passed == pytest.approx(wake_face(s)[1], abs=1e-11)


@pytest.mark.parametrize("depth", [-1.0, -0.3, 0.0, 0.3, 1.0, 3.0, 30.0])
def test_the_disc_s_own_air_passes_every_depth(depth):
    """Flux of the downward flow through a level plane over pi R^2 v_i, by quadrature.

    Above the disc the whole plane counts (a thousandth passes beyond 1000 R at most). Below it the
    air that rises beside the wake to be drawn in overlaps the wake's edge: 4 % at most.
    """

    def down(r):
        return 2.0 * r * (below(depth, r) if depth <= 0.0 else max(below(depth, r), 0.0))

    ranges = ((0.0, 1.5), (1.5, 30.0), (30.0, 1000.0))
    flux = sum(quad(down, *ends, limit=200)[0] for ends in ranges)
    if depth <= 0.0:
        assert flux == pytest.approx(1.0, abs=2e-3 * abs(depth) + 1e-6)
    else:
        assert 0.96 < flux < 1.0


@pytest.mark.parametrize("aside", [0.05, 0.2, 0.5, 0.9, 1.2, 2.0, 4.0])
def test_no_air_is_lost_above_the_disc(aside):
    """div v = 0 (continuity), by central differences whose error goes as the step squared."""
    for depth in (-2.0, -0.7, -0.2, -0.05):
        assert divergence(depth, aside) == pytest.approx(0.0, abs=1e-5)


def test_no_air_is_lost_in_the_core_of_the_wake():
    """div v = 0 in the inner half of the wake; there v_r = -(r/2) dv_z/dz to 5 %."""
    for depth in (0.05, 0.5, 1.0, 3.0):
        radius = 1.0 / math.sqrt(below(depth))
        for share in (0.02, 0.2, 0.4):
            assert divergence(depth, share * radius) == pytest.approx(0.0, abs=5e-4)
        aside, step = 0.3 * radius, 1e-5
        growth = (below(depth + step) - below(depth - step)) / (2.0 * step)
        assert outward(depth, aside) == pytest.approx(-0.5 * aside * growth, rel=0.05)


@pytest.mark.parametrize("depth", [-2.0, -1.0, -0.5, -0.2])
def test_air_is_drawn_in_above_the_disc_as_by_a_vortex_tube(depth):
    """Both parts within 0.13 v_i of the tube's own, and within 30 % from 1.2 R outwards."""
    for aside in (0.3, 0.7, 1.0, 1.2, 1.5, 2.5):
        down, out = sinks_of_a_disc(depth, aside)
        assert below(depth, aside) == pytest.approx(down, abs=0.13)
        assert outward(depth, aside) == pytest.approx(out, abs=0.13)
        if aside >= 1.2:
            found = math.hypot(below(depth, aside), outward(depth, aside))
            assert found == pytest.approx(math.hypot(down, out), rel=0.3)


def test_air_is_drawn_in_beside_the_wake():
    """Inwards, between a third and the whole of what a vortex tube draws there; and upwards."""
    for depth in (0.1, 0.3, 1.0):
        for aside in (1.2, 1.5, 2.5):
            down, out = sinks_of_a_disc(depth, aside)
            assert down < below(depth, aside) <= 0.0
            assert 1.05 * out < outward(depth, aside) < 0.33 * out


def test_the_wash_is_smooth_beside_the_disc():
    """No jump of more than a tenth of the flow across the plane of the disc, outside of it."""
    for aside in (1.1, 1.3, 2.0):
        above, under = outward(-1e-9, aside), outward(1e-9, aside)
        assert under == pytest.approx(above, rel=0.1)
        assert below(1e-9, aside) == pytest.approx(below(-1e-9, aside), abs=1e-6)


def test_inflow_and_wake_mirror_each_other():
    """A ring of vortices is symmetric: v(-z) + v(z) = 2 v_i on the axis; far above is still air."""
    for depth in (0.2, 1.0, 3.0):
        assert below(-depth) + below(depth) == pytest.approx(2.0, rel=1e-12)
    assert below(-30.0) < 0.01
    assert below(1e6) == pytest.approx(2.0, rel=1e-9)


def test_far_wake_pressure_is_the_disc_loading():
    """rho/2 (2 v_h)^2 = T / A: 129.0245 N/m2 for half of 3 kg on a disc of 0.381 m diameter."""
    area = math.pi * 0.1905**2
    thrust = 1.5 * GRAVITY
    induced = math.sqrt(thrust / (2.0 * SEA_LEVEL_DENSITY * area))
    assert induced == pytest.approx(7.256931, abs=6e-7)
    far = wash_at((0.0, 0.0, 1e4), UP, STRAIGHT, 0.1905, induced)[2]
    assert 0.5 * SEA_LEVEL_DENSITY * far**2 == pytest.approx(129.0245, abs=6e-5)


@given(
    edge=st.floats(0.0, 5.0),
    climb=st.floats(0.0, 5.0),
    heading=st.floats(-math.pi, math.pi),
)
def test_wake_leaves_along_the_flow_through_the_disc(edge, climb, heading):
    """tan(skew) = V_edge / (v_i + V_climb) (Glauert), in the direction that the air goes."""
    air = (edge * math.cos(heading), edge * math.sin(heading), climb)
    wake = wake_direction(UP, air, 1.0)
    assert wake[2] == pytest.approx(1.0, rel=1e-6)
    if edge < 5.0 * (1.0 + climb):
        assert math.hypot(wake[0], wake[1]) == pytest.approx(edge / (1.0 + climb), abs=1e-6)
        assert wake[0] * air[1] == pytest.approx(wake[1] * air[0], abs=1e-6)


def test_skewed_wake_is_found_beside_the_rotor():
    """At V = v_i the wake lies at 45 degrees: its middle is one depth downwind."""
    wake = wake_direction(UP, (4.0, 0.0, 0.0), 4.0)
    middle = wash_at((1.5, 0.0, 1.5), UP, wake, 1.0, 4.0)[2]
    assert middle == pytest.approx(4.0 * below(1.5), rel=1e-6)
    assert wash_at((0.0, 0.0, 1.5), UP, wake, 1.0, 4.0)[2] < 0.02 * middle


@given(
    x=st.floats(-3.0, 3.0), y=st.floats(-3.0, 3.0), z=st.floats(-3.0, 3.0), turn=st.floats(0.0, 6.0)
)
def test_distance_from_disc_is_the_least_over_its_points(x, y, z, turn):
    """No point of the disc is nearer, and one is as near as it says."""
    axis = np.array([math.sin(turn), 0.0, -math.cos(turn)])
    point = np.array([x, y, z])
    distance = distance_from_disc((x, y, z), tuple(axis), 1.0)
    flat = point - (point @ axis) * axis
    size = np.linalg.norm(flat)
    nearest = flat if size <= 1.0 else flat / size
    assert distance == pytest.approx(np.linalg.norm(point - nearest), abs=1e-9)


def hovering_rotor(radius_m, thrust_n):
    """Give a trial with one rotor at the CG of a held craft, in hover."""
    trial = Trial()
    trial.flight.is_held = 1
    trial.flight.density_kg_m3 = SEA_LEVEL_DENSITY
    write_flat_map(trial.craft, 0.01, 0.0)
    rotor = add_rotor(trial.craft, (0.0, 0.0, 0.0))
    rotor.radius_m = radius_m
    tip = math.sqrt(thrust_n / (SEA_LEVEL_DENSITY * math.pi * radius_m**2 * 0.01))
    trial.state.rotor[0].speed_rad_s = tip / radius_m
    return trial


def test_download_on_a_wing_under_a_rotor():
    """A wing of 10 to 15 % of the disc's area takes 5 to 20 % of the thrust.

    Tiltrotors lose 10 to 15 % of their thrust to the wing, 7 to 10 % with flaps down (from memory
    of Felker, and of Maisel, Giulianetti and Dugan, NASA SP-2000-4517). Here: a strip from hub to
    tip, in twenty pieces, three quarters of a radius down, drag coefficient 1.2 (plate, Hoerner
    1965).
    """
    radius, thrust, pieces = 0.4, 40.0, 20
    for share in (0.10, 0.125, 0.15):
        trial = hovering_rotor(radius, thrust)
        area = share * math.pi * radius**2 / pieces
        for i in range(pieces):
            right = radius * (i + 0.5) / pieces
            add_part(trial.craft, (0.0, right, 0.75 * radius), (0.0, 0.0, 1.2 * area))
        trial.run()
        assert trial.work.rotor[0].thrust_n == pytest.approx(thrust, rel=1e-9)
        download = trial.work.force_n[2] + thrust
        assert 0.05 < download / thrust < 0.20


def test_download_grows_fourfold_from_disc_to_far_wake():
    """0.02 m2 with Cd 1.2 under a disc of 0.114 m2: 5.3 % of the thrust in the disc, 21.1 % below.

    D/T = Cd S q / T, and q/(T/A) goes from 1/4 to 1 (closed form).
    """
    radius = math.sqrt(0.114 / math.pi)
    for depth, share in ((0.0, 0.25 * 1.2 * 0.02 / 0.114), (1e3, 1.2 * 0.02 / 0.114)):
        trial = hovering_rotor(radius, 15.0)
        add_part(trial.craft, (0.0, 0.0, depth), (0.0, 0.0, 1.2 * 0.02))
        trial.run()
        assert (trial.work.force_n[2] + 15.0) / 15.0 == pytest.approx(share, rel=1e-6)
    assert share == pytest.approx(0.211, abs=6e-4)


def test_wakes_of_two_rotors_add():
    """Two rotors over one part double the wash and so make its drag four times as large."""
    drag = []
    for count in (1, 2):
        trial = hovering_rotor(0.3, 20.0)
        if count == 2:
            add_rotor(trial.craft, (0.0, 0.0, 0.0)).radius_m = 0.3
            trial.state.rotor[1].speed_rad_s = trial.state.rotor[0].speed_rad_s
        add_part(trial.craft, (0.0, 0.0, 0.4), (0.0, 0.0, 0.01))
        trial.run()
        drag.append(trial.work.force_n[2] + count * 20.0)
    assert drag[1] == pytest.approx(4.0 * drag[0], rel=1e-9)
