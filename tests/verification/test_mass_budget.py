"""Mass, centre and inertia of whole crafts against closed forms, integrals and a physics engine."""

from __future__ import annotations

import math

import mujoco
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.errors import InputFaults
from sim.mass import solids
from sim.mass.assemble import assemble, join
from sim.mass.measured import Measured, apply_measured, bifilar_inertia, swung_inertia
from sim.mass.plausible import why_craft_cannot_turn, why_inertia_is_impossible
from sim.mass.properties import PartMass
from sim.spec.quantity import Uncertain

ALONG = ("forward", "right", "up")
NOWHERE = np.zeros(3)


def part(mass, place, inertia=None, *, mass_spread=0.0, place_spread=NOWHERE):
    own = np.zeros((3, 3)) if inertia is None else inertia
    place, spread = np.array(place, dtype=float), np.array(place_spread, dtype=float)
    return PartMass("part", mass, mass_spread, place, spread, own)


def budget_parts():
    """Sphere above, rod across, two motors at its ends."""
    return [
        part(2.0, (0.0, 0.0, -0.25), solids.sphere(2.0, 0.12)),
        part(0.8, (0.0, 0.0, 0.0), solids.rod(0.8, 0.8, "right")),
        part(0.15, (0.0, 0.4, 0.05)),
        part(0.15, (0.0, -0.4, 0.05)),
    ]


def test_budget_by_hand():
    """M = 3.1 kg; J = sum of Ji + mi ((d . d) 1 - d d^T), worked out by hand."""
    whole = assemble(budget_parts())
    assert whole.mass_kg == pytest.approx(3.1, rel=1e-12)
    np.testing.assert_allclose(whole.centre_m, [0.0, 0.0, -0.156451613], atol=1e-9)
    by_hand = np.diag([0.152057634, 0.061390968, 0.102186667])
    np.testing.assert_allclose(whole.inertia_kg_m2, by_hand, atol=1e-9)
    np.testing.assert_allclose(whole.principal_moments_kg_m2, np.sort(np.diag(by_hand)), atol=1e-9)
    ledger = sum(line.inertia_kg_m2 for line in whole.ledger)
    np.testing.assert_allclose(ledger, whole.inertia_kg_m2, rtol=1e-12)


def stack(inertia_of_slice, weight_of_slice, low, high, along):
    """Whole of mass 1 out of slices at Gauss points, exact for polynomials up to degree 9."""
    points, weights = np.polynomial.legendre.leggauss(5)
    places = low + (high - low) * (points + 1.0) / 2.0
    masses = weights * np.array([weight_of_slice(z) for z in places])
    masses /= masses.sum()
    axis = np.array([along == "forward", along == "right", along == "up"], dtype=float)
    return assemble(
        [
            part(mass, z * axis, inertia_of_slice(mass, z))
            for mass, z in zip(masses, places, strict=True)
        ]
    )


@pytest.mark.parametrize("along", ALONG)
def test_solids_of_revolution_are_stacks_of_discs_and_rings(along):
    """J = integral over the slices, exact by Gauss's rule; disc m R^2 / 2, ring m R^2."""
    radius, length = 0.3, 0.7

    def disc_at(mass, z):
        return solids.disc(mass, math.sqrt(radius**2 - z**2), along)

    def ring_at(mass, z):
        across = math.sqrt(radius**2 - z**2)
        return solids.tube(mass, 0.0, across, across, along)

    ball = stack(disc_at, lambda z: radius**2 - z**2, -radius, radius, along)
    shell = stack(ring_at, lambda _: 1.0, -radius, radius, along)
    bowl = stack(ring_at, lambda _: 1.0, 0.0, radius, along)
    drum = stack(
        lambda mass, _: solids.disc(mass, radius, along), lambda _: 1.0, 0.0, length, along
    )
    pipe = stack(
        lambda mass, _: solids.tube(mass, 0.0, radius, 0.1, along), lambda _: 1.0, 0, length, along
    )
    stick = stack(lambda _mass, _z: solids.point(), lambda _: 1.0, 0.0, length, along)
    for found, formula in (
        (ball, solids.sphere(1.0, radius)),
        (shell, solids.spherical_shell(1.0, radius)),
        (bowl, solids.hemispherical_shell(1.0, radius, along)),
        (drum, solids.cylinder(1.0, length, radius, along)),
        (pipe, solids.tube(1.0, length, radius, 0.1, along)),
        (stick, solids.rod(1.0, length, along)),
    ):
        np.testing.assert_allclose(found.inertia_kg_m2, formula, atol=1e-15)
    offset = solids.hemispherical_shell_centre_offset(radius)
    assert np.linalg.norm(bowl.centre_m) == pytest.approx(offset, rel=1e-12)


def test_disc_and_ring_by_integration():
    """A disc is rings with mass growing as r: integral of r^2 2 r dr / R^2 = R^2 / 2."""
    points, weights = np.polynomial.legendre.leggauss(5)
    radii = 0.2 * (points + 1.0)
    masses = weights * radii / np.sum(weights * radii)
    rings = [solids.tube(m, 0.0, r, r, "up") for m, r in zip(masses, radii, strict=True)]
    np.testing.assert_allclose(sum(rings), solids.disc(1.0, 0.4, "up"), atol=1e-15)
    angles = np.arange(8) * math.pi / 4.0
    points_of_ring = [part(0.125, (0.4 * math.cos(a), 0.4 * math.sin(a), 0.0)) for a in angles]
    ring = assemble(points_of_ring).inertia_kg_m2
    np.testing.assert_allclose(ring, solids.tube(1.0, 0.0, 0.4, 0.4, "up"), atol=1e-15)


@pytest.mark.parametrize("along", ALONG)
def test_panel_and_box_are_rods_side_by_side(along):
    """m (b^2 + c^2) / 12 about the axis of side a; a panel has no thickness along its normal."""
    expected = np.full(3, np.nan)
    others = [axis for axis in range(3) if ALONG[axis] != along]
    length, width = 0.5, 0.2
    expected[others[0]] = width**2 / 12.0
    expected[others[1]] = length**2 / 12.0
    expected[ALONG.index(along)] = (length**2 + width**2) / 12.0
    found = solids.panel(1.0, length, width, along)
    np.testing.assert_allclose(found, np.diag(expected), atol=1e-15)
    rods = stack(
        lambda mass, _: solids.panel(mass, length, width, along), lambda _: 1.0, -0.15, 0.15, along
    )
    sides = [length, width]
    sides.insert(ALONG.index(along), 0.3)
    np.testing.assert_allclose(rods.inertia_kg_m2, solids.box(1.0, *sides), atol=1e-15)


def test_physics_engine_agrees():
    """MuJoCo's own sum of a box, a cylinder and a ball: mass, centre, full tensor."""
    model = mujoco.MjModel.from_xml_string("""
        <mujoco><worldbody><body>
          <freejoint/>
          <geom type="box" mass="1.3" size="0.2 0.1 0.05" pos="0.1 -0.2 0.3"/>
          <geom type="cylinder" mass="0.4" size="0.06 0.25" pos="-0.3 0.1 0.0"/>
          <geom type="sphere" mass="0.7" size="0.09" pos="0.05 0.4 -0.2"/>
        </body></worldbody></mujoco>
    """)
    turn = np.zeros(9)
    mujoco.mju_quat2Mat(turn, model.body_iquat[1])
    axes = turn.reshape(3, 3)
    theirs = axes @ np.diag(model.body_inertia[1]) @ axes.T
    whole = assemble(
        [
            part(1.3, (0.1, -0.2, 0.3), solids.box(1.3, 0.4, 0.2, 0.1)),
            part(0.4, (-0.3, 0.1, 0.0), solids.cylinder(0.4, 0.5, 0.06, "up")),
            part(0.7, (0.05, 0.4, -0.2), solids.sphere(0.7, 0.09)),
        ]
    )
    assert whole.mass_kg == pytest.approx(model.body_mass[1], rel=1e-12)
    np.testing.assert_allclose(whole.centre_m, model.body_ipos[1], atol=1e-12)
    np.testing.assert_allclose(whole.inertia_kg_m2, theirs, atol=1e-12)
    rebuilt = whole.principal_axes @ np.diag(whole.principal_moments_kg_m2) @ whole.principal_axes.T
    np.testing.assert_allclose(rebuilt, whole.inertia_kg_m2, atol=1e-14)
    assert np.linalg.det(whole.principal_axes) == pytest.approx(1.0, rel=1e-12)


LENGTHS = st.floats(0.01, 1.0)
PLACES = st.tuples(*[st.floats(-1.0, 1.0)] * 3)


@st.composite
def some_part(draw):
    mass, along = draw(st.floats(0.01, 5.0)), draw(st.sampled_from(ALONG))
    a, b, c = draw(LENGTHS), draw(LENGTHS), draw(LENGTHS)
    own = draw(
        st.sampled_from(
            [
                solids.point(),
                solids.rod(mass, a, along),
                solids.tube(mass, a, b + c, c, along),
                solids.cylinder(mass, a, b, along),
                solids.disc(mass, a, along),
                solids.box(mass, a, b, c),
                solids.panel(mass, a, b, along),
                solids.sphere(mass, a),
                solids.spherical_shell(mass, a),
                solids.hemispherical_shell(mass, a, along),
            ]
        )
    )
    return part(mass, draw(PLACES), own)


SOME_PARTS = st.lists(some_part(), min_size=1, max_size=6)


@given(SOME_PARTS)
def test_no_sum_of_solids_is_refused_and_the_ledger_closes(parts):
    """A <= B + C for principal moments of any body; masses and inertias of the ledger sum up."""
    whole = assemble(parts)
    assert why_inertia_is_impossible(whole.inertia_kg_m2) == ""
    assert sum(line.mass_kg for line in whole.ledger) == pytest.approx(whole.mass_kg, rel=1e-12)
    about = sum(p.mass_kg * (p.place_m - whole.centre_m) for p in parts)
    np.testing.assert_allclose(about, NOWHERE, atol=1e-12)


@given(parts=SOME_PARTS, shift=PLACES, split=st.integers(0, 5))
def test_moving_and_grouping_change_nothing(parts, shift, split):
    """J about the centre does not know the origin, nor in which order parts are joined."""
    whole = assemble(parts)
    moved = assemble([part(p.mass_kg, p.place_m + shift, p.inertia_kg_m2) for p in parts])
    np.testing.assert_allclose(moved.centre_m, whole.centre_m + shift, atol=1e-12)
    np.testing.assert_allclose(moved.inertia_kg_m2, whole.inertia_kg_m2, atol=1e-12)
    groups = [group for group in (parts[:split], parts[split:]) if group]
    joined = [assemble(group) for group in groups]
    again = assemble([part(g.mass_kg, g.centre_m, g.inertia_kg_m2) for g in joined])
    np.testing.assert_allclose(again.centre_m, whole.centre_m, atol=1e-12)
    np.testing.assert_allclose(again.inertia_kg_m2, whole.inertia_kg_m2, atol=1e-12)


def numeric_spread(parts):
    """Root of the sum of squares of each input's effect, by central differences."""

    def figures(changed):
        whole = assemble(changed)
        return np.array([whole.mass_kg, *whole.centre_m, *np.diag(whole.inertia_kg_m2)])

    total, step = np.zeros(7), 1e-4
    for index, one in enumerate(parts):
        inputs = [(one.mass_plus_minus_kg, 1.0, NOWHERE)]
        inputs += [(one.place_plus_minus_m[k], 0.0, np.eye(3)[k]) for k in range(3)]
        for spread, of_mass, of_place in inputs:
            ends = []
            for side in (step, -step):
                mass = one.mass_kg + side * of_mass
                own = one.inertia_kg_m2 * mass / one.mass_kg
                changed = list(parts)
                changed[index] = part(mass, one.place_m + side * of_place, own)
                ends.append(figures(changed))
            total += ((ends[0] - ends[1]) / (2.0 * step) * spread) ** 2
    return np.sqrt(total)


def spread_parts():
    return [
        part(2.0, (0.1, 0.0, -0.25), solids.sphere(2.0, 0.12), mass_spread=0.1),
        part(0.8, (0.0, 0.2, 0.1), solids.rod(0.8, 0.8, "right"), place_spread=(0.02, 0.01, 0.03)),
        part(0.3, (-0.4, 0.4, 0.05), mass_spread=0.02, place_spread=(0.0, 0.05, 0.01)),
    ]


def test_spread_is_the_first_derivative():
    """Sum of squares of dM, dc and dJ for each mass and place, against differences."""
    whole = assemble(spread_parts())
    found = [whole.mass_plus_minus_kg, *whole.centre_plus_minus_m, *whole.inertia_plus_minus_kg_m2]
    np.testing.assert_allclose(found, numeric_spread(spread_parts()), rtol=1e-6)
    assert whole.mass_plus_minus_kg == pytest.approx(math.hypot(0.1, 0.02), rel=1e-12)


def test_bifilar_swing():
    """I = m g d^2 T^2 / (16 pi^2 L): 3 kg, 0.4 m, 1 m, 1.5 s gives 0.06706944 kg m2, by hand."""
    assert bifilar_inertia(3.0, 0.4, 1.0, 1.5) == pytest.approx(0.06706944, abs=5e-9)
    swung = swung_inertia(Uncertain(3.0, 0.03), 0.4, 1.0, Uncertain(1.5, 0.015))
    assert swung.plus_minus / swung.value == pytest.approx(math.hypot(0.01, 0.02), rel=1e-12)


def test_bifilar_swing_of_a_rod():
    """A rod hung at its ends (d = L_rod) has I = m d^2 / 12, so T = 2 pi sqrt(L / (3 g))."""
    period = 2.0 * math.pi * math.sqrt(1.2 / (3.0 * 9.80665))
    assert bifilar_inertia(0.7, 0.9, 1.2, period) == pytest.approx(0.7 * 0.9**2 / 12.0, rel=1e-12)


def test_measured_values_stand_in_place_of_summed_ones():
    """Scales by M / sum, replaces the centre and the diagonal, and says so."""
    summed = assemble(budget_parts())
    heavier = apply_measured(summed, Measured(mass_kg=Uncertain(3.41, 0.01)))
    np.testing.assert_allclose(heavier.inertia_kg_m2, 1.1 * summed.inertia_kg_m2, rtol=1e-12)
    assert heavier.mass_plus_minus_kg == 0.01
    assert "the parts sum to 3.1 kg" in heavier.notes[0]
    moments = (Uncertain(0.14, 0.01), Uncertain(0.06, 0.002), Uncertain(0.1, 0.003))
    centre = (Uncertain(0.01), Uncertain(0.0), Uncertain(-0.15, 0.005))
    known = apply_measured(summed, Measured(centre_m=centre, inertia_kg_m2=moments))
    assert tuple(np.diag(known.inertia_kg_m2)) == (0.14, 0.06, 0.1)
    assert tuple(known.inertia_plus_minus_kg_m2) == (0.01, 0.002, 0.003)
    assert tuple(known.centre_m) == (0.01, 0.0, -0.15)
    assert tuple(known.principal_moments_kg_m2) == pytest.approx((0.06, 0.1, 0.14), rel=1e-12)
    assert len(known.notes) == 4
    assert apply_measured(summed, Measured()).notes == ()


def test_joining_a_part_to_a_measured_whole():
    """As the plain sum, and the spread of the measured inertia adds in squares."""
    body = part(3.0, (0.0, 0.0, 0.1), solids.box(3.0, 0.3, 0.2, 0.1))
    cloth = part(0.2, (0.0, 0.1, 0.4), solids.tube(0.2, 0.5, 0.2, 0.2, "up"), mass_spread=0.03)
    own, spread = np.diag(body.inertia_kg_m2), np.array([0.003, 0.002, 0.004])
    first, second, third = (Uncertain(*pair) for pair in zip(own, spread, strict=True))
    measured = apply_measured(assemble([body]), Measured(inertia_kg_m2=(first, second, third)))
    both, plain = join(measured, cloth), assemble([body, cloth])
    np.testing.assert_allclose(both.inertia_kg_m2, plain.inertia_kg_m2, rtol=1e-12)
    np.testing.assert_allclose(both.centre_m, plain.centre_m, rtol=1e-12)
    np.testing.assert_allclose(both.centre_plus_minus_m, plain.centre_plus_minus_m, rtol=1e-12)
    expected = np.hypot(plain.inertia_plus_minus_kg_m2, spread)
    np.testing.assert_allclose(both.inertia_plus_minus_kg_m2, expected, rtol=1e-12)
    assert both.notes == measured.notes


@given(small=st.floats(0.1, 1.0), middle=st.floats(1.0, 2.0), excess=st.floats(1.001, 5.0))
def test_impossible_moments_are_always_refused(small, middle, excess):
    """C > A + B is no body, in whatever axes."""
    turn, _ = np.linalg.qr(np.array([[1.0, 2.0, 3.0], [0.0, 1.0, 4.0], [5.0, 6.0, 0.0]]))
    tensor = turn @ np.diag([small, middle, (small + middle) * excess]) @ turn.T
    tensor = (tensor + tensor.T) / 2.0
    assert "sum of the other two" in why_inertia_is_impossible(tensor)


def test_other_impossible_masses_are_refused():
    """J symmetric, positive, finite; M > 0; no axis without inertia."""
    assert "symmetric" in why_inertia_is_impossible(np.array([[1, 0.1, 0], [0, 1, 0], [0, 0, 1.0]]))
    assert "negative" in why_inertia_is_impossible(np.diag([1.0, -0.1, 1.0]))
    assert "finite" in why_inertia_is_impossible(np.full((3, 3), np.nan))
    assert "right axis" in why_craft_cannot_turn(solids.rod(1.0, 1.0, "right"))
    assert why_craft_cannot_turn(solids.panel(1.0, 1.0, 0.5, "up")) == ""
    with pytest.raises(InputFaults, match="0 kg in all"):
        assemble([part(0.0, NOWHERE)])
    with pytest.raises(InputFaults, match="sum of the other two"):
        apply_measured(
            assemble(budget_parts()),
            Measured(inertia_kg_m2=(Uncertain(0.1), Uncertain(0.1), Uncertain(0.3))),
        )
