"""What a craft file says reaches the record, about the CG and in body axes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft

GRAVITY = 9.80665
DRAPE = """
drape:
  cut: skirt
  strips: 6
  rows: 4
  length: 40 cm
  rim: {radius: 15 cm, place: {up: -10 cm}}
  fullness: 1.5
  fabric: {areal_density: 30 g/m2, open_fraction: 40 %, damping: 0.1}
"""


def test_places_are_from_the_centre_of_gravity(craft, air):
    """Forward, right, down of the file less those of the CG."""
    spec = craft()
    packed = pack_craft(spec, air)
    centre = packed.mass.centre_m
    record = packed.record
    assert centre[0] == pytest.approx(mass_properties(spec).centre_m[0])
    assert record.rotor[0].pivot_m == pytest.approx(np.array([0.0, -0.4, -0.01]) - centre)
    assert record.body.place_m[:, int(record.body_count) - 1] == pytest.approx(
        np.array([0.1, 0.2, -0.3]) - centre
    )
    assert record.foot[2].place_m == pytest.approx(np.array([-0.2, 0.0, 0.3]) - centre)


def test_drag_areas_are_those_of_the_file(craft, air):
    record = pack_craft(craft(), air).record
    areas = record["body"]["drag_area_m2"][:, : int(record.body_count)]
    assert any(row == pytest.approx([0.01, 0.02, 0.03]) for row in areas.T)


def test_parts_at_one_place_feel_the_air_as_one(craft, air):
    """Their drag areas add up; a part elsewhere keeps its own."""
    there = "{forward: 10 cm, right: 20 cm, up: 30 cm}"
    more = f"""
  - name: flag
    shape: point
    mass: 10 g
    place: {there}
    drag_area: {{forward: 1 cm2, right: 2 cm2, up: 3 cm2}}
every_rotor:"""
    before, record = pack_craft(craft(), air).record, None
    record = pack_craft(craft(("\nevery_rotor:", more)), air).record
    assert int(record.body_count) == int(before.body_count)
    gained = record.body.drag_area_m2.sum(axis=1) - before.body.drag_area_m2.sum(axis=1)
    assert gained == pytest.approx([1e-4, 2e-4, 3e-4])


def test_inertia_and_its_inverse(craft, air):
    record = pack_craft(craft(), air).record
    assert record.inertia_kg_m2 @ record.inertia_inverse == pytest.approx(np.eye(3), abs=1e-9)
    assert record.inertia_kg_m2 == pytest.approx(record.inertia_kg_m2.T, abs=1e-15)


def test_the_weight_sinks_the_feet_by_five_millimetres(craft, air):
    """Three feet of stiffness m g / 3 / 5 mm, damped at half of the critical value."""
    packed = pack_craft(craft(), air)
    share = packed.whole_mass_kg / 3.0
    stiffness = float(packed.record.foot_stiffness_n_m)
    assert stiffness == pytest.approx(share * GRAVITY / 5e-3, rel=1e-9)
    assert float(packed.record.foot_damping_n_s_m) == pytest.approx(math.sqrt(stiffness * share))


def test_given_legs_are_kept(craft, air):
    record = pack_craft(
        craft(("legs:\n", "legs:\n  stiffness: 2000 N/m\n  damping: 12 N s/m\n")), air
    ).record
    assert float(record.foot_stiffness_n_m) == 2000.0
    assert float(record.foot_damping_n_s_m) == 12.0


def test_without_legs_there_are_no_feet(craft, air):
    spec = craft().model_copy(update={"legs": None})
    assert int(pack_craft(spec, air).record.foot_count) == 0


def test_fabric_is_weighed_once(craft, air):
    """What the rim carries and what hangs on particles is all of the fabric: its area, three halves
    of the rim's length by 40 cm, at 30 g/m2.
    """
    packed = pack_craft(craft(more=DRAPE), air)
    bald = pack_craft(craft(), air)
    area = 1.5 * 2.0 * math.pi * 0.15 * 0.4
    assert packed.fabric_mass_kg == pytest.approx(0.03 * area, rel=1e-9)
    hanging = float(packed.record.drape.node.mass_kg.sum())
    rim = float(packed.record.mass_kg) - float(bald.record.mass_kg)
    assert hanging + rim == pytest.approx(packed.fabric_mass_kg, rel=1e-9)
    assert packed.whole_mass_kg == pytest.approx(float(packed.record.mass_kg) + hanging, rel=1e-9)
    assert bald.fabric_mass_kg == 0.0


def test_full_thrust_and_hover_thrust_reach_the_mixer(craft, air):
    packed = pack_craft(craft(), air)
    mixer = packed.record.mixer
    assert mixer.full_thrust_n[:2] == pytest.approx(packed.full.thrust_n)
    assert float(mixer.hover_thrust_n) == pytest.approx(packed.whole_mass_kg * GRAVITY)
    assert 0.0 < float(mixer.least_thrust_n) < 0.1 * float(packed.full.thrust_n.min())


def test_denser_air_gives_more_full_thrust(craft, air):
    """And a fuller pack too: both change nothing else than what turns the rotors."""
    thin = air.__class__(**{**air.__dict__, "density_kg_m3": 0.8 * air.density_kg_m3})
    spec = craft()
    full = pack_craft(spec, air).full.thrust_n.sum()
    assert pack_craft(spec, thin).full.thrust_n.sum() < full
    battery = spec.battery.model_copy(update={"charge": 0.3})
    low = spec.model_copy(update={"battery": battery})
    assert pack_craft(low, air).full.thrust_n.sum() < full
