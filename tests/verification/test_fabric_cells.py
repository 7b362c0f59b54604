"""Woven cloth between the lines of its grid: rod ends do not go through, halves face apart."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.params.drape_record import BESIDE
from sim.physics.drape.contact import nearest_on_triangle
from sim.step.fabric_cell import half_cells
from tests.verification.craft_builder import blow
from tests.verification.fabric_builder import columns, fabric, hung, node_places, places, velocities
from tests.verification.test_fabric_contact import add_rod

COORDINATES = st.floats(-1.0, 1.0)
POINTS = st.tuples(COORDINATES, COORDINATES, COORDINATES)
SPEED_M_S = 4.0
DENSITY_KG_M3 = 1.225


@given(POINTS, POINTS, POINTS, POINTS)
def test_no_corner_lies_beyond_the_nearest_point_of_a_triangle(place, first, second, third):
    """The nearest point of a convex set: no way from there into the set leads towards the place."""
    shares = nearest_on_triangle(place, first, second, third)
    one, other, last = (np.array(corner) for corner in (first, second, third))
    rest = 1.0 - sum(shares)
    assert min(*shares, rest) >= -1e-12
    found = rest * one + shares[0] * other + shares[1] * last
    away = np.array(place) - found
    area = float(np.linalg.norm(np.cross(other - one, last - one)))
    if area > 1e-3:
        assert max(float(away @ (corner - found)) for corner in (one, other, last)) < 1e-6


def went_through(trial):
    """Count the halves of cells through which the axis of a rod goes, of a level craft."""
    node = node_places(trial) - trial.state.body.position_m
    drape, count = trial.craft.drape, 0
    for rod in drape.capsule[: drape.capsule_count]:
        for n in np.flatnonzero(drape.thread.stiffness_n_m[BESIDE] > 0.0):
            for ends in half_cells(int(n)):
                one, other, last = node[list(ends)]
                sides = np.stack([other - one, last - one, -rod.along_m], axis=1)
                if abs(np.linalg.det(sides)) > 1e-12:
                    a, b, along = np.linalg.solve(sides, rod.place_m - one)
                    count += int(min(a, b) >= 0.0 and a + b <= 1.0 and 0.0 <= along <= 1.0)
    return count


@pytest.mark.parametrize("aside_m", [0.0, 0.04, 0.08])
def test_wind_blows_no_cloth_onto_the_end_of_a_rod(aside_m):
    """A mast within a skirt ends where its cells are wide and no line need ever touch it."""
    ends = []
    for masts in (0, 1):
        trial = hung(
            fabric("skirt", strips=8, rows=3, length_m=0.6, areal_kg_m2=0.03),
            density=DENSITY_KG_M3,
        )
        blow(trial.flight, SPEED_M_S)
        add_rod(trial, (0.0, aside_m, 0.0), (0.0, 0.0, 0.27))
        found = 0
        for _ in range(100):
            trial.craft.drape.capsule_count = masts
            trial.run(30)
            trial.craft.drape.capsule_count = 1
            found += went_through(trial)
        ends.append(found)
    assert ends[0] > 0, "without the mast the cloth goes where it would be"
    assert ends[1] == 0


@pytest.mark.parametrize("half_angle_deg", [30.0, 60.0, 90.0])
def test_pleat_is_pushed_by_what_its_faces_show_to_the_air(half_angle_deg):
    """The rule q A Cn cos^2 on each face, with the faces' own normals, in closed form.

    At 90 degrees the faces are one plane, square to the air.
    """
    trial = hung(fabric("skirt", strips=8, rows=3, length_m=0.6), density=DENSITY_KG_M3)
    drape = trial.craft.drape
    drape.node.tangent_coefficient[:] = 0.0
    drape.node.lost_outside[:], drape.node.lost_inside[:] = 0.0, 0.0
    angle = np.radians(half_angle_deg)
    at = places(trial).reshape(8, 3, 3)
    for strip, side in ((1, 1.0), (7, -1.0)):
        for row in range(3):
            away = np.array([-np.cos(angle), side * np.sin(angle), 0.0])
            at[strip, row] = at[0, row] + 0.15 * away
    velocities(trial)[:] = (SPEED_M_S, 0.0, 0.0)
    trial.run(1)
    node = int(drape.panel.node[2])
    pressure = 0.5 * DENSITY_KG_M3 * SPEED_M_S**2
    area = columns(trial, "area_m2")[2] * columns(trial, "normal_coefficient")[2]
    expected = -pressure * area * np.sin(angle) ** 3
    assert trial.work.fabric.air_n[0, node] == pytest.approx(expected, rel=1e-4)
    assert abs(trial.work.fabric.air_n[1, node]) < 1e-6
