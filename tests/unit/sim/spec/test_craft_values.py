"""What a craft file says arrives in SI units and body axes, and every default is listed."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from sim.spec import CraftSpec, Uncertain, craft_from_bytes, load_craft
from sim.spec.drag_area import bluff_drag_area_m2

ROOT = Path(__file__).parents[4]
BARE = ROOT / "airframes/bare_bicopter.yaml"
SMALL = """
name: small
layout: bicopter
every_rotor:
  propeller: {diameter: 11 in, pitch: 4.5 in, mass: 12 g}
  motor: {speed_constant: {value: 800 rpm/V, plus_minus: 5 %}, resistance: 80 mohm,
          no_load_current: 1 A, current_limit: 25 A, mass: 75 g}
  speed_controller: {current_limit: 30 A}
  tilt: {axis: right, travel: 30 deg, servo: {slew: 0.1 s/60deg, stall_torque: 1 N m, mass: 40 g}}
rotors:
  - {name: left, turns: clockwise, place: {forward: 1 cm, right: -35 cm, up: 2 cm}}
  - {name: right, turns: anticlockwise, place: {right: 35 cm, up: {value: 2 cm, plus_minus: 3 mm}}}
battery: {cells: 3, capacity: 4 Ah, mass: 320 g, place: {up: -20 cm}}
electronics: {idle_power: 3 W, mass: 90 g, place: {up: -3 cm}}
"""


def small(*pairs):
    text = SMALL
    for before, after in pairs:
        assert before in text
        text = text.replace(before, after)
    return craft_from_bytes(text.encode(), "small.yaml")


def test_places_turn_into_body_axes():
    """ISO 1151: x forward, y right, z down; the builder writes up."""
    left, right = small().spec.rotors
    assert left.place.body_m == (0.01, -0.35, -0.02)
    assert right.place.plus_minus_m == (0.0, 0.0, 0.003)


def test_spread_may_be_written_as_a_share():
    speed_constant = small().spec.rotors[0].motor.speed_constant_rad_s_V
    assert speed_constant.value == pytest.approx(800 * 2 * math.pi / 60, rel=1e-15)
    assert speed_constant.plus_minus == pytest.approx(0.05 * speed_constant.value, rel=1e-15)


def test_sections_left_out_are_none():
    spec = small().spec
    assert isinstance(spec, CraftSpec)
    assert (spec.head, spec.legs, spec.measured) == (None,) * 3
    assert (spec.drapes, spec.parts) == ((), ())


def test_specs_are_frozen():
    with pytest.raises(ValueError, match="frozen"):
        small().spec.battery.cells = 5


def test_every_default_is_listed_with_value_and_meaning():
    defaults = {entry.path: entry for entry in small().defaults}
    assert defaults["battery.reserve"].value == "0.2"
    assert defaults["every_rotor.tilt.servo.slop"].value == "0.5 deg"
    assert defaults["controller.gyro_cutoff"].value == "80 Hz"
    assert defaults["battery.current_limit"].value == "80 A"
    assert defaults["battery.wiring_resistance"].value == "0.006 ohm, plus or minus 0.003 ohm"
    assert "legs" in defaults
    assert all(entry.value and entry.meaning for entry in defaults.values())


def test_what_is_written_is_no_default():
    before = {entry.path for entry in small().defaults}
    after = {entry.path for entry in small(("cells: 3,", "cells: 3, reserve: 25 %,")).defaults}
    assert before - after == {"battery.reserve"}


def test_full_file_lists_only_what_it_leaves_out():
    text = BARE.read_text(encoding="utf-8")
    for entry in load_craft(BARE).defaults:
        key = entry.path.rsplit(".", 1)[-1]
        assert entry.path.startswith(("controller", "place", "parts")) or f"{key}:" not in text


def test_propeller_with_a_measurement_is_less_uncertain():
    estimated = small().spec.rotors[0].propeller
    reading = "mass: 12 g, measured_thrust: {thrust: 900 gf, speed: 7000 rpm}}"
    measured = small(("mass: 12 g}", reading)).spec.rotors[0].propeller
    assert estimated.thrust_factor == Uncertain(1.0, 0.1)
    assert measured.thrust_factor == Uncertain(1.0, 0.05)
    assert measured.measured_thrust.thrust_n == pytest.approx(0.9 * 9.80665, rel=1e-12)


def test_estimated_bell_is_that_of_a_small_motor():
    """45 % of 75 g at 0.45 diameters of a motor of 4300 kg/m3 that is as high as wide."""
    diameter = (4 * 0.075 / (math.pi * 4300)) ** (1 / 3)
    expected = 0.45 * 0.075 * (0.45 * diameter) ** 2
    assert small().spec.rotors[0].motor.bell_inertia_kg_m2 == pytest.approx(expected, rel=1e-12)


def test_estimated_pack_resistance_grows_with_cells_and_falls_with_capacity():
    """12.5 mohm Ah a cell: three cells of 4 Ah have 3 * 12.5 / 4 mohm, known to a half."""
    resistance = small().spec.battery.resistance_ohm
    assert resistance.value == pytest.approx(3 * 0.0125 / 4, rel=1e-12)
    assert resistance.plus_minus == pytest.approx(resistance.value / 2, rel=1e-12)


def test_drag_area_of_a_rod_is_that_of_a_cylinder_across_and_along():
    """Round figures after Hoerner (1965): 1.2 on length times width across, 0.82 on the end."""
    forward, right, up = bluff_drag_area_m2(
        "rod", "right", length_m=0.8, radius_m=0.01, width_m=0.0, sides_m=(0.0, 0.0, 0.0)
    )
    assert forward == up == pytest.approx(1.2 * 0.8 * 0.02, rel=1e-12)
    assert right == pytest.approx(0.82 * math.pi * 1e-4, rel=1e-12)


def test_drag_area_of_a_box_is_that_of_its_faces():
    areas = bluff_drag_area_m2(
        "box", "up", length_m=0.0, radius_m=0.0, width_m=0.0, sides_m=(0.1, 0.2, 0.3)
    )
    assert areas == pytest.approx((1.05 * 0.06, 1.05 * 0.03, 1.05 * 0.02), rel=1e-12)


def test_given_drag_area_is_used_as_it_is():
    parts = (
        "parts:\n  - {name: hoop, shape: disc, radius: 20 cm, mass: 50 g, place: {up: 0 m},\n"
        "     drag_area: {forward: 50 cm2, right: 60 cm2, up: 100 cm2}}\nrotors:"
    )
    (hoop,) = small(("rotors:", parts)).spec.parts
    assert hoop.drag_area_m2 == (0.005, 0.006, 0.01)


def test_digest_tells_files_apart():
    assert small().text_digest == small().text_digest
    assert small().text_digest != small(("cells: 3", "cells: 4")).text_digest
