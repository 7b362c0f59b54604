"""Fabric that hangs straight down weighs its area, wherever its rim leads it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ellipe

from sim.mass import solids
from sim.mass.drape import drape_mass, rim_mass
from sim.mass.rim import (
    rim_length_m,
    rim_points_m,
    rim_tangents,
    strip_cloth_m,
    strip_points_m,
    strip_shares,
    strip_width_m,
)
from sim.spec.drape import DrapeSpec
from sim.spec.rim import RimSpec

FABRIC = {"areal_density": {"value": "50 g/m2", "plus_minus": "10 g/m2"}, "open_fraction": "20 %"}
PLACE = {"forward": "10 cm", "right": "-5 cm", "up": "-20 cm"}


def drape_of(cut, rim, *, strips=6, **more):
    return DrapeSpec.model_validate(
        {
            "cut": cut,
            "strips": strips,
            "rows": 2,
            "length": "40 cm",
            "rim": {"place": PLACE, **rim},
            "fabric": FABRIC,
            **more,
        }
    )


def rim_of(**keys):
    return RimSpec.model_validate({"place": {}, **keys})


@given(forward=st.floats(0.05, 2.0), right=st.floats(0.05, 2.0))
def test_an_oval_is_as_long_as_the_elliptic_integral_says(forward, right):
    """Circumference 4 a E(m), m = 1 - b2/a2 (Abramowitz and Stegun 17.3)."""
    rim = rim_of(radius_forward=f"{forward:.12f} m", radius_right=f"{right:.12f} m")
    long, short = max(forward, right), min(forward, right)
    exact = 4.0 * long * float(ellipe(1.0 - (short / long) ** 2))
    assert rim_length_m(rim) == pytest.approx(exact, rel=1e-9)


def test_points_share_the_rim_evenly_and_lie_on_it():
    rim = rim_of(radius_forward="40 cm", radius_right="20 cm", faces="90 deg", spread="200 deg")
    points = rim_points_m(rim, np.linspace(0.0, 1.0, 401))
    assert np.hypot(points[:, 0] / 0.4, points[:, 1] / 0.2) == pytest.approx(1.0, rel=1e-12)
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    assert steps == pytest.approx(np.full(400, rim_length_m(rim) / 400), rel=1e-4)
    directions = np.degrees(np.unwrap(np.arctan2(points[:, 1], points[:, 0])))
    assert directions[[0, -1]] == pytest.approx([-10.0, 190.0], abs=1e-9)


@pytest.mark.parametrize(
    "keys",
    [
        {"radius": "30 cm"},
        {"radius": "30 cm", "faces": "180 deg", "spread": "120 deg"},
        {"radius_forward": "40 cm", "radius_right": "20 cm"},
        {"length": "50 cm", "along": "forward"},
        {"length": "50 cm", "along": "right"},
    ],
)
def test_tangents_point_along_the_rim(keys):
    rim = rim_of(**keys)
    shares = np.linspace(0.1, 0.9, 9)
    ahead = rim_points_m(rim, shares + 1e-5) - rim_points_m(rim, shares - 1e-5)
    unit = ahead / np.linalg.norm(ahead, axis=1)[:, None]
    np.testing.assert_allclose(rim_tangents(rim, shares), unit, atol=1e-4)


def test_a_ring_starts_ahead_and_an_open_rim_keeps_half_a_strip_from_its_ends():
    ring = drape_of("skirt", {"radius": "20 cm"})
    np.testing.assert_allclose(strip_points_m(ring)[0], [0.3, -0.05, 0.2], atol=1e-15)
    rod = drape_of("banner", {"length": "60 cm", "along": "right"}, strips=3)
    assert strip_shares(rod) == pytest.approx([1 / 6, 1 / 2, 5 / 6])
    np.testing.assert_allclose(
        strip_points_m(rod), [[0.1, -0.25, 0.2], [0.1, -0.05, 0.2], [0.1, 0.15, 0.2]], atol=1e-15
    )


CLOTH_AREAS = [
    (drape_of("skirt", {"radius": "20 cm"}, fullness=1.5), 1.5 * 2 * math.pi * 0.2 * 0.4),
    (
        drape_of("cape", {"radius": "20 cm", "faces": "180 deg", "spread": "90 deg"}),
        0.5 * math.pi * 0.2 * 0.4,
    ),
    (drape_of("banner", {"length": "60 cm", "along": "right"}, fullness=2), 2 * 0.6 * 0.4),
    (drape_of("ribbons", {"radius": "20 cm"}, width="3 cm"), 6 * 0.03 * 0.4),
    (drape_of("tentacles", {"radius": "20 cm"}, width="3 cm"), 6 * math.pi * 0.03 * 0.4),
]


@pytest.mark.parametrize(("drape", "area"), CLOTH_AREAS, ids=lambda x: getattr(x, "cut", ""))
def test_each_cut_weighs_its_area(drape, area):
    hung = drape_mass(drape)
    assert hung.mass_kg == pytest.approx(0.05 * area, rel=1e-12)
    assert hung.mass_plus_minus_kg == pytest.approx(0.01 * area, rel=1e-12)
    assert 6 * strip_cloth_m(drape) * 0.4 == pytest.approx(area, rel=1e-12)
    thickness = math.pi if drape.cut == "tentacles" else 1.0
    assert strip_width_m(drape) * thickness == pytest.approx(strip_cloth_m(drape))


def test_spread_of_length_and_density_reach_the_mass():
    drape = drape_of("skirt", {"radius": "20 cm"}, length={"value": "40 cm", "plus_minus": "2 cm"})
    hung = drape_mass(drape)
    assert hung.mass_plus_minus_kg / hung.mass_kg == pytest.approx(math.hypot(0.2, 0.05))


def test_closed_forms_of_curtains():
    """A ring is a tube, a banner a panel, and nothing on their axes of symmetry is left over."""
    ring = drape_mass(drape_of("skirt", {"radius": "20 cm"}))
    tube = solids.tube(ring.mass_kg, 0.4, 0.2, 0.2, "up")
    np.testing.assert_allclose(ring.inertia_kg_m2, tube, rtol=1e-12)
    banner = drape_mass(drape_of("banner", {"length": "60 cm", "along": "right"}))
    panel = solids.panel(banner.mass_kg, 0.6, 0.4, "forward")
    np.testing.assert_allclose(banner.inertia_kg_m2, panel, rtol=1e-5)
    for hung in (ring, banner):
        np.testing.assert_allclose(hung.place_m, [0.1, -0.05, 0.4], atol=1e-15)


def test_a_cape_hangs_off_the_middle_on_its_side():
    """Centroid of an arc: r sin(a) / a for half angle a (Meriam and Kraige, table D/3)."""
    half = math.radians(60.0)
    cape = drape_of("cape", {"radius": "20 cm", "faces": "180 deg", "spread": "120 deg"})
    behind = 0.2 * math.sin(half) / half
    hung = drape_mass(cape)
    np.testing.assert_allclose(hung.place_m, [0.1 - behind, -0.05, 0.4], rtol=1e-5)
    assert hung.inertia_kg_m2[2, 2] == pytest.approx(hung.mass_kg * (0.04 - behind**2), rel=1e-4)


def test_one_ribbon_hangs_where_it_is_tied():
    """And about its own upright axis a line has no inertia."""
    hung = drape_mass(drape_of("ribbons", {"radius": "20 cm"}, strips=1, width="3 cm"))
    np.testing.assert_allclose(hung.place_m, [0.3, -0.05, 0.4], atol=1e-15)
    np.testing.assert_allclose(
        hung.inertia_kg_m2, solids.rod(hung.mass_kg, 0.4, "up"), rtol=1e-12, atol=1e-18
    )


def test_what_the_rim_carries_is_a_hoop():
    hoop = rim_mass(drape_of("skirt", {"radius": "20 cm"}), 0.03)
    np.testing.assert_allclose(hoop.place_m, [0.1, -0.05, 0.2], atol=1e-15)
    np.testing.assert_allclose(
        hoop.inertia_kg_m2, np.diag([0.5, 0.5, 1.0]) * 0.03 * 0.04, rtol=1e-12
    )
