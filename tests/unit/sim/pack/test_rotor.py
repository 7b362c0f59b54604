"""Rotors of the craft file in the record."""

from __future__ import annotations

import math

import pytest

from sim.pack.craft import pack_craft
from sim.pack.rotor import propeller_inertia_kg_m2

OWN = "propeller: {diameter: 9 in, pitch: 4.5 in, mass: 12 g}"


def test_every_figure_arrives_in_si(craft, air):
    rotor = pack_craft(craft(), air).record.rotor[0]
    assert float(rotor.radius_m) == pytest.approx(0.127)
    assert float(rotor.speed_constant_rad_s_v) == pytest.approx(900.0 * 2.0 * math.pi / 60.0)
    assert float(rotor.resistance_ohm) == pytest.approx(0.095)  # winding and speed controller
    assert float(rotor.current_limit_a) == 25.0  # the lesser of 25 and 30
    assert float(rotor.tilt_travel_rad) == pytest.approx(math.radians(30.0))
    assert float(rotor.servo_slew_rad_s) == pytest.approx(math.radians(600.0))
    assert rotor.tilt_axis.tolist() == [0.0, 1.0, 0.0]
    assert int(rotor.tilts) == 1


def test_spin_is_seen_from_above(craft, air):
    record = pack_craft(craft(), air).record
    assert [float(rotor.spin) for rotor in record.rotor[:2]] == [1.0, -1.0]


def test_equal_propellers_share_a_map(craft, air):
    packed = pack_craft(craft(), air)
    assert len(packed.maps) == 1
    assert [int(rotor.map_index) for rotor in packed.record.rotor[:2]] == [0, 0]


def test_different_propellers_have_their_own(craft, air):
    spec = craft(
        ("{name: right, turns: anticlockwise,", f"{{name: right, {OWN}, turns: anticlockwise,")
    )
    packed = pack_craft(spec, air)
    assert len(packed.maps) == 2
    assert [int(rotor.map_index) for rotor in packed.record.rotor[:2]] == [0, 1]
    assert float(packed.record.rotor[1].radius_m) == pytest.approx(0.1143)


def test_the_map_is_copied_node_by_node(craft, air):
    packed = pack_craft(craft(), air)
    chart, record = packed.maps[0], packed.record.rotor_map[0]
    for name in record.node.dtype.names:
        assert record.node[name].tolist() == getattr(chart, name).tolist()
    assert float(record.axial_min) == chart.axial_min
    assert float(record.edge_step) == chart.edge_step


def test_thrust_factor_scales_the_thrust_on_the_stand(craft, air):
    """At given rotor speed; the stand's speed falls a little, the torque being the same."""
    propeller = "propeller: {diameter: 10 in, pitch: 5 in, mass: 15 g"
    plain = pack_craft(craft((propeller, propeller + ", thrust_factor: 1.0")), air).full
    strong = pack_craft(craft((propeller, propeller + ", thrust_factor: 1.2")), air).full
    assert strong.speed_rad_s == pytest.approx(plain.speed_rad_s, rel=1e-9)
    assert strong.thrust_n == pytest.approx(1.2 * plain.thrust_n, rel=1e-9)


def test_a_propeller_swings_less_than_a_rod(craft):
    """m D^2 / 12 is a rod of even thickness; blades taper."""
    spec = craft().rotors[0].propeller
    rod = 0.015 * 0.254**2 / 12.0
    assert 0.7 * rod < propeller_inertia_kg_m2(spec) < rod
