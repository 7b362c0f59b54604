"""What stands close to a disc changes its thrust; what stands outside its cylinder does not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.pack.craft import pack_craft
from sim.pack.rotor_blockage import Plan, blockage_change, part_plan
from sim.physics.rotor.blockage import change_by_body_above, change_by_body_below, narrow_share

RADIUS_M = 0.127
SKIRT = """
drape:
  cut: skirt
  strips: 8
  rows: 3
  length: 40 cm
  rim: {radius: RADIUS, place: {up: -5 cm}}
  fabric: {areal_density: 30 g/m2, open_fraction: 0 %}
"""


def changes(spec, air):
    record = pack_craft(spec, air).record
    return record["rotor"]["blockage_change"][: int(record.rotor_count)]


def plate(side_m, down_m, middle_m=(0.0, 0.0)):
    """Give a square plate, seen from above."""
    cell = ((np.arange(200) + 0.5) / 200 - 0.5) * side_m
    x, y = np.meshgrid(cell, cell)
    points = np.stack([x.ravel() + middle_m[0], y.ravel() + middle_m[1]], axis=1)
    return Plan(points, side_m**2 / len(points), side_m, down_m, down_m)


def test_ground_under_the_whole_disc_is_ground_effect():
    """A plate much wider than the disc a radius below: 1 / (1 - 1/16) of the thrust (Cheeseman and
    Bennett, from memory), but for the share b / (b + z) that a finite plate has.
    """
    hub = np.zeros(3)
    assert change_by_body_below(1.0, 1.0) == pytest.approx(1.0 / 15.0)
    found = blockage_change([plate(4.0, 1.0)], hub, 1.0)
    assert found == pytest.approx(1.0 / 15.0 * 4.0 / 5.0, rel=0.01)


def test_a_plate_above_starves_the_disc():
    """-(2/3) (R / 4z)^2 of the covered share; less the farther it stands, held within R/2."""
    assert change_by_body_above(0.5, 1.0) == pytest.approx(-0.5 / 24.0)
    assert change_by_body_above(0.5, 2.0) == pytest.approx(-0.5 / 96.0)
    assert change_by_body_above(0.5, 0.1) == change_by_body_above(0.5, 0.5)
    under = blockage_change([plate(0.5, 0.6)], np.zeros(3), 1.0)
    over = blockage_change([plate(0.5, -0.6)], np.zeros(3), 1.0)
    assert over < 0.0 < under


def test_plates_outside_the_cylinder_do_not_count():
    hub = np.zeros(3)
    assert blockage_change([plate(0.5, 0.3, (1.4, 0.0))], hub, 1.0) == 0.0
    assert blockage_change([plate(0.5, 0.3, (1.0, 0.0))], hub, 1.0) > 0.0


def test_no_more_than_the_disc_is_covered():
    """Plates one above the other hide each other."""
    many = blockage_change([plate(3.0, 0.5)] * 40, np.zeros(3), 1.0)
    assert many == pytest.approx(change_by_body_below(1.0, 0.5), rel=1e-9)


def test_air_closes_behind_a_narrow_spar():
    assert narrow_share(1.0, 0.0) == 1.0
    assert narrow_share(0.01, 0.09) == pytest.approx(0.1)
    assert narrow_share(0.0, 0.0) == 0.0


SPAR = "  - {name: spar, shape: rod, along: right, length: 0.8 m, mass: 300 g, place: {}}\n"


def with_part(words):
    """Give the change to the craft file that adds a part."""
    return SPAR, SPAR + f"  - {{name: more, mass: 1 g, {words}}}\n"


@pytest.mark.parametrize(
    ("words", "area", "breadth"),
    [
        ("shape: disc, radius: 10 cm, place: {}", math.pi * 0.01, 0.2),
        ("shape: disc, radius: 10 cm, along: right, place: {}", 0.0, 0.0),
        ("shape: tube, length: 1 m, radius: 1 cm, inner_radius: 8 mm, place: {}", 3.142e-4, 0.02),
        ("shape: rod, length: 1 m, radius: 1 cm, along: right, place: {}", 0.02, 0.02),
        ("shape: rod, length: 1 m, along: right, place: {}", 0.0, 0.0),
        ("shape: panel, length: 50 cm, width: 20 cm, place: {}", 0.1, 0.2),
        ("shape: box, size: {forward: 10 cm, right: 20 cm, up: 30 cm}, place: {}", 0.02, 0.1),
        ("shape: sphere, radius: 10 cm, place: {}", math.pi * 0.01, 0.2),
        ("shape: hemispherical_shell, radius: 10 cm, place: {}", math.pi * 0.01, 0.2),
        ("shape: point, place: {}", 0.0, 0.0),
    ],
)
def test_parts_from_above(craft, words, area, breadth):
    """A part covers its outline in plan."""
    plan = part_plan(craft(with_part(words)).parts[1])
    if area == 0.0:
        assert plan is None
        return
    assert plan.cell_m2 * len(plan.points_m) == pytest.approx(area, rel=1e-3)
    assert plan.breadth_m == pytest.approx(breadth)


def test_a_hoop_covers_what_its_drag_area_says(craft):
    """A disc with a tenth of a plate's drag area is a tenth closed (plate: 1.17, Hoerner)."""
    words = "shape: disc, radius: 10 cm, place: {}, drag_area: {forward: 0 cm2, right: 0 cm2, up: "
    plan = part_plan(craft(with_part(words + f"{0.117 * math.pi * 100:.6f} cm2}}")).parts[1])
    assert plan.cell_m2 * len(plan.points_m) == pytest.approx(0.1 * math.pi * 0.01, rel=1e-4)


def test_a_plate_changes_only_the_rotor_that_it_stands_by(craft, air):
    """Below the left disc it raises the thrust, above it lowers it; the right one never minds."""
    bare = changes(craft(), air)
    assert bare == pytest.approx([0.0, 0.0], abs=1e-12)  # a rod of no thickness
    plate_words = "shape: panel, length: 15 cm, width: 15 cm, place: {{right: -40 cm, up: {} cm}}"
    under = changes(craft(with_part(plate_words.format(-6))), air)
    over = changes(craft(with_part(plate_words.format(14))), air)
    assert over[0] < 0.0 < under[0]
    assert under[1] == over[1] == 0.0
    covered = 0.15**2 / (math.pi * RADIUS_M**2) * narrow_share(0.15, 0.1)
    assert under[0] == pytest.approx(change_by_body_below(covered, 0.1 / RADIUS_M), rel=1e-6)
    assert over[0] == pytest.approx(change_by_body_above(covered, 0.1 / RADIUS_M), rel=1e-6)


def test_thrust_follows_the_change(craft, air):
    """On the stand, at full command, thrust rises by the change at the same power, but for what the
    gram of the plate does to the speed for which the map is made.
    """
    words = "shape: panel, length: 15 cm, width: 15 cm, place: {right: -40 cm, up: -2 cm}"
    bare, covered = pack_craft(craft(), air), pack_craft(craft(with_part(words)), air)
    change = float(covered.record.rotor[0].blockage_change)
    assert change > 0.05
    ratio = covered.full.thrust_n[0] / bare.full.thrust_n[0]
    assert ratio == pytest.approx(1.0 + change, rel=1e-4)
    assert covered.full.shaft_w[0] == pytest.approx(bare.full.shaft_w[0], rel=1e-3)


def test_a_skirt_counts_only_inside_the_disc(craft, air):
    """Rim at 20 cm: outside of both discs, whose inner edges are at 27 cm. At 40 cm some of its
    strips hang under the discs, and cover at most what they would at ten degrees.
    """
    outside = changes(craft(more=SKIRT.replace("RADIUS", "20 cm")), air)
    inside = changes(craft(more=SKIRT.replace("RADIUS", "40 cm")), air)
    assert outside == pytest.approx([0.0, 0.0], abs=1e-12)
    assert np.all(inside > 0.0)
    strip = 2.0 * math.pi * 0.4 / 8 * 0.4 * math.sin(math.radians(10.0))
    most = change_by_body_below(strip / (math.pi * RADIUS_M**2), 0.09 / RADIUS_M)
    assert np.all(inside < most)
