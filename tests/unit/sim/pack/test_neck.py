"""A neck that bends becomes two bodies that together are the craft, and stays within the step."""

import numpy as np
import pytest

from sim.errors import InputFaults
from sim.mass.assemble import point_inertia
from sim.pack.craft import pack_craft
from sim.pack.flight import STEP_S
from sim.pack.neck import STABLE_SHARE, least_hinge_inertia_kg_m2

HINGE = "{pivot: {up: 20 cm}, roll: {stiffness: 2 N m/rad}, pitch: {stiffness: %s}}"
HEAD = """
head:
  {name: lantern head, shape: sphere, radius: 8 cm, mass: 300 g,
   place: {forward: 5 cm, right: 1 cm, up: 30 cm}, neck: %s}
"""


def packed_neck(craft, air, *, stiffness="3 N m/rad", more=""):
    spec = craft(more=HEAD % (HINGE % stiffness) + more)
    packed = pack_craft(spec, air)
    return packed, packed.record.neck


def test_rigid_neck_leaves_the_hinge_empty(craft, air):
    record = pack_craft(craft(more=HEAD % "rigid"), air).record
    assert record.neck.is_hinged == 0
    assert record.neck.head_mass_kg == 0.0


def test_both_bodies_together_are_the_craft(craft, air):
    """Mass, CG at the reference point and inertia about it, by the parallel-axis theorem."""
    packed, neck = packed_neck(craft, air)
    rigid = pack_craft(craft(more=HEAD % "rigid"), air)
    assert packed.mass.mass_kg == rigid.mass.mass_kg
    assert packed.record.inertia_kg_m2 == pytest.approx(rigid.record.inertia_kg_m2, rel=1e-15)
    place = neck.pivot_m + neck.head_centre_m
    assert neck.main_mass_kg + neck.head_mass_kg == pytest.approx(packed.mass.mass_kg, rel=1e-15)
    moment = neck.main_mass_kg * neck.main_centre_m + neck.head_mass_kg * place
    assert moment == pytest.approx(np.zeros(3), abs=1e-15)
    inertia = neck.main_inertia_kg_m2 + neck.head_inertia_kg_m2
    inertia = inertia + neck.main_mass_kg * point_inertia(neck.main_centre_m)
    inertia = inertia + neck.head_mass_kg * point_inertia(place)
    assert inertia == pytest.approx(packed.record.inertia_kg_m2, abs=1e-14)
    assert neck.head_centre_m == pytest.approx((0.05, 0.01, -0.10), abs=1e-15)
    head_place = packed.record.body.place_m[:, neck.body_index]
    assert head_place == pytest.approx(place, abs=1e-15)


def test_a_neck_stiffer_than_the_step_bears_is_as_stiff_as_it_bears(craft, air):
    _, neck = packed_neck(craft, air, stiffness="90000 N m/rad")
    stiffest = STABLE_SHARE * least_hinge_inertia_kg_m2(neck) / STEP_S**2
    assert neck.stiffness_n_m_rad == pytest.approx((2.0, stiffest[1]), rel=1e-15)
    assert neck.stop_stiffness_n_m_rad == pytest.approx(stiffest, rel=1e-15)
    assert np.all(stiffest > 100.0)


def test_damping_left_out_is_a_twentieth_of_critical(craft, air):
    """2 z sqrt(k (J + m r^2)) with z = 0.05: a sphere of 8 cm, its centre 11.2 cm off the axis."""
    _, neck = packed_neck(craft, air)
    turned = 0.4 * 0.3 * 0.08**2 + 0.3 * (0.05**2 + 0.10**2)
    assert neck.damping_n_m_s_rad[1] == pytest.approx(0.1 * np.sqrt(3.0 * turned), rel=1e-12)


def test_a_head_without_drag_is_no_drag_body(craft, air):
    head = (HEAD % (HINGE % "3 N m/rad")).replace("sphere, radius: 8 cm", "point")
    assert pack_craft(craft(more=head), air).record.neck.body_index == -1


def test_measured_figures_that_leave_no_craft_are_refused(craft, air):
    with pytest.raises(InputFaults, match="weighs as much as the whole craft"):
        packed_neck(craft, air, more="measured: {mass: 250 g}\n")
    inertia = "measured: {inertia: {roll: 20 g m2, pitch: 50 g m2, yaw: 50 g m2}}\n"
    with pytest.raises(InputFaults, match="too little is left without the head"):
        packed_neck(craft, air, more=inertia)


def test_a_hinge_without_anything_to_turn_is_refused(craft, air):
    """A point straight ahead of the pivot has no inertia about the roll axis."""
    axes = "roll: {stiffness: 1 N m/rad}, pitch: {stiffness: 1 N m/rad}"
    neck = "{pivot: {forward: 9 cm, up: 30 cm}, " + axes + "}"
    head = (HEAD % neck).replace("sphere, radius: 8 cm", "point").replace("right: 1 cm, ", "")
    with pytest.raises(InputFaults, match="no inertia about its hinge"):
        pack_craft(craft(more=head), air)
