"""A craft file's parts, rotors, fabric and measurements all reach the mass properties."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.errors import InputFaults
from sim.mass import solids
from sim.mass.drape import drape_mass
from sim.mass.from_spec import (
    hub_place_m,
    mass_properties,
    part_masses,
    rotor_plane_height_above_centre_m,
    solid_inertia,
)
from sim.mass.measured import bifilar_inertia
from sim.spec import load_craft
from sim.spec.structure import NEEDED_SIZES, PartSpec

CRAFT = """
name: budget
layout: bicopter
parts:
  - {name: spar, shape: rod, along: right, length: 0.8 m, mass: 200 g, place: {}}
  - name: fin
    shape: panel
    along: right
    length: 0.2 m
    width: 0.1 m
    mass: 0 g
    place: {}
head:
  name: bell
  shape: hemispherical_shell
  radius: 0.2 m
  mass: {value: 500 g, plus_minus: 50 g}
  place: {up: {value: 0.3 m, plus_minus: 2 cm}}
every_rotor:
  propeller: {diameter: 10 in, pitch: 5 in, mass: 20 g}
  motor:
    speed_constant: 900 rpm/V
    resistance: 90 mohm
    no_load_current: 0.8 A
    current_limit: 25 A
    mass: 80 g
  speed_controller: {current_limit: 30 A, mass: 25 g}
  tilt:
    axis: right
    travel: 30 deg
    hub_above_pivot: 5 cm
    servo: {slew: 0.1 s/60deg, stall_torque: 0.5 N m, mass: 35 g}
rotors:
  - {name: left, turns: clockwise, place: {right: -0.4 m, up: 1 cm}}
  - {name: right, turns: anticlockwise, place: {right: 0.4 m, up: 1 cm}}
battery: {cells: 4, capacity: 4 Ah, mass: 400 g, place: {up: -0.2 m}}
electronics: {idle_power: 3 W, mass: 100 g, place: {forward: 3 cm}}
"""
DRAPE = """
drape:
  cut: skirt
  strips: 8
  rows: 3
  length: 0.5 m
  fullness: 1.5
  rim: {radius: 0.2 m, place: {up: -5 cm}}
  fabric: {areal_density: 60 g/m2, open_fraction: 20 %, wet_factor: 2, wet: true}
"""
MEASURED = """
measured:
  mass: {value: 1.6 kg, plus_minus: 10 g}
  centre: {up: {value: 1 cm, plus_minus: 5 mm}}
  swing:
    roll: {period: 2 s, string_length: 1.5 m, string_spacing: 0.6 m}
    pitch: {period: 1.9 s, string_length: 1.5 m, string_spacing: 0.4 m}
    yaw: {period: 1.8 s, string_length: 1.5 m, string_spacing: 0.6 m}
"""


@pytest.fixture
def read(tmp_path):
    def of_text(text):
        path = tmp_path / "craft.yaml"
        path.write_text(text, "utf-8")
        return load_craft(path).spec

    return of_text


def test_ledger_has_a_line_for_each_thing_with_a_mass(read):
    """0.2 + 0.5 + 2 (0.02 + 0.08 + 0.025 + 0.035) + 0.4 + 0.1 = 1.52 kg."""
    whole = mass_properties(read(CRAFT))
    masses = {line.name: line.mass_kg for line in whole.ledger}
    assert masses == pytest.approx(
        {"spar": 0.2, "bell": 0.5, "left": 0.16, "right": 0.16, "battery": 0.4, "electronics": 0.1}
    )
    assert whole.mass_kg == pytest.approx(1.52, rel=1e-12)
    assert whole.mass_plus_minus_kg == pytest.approx(0.05, rel=1e-12)


def test_centre_is_that_of_the_listed_masses(read):
    """Propeller and motor at the hub, speed controller and servo at the pivot; z points down."""
    whole = mass_properties(read(CRAFT))
    down = -(0.5 * 0.3 + 2 * (0.1 * 0.06 + 0.06 * 0.01) - 0.4 * 0.2) / 1.52
    np.testing.assert_allclose(whole.centre_m, [0.1 * 0.03 / 1.52, 0.0, down], atol=1e-15)
    up_spread = math.hypot(0.05 * (0.3 + down) / 1.52, 0.5 * 0.02 / 1.52)
    assert whole.centre_plus_minus_m[2] == pytest.approx(up_spread, rel=1e-12)


def test_rotor_plane_is_that_of_the_hubs(read):
    """Hubs at 1 + 5 cm up, less the height of the centre."""
    craft = read(CRAFT)
    whole = mass_properties(craft)
    np.testing.assert_allclose(hub_place_m(craft.rotors[0]), [0.0, -0.4, -0.06], atol=1e-15)
    height = rotor_plane_height_above_centre_m(craft, whole)
    assert height.value == pytest.approx(0.06 + whole.centre_m[2], rel=1e-12)
    assert height.plus_minus == pytest.approx(whole.centre_plus_minus_m[2], rel=1e-12)


def test_fabric_counts_only_when_asked(read):
    """2 pi 0.2 m x 1.5 x 0.5 m x 60 g/m2 x 2 = 113.1 g, its middle 30 cm below the origin."""
    craft = read(CRAFT + DRAPE)
    bare, draped = mass_properties(craft), mass_properties(craft, with_drape=True)
    cloth = 2.0 * math.pi * 0.2 * 1.5 * 0.5 * 0.06 * 2.0
    assert bare.mass_kg == pytest.approx(1.52, rel=1e-12)
    assert draped.mass_kg == pytest.approx(1.52 + cloth, rel=1e-12)
    assert draped.ledger[-1].name == "drape"
    hung = drape_mass(craft.drapes[0])
    np.testing.assert_allclose(hung.place_m, [0.0, 0.0, 0.3], atol=1e-15)
    np.testing.assert_allclose(
        hung.inertia_kg_m2, solids.tube(cloth, 0.5, 0.2, 0.2, "up"), rtol=1e-12
    )
    without = mass_properties(read(CRAFT), with_drape=True)
    assert without.mass_kg == bare.mass_kg


def test_ribbons_weigh_their_own_area(read):
    """8 x 5 cm x 0.5 m x 60 g/m2 x 2 = 24 g."""
    ribbons = DRAPE.replace("skirt", "ribbons").replace("fullness: 1.5", "width: 5 cm")
    assert drape_mass(read(CRAFT + ribbons).drapes[0]).mass_kg == pytest.approx(0.024, rel=1e-12)


def test_measured_values_are_used(read):
    """Mass and centre as read; each moment from its swing, I = m g d^2 T^2 / (16 pi^2 L)."""
    craft = read(CRAFT + MEASURED)
    whole = mass_properties(craft)
    assert (whole.mass_kg, whole.mass_plus_minus_kg) == (1.6, 0.01)
    np.testing.assert_allclose(whole.centre_m, [0.0, 0.0, -0.01], atol=1e-15)
    swings = [(0.6, 2.0), (0.4, 1.9), (0.6, 1.8)]
    moments = [bifilar_inertia(1.6, spacing, 1.5, period) for spacing, period in swings]
    np.testing.assert_allclose(np.diag(whole.inertia_kg_m2), moments, rtol=1e-12)
    assert len(whole.notes) == 5


def test_swing_without_scales_takes_the_mass_of_the_parts(read):
    """1.52 kg instead of 1.6 kg."""
    text = CRAFT + MEASURED.replace("  mass: {value: 1.6 kg, plus_minus: 10 g}\n", "")
    whole = mass_properties(read(text))
    assert whole.inertia_kg_m2[0, 0] == pytest.approx(bifilar_inertia(1.52, 0.6, 1.5, 2.0))


def test_fabric_is_added_to_what_was_measured(read):
    """Measured values are those without fabric."""
    whole = mass_properties(read(CRAFT + MEASURED + DRAPE), with_drape=True)
    assert whole.mass_kg == pytest.approx(1.6 + 0.1130973, abs=1e-6)
    assert [line.name for line in whole.ledger] == ["the craft as measured", "drape"]
    assert len(whole.notes) == 5


def test_every_shape_has_its_inertia():
    """Every shape that a craft file may name is known, and its trace is that of a real size."""
    sizes = {
        "length": "30 cm",
        "radius": "20 cm",
        "inner_radius": "10 cm",
        "width": "10 cm",
        "size": {"forward": "10 cm", "right": "20 cm", "up": "30 cm"},
    }
    for shape, needed in NEEDED_SIZES.items():
        given = {key: sizes[key] for key in needed}
        part = PartSpec.model_validate(
            {"name": "x", "shape": shape, "mass": "2 kg", "place": {}, "along": "forward", **given}
        )
        inertia = solid_inertia(part)
        assert (np.trace(inertia) > 0.01) == (shape != "point")
    thick = {"name": "x", "shape": "rod", "mass": "2 kg", "place": {}, "length": "30 cm"}
    rod = PartSpec.model_validate({**thick, "radius": "5 cm"})
    np.testing.assert_array_equal(solid_inertia(rod), solids.cylinder(2.0, 0.3, 0.05, "up"))


def test_craft_of_points_on_a_line_is_refused(read):
    """No inertia about the spar: the message names the axis and the remedy."""
    text = CRAFT.replace("up: {value: 0.3 m, plus_minus: 2 cm}", "up: 0 m")
    text = text.replace("shape: hemispherical_shell\n  radius: 0.2 m", "shape: point")
    text = text.replace("hub_above_pivot: 5 cm", "hub_above_pivot: 0 cm")
    for place in ("forward: 3 cm", "up: -0.2 m", ", up: 1 cm"):
        text = text.replace(place, "")
    with pytest.raises(InputFaults, match="no inertia about its right axis"):
        mass_properties(read(text))


def test_parts_without_mass_are_left_out(read):
    """A fin that only catches wind has no line in the ledger."""
    assert "fin" not in {part.name for part in part_masses(read(CRAFT))}
