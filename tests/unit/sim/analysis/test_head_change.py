"""Another head, a lower pack, moved rotors: balance by hand, and measured figures that follow."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.analysis.head_change import (
    with_head,
    with_pack_lowered,
    with_rotors_raised,
    with_rotors_spread,
)
from sim.mass.from_spec import mass_properties
from sim.spec.place import Place
from sim.spec.quantity import Uncertain
from sim.spec.structure import MeasuredInertia, MeasuredSpec

CHANGES = {
    "head": lambda craft: with_head(craft, 0.9, 0.31),
    "pack": lambda craft: with_pack_lowered(craft, 0.07),
    "raise": lambda craft: with_rotors_raised(craft, 0.05),
    "spread": lambda craft: with_rotors_spread(craft, 0.06),
}


@pytest.fixture(scope="module")
def jellyfish(spec_of):
    return spec_of("jellyfish_bicopter")


def measured_as_summed(craft):
    """Give the craft with its sum of parts written down as measured."""
    mass = mass_properties(craft)
    forward, right, down = (float(x) for x in mass.centre_m)
    roll, pitch, yaw = (Uncertain(float(i)) for i in np.diag(mass.inertia_kg_m2))
    place = Place.model_construct(
        forward_m=Uncertain(forward), right_m=Uncertain(right), up_m=Uncertain(-down)
    )
    inertia = MeasuredInertia.model_construct(roll_kg_m2=roll, pitch_kg_m2=pitch, yaw_kg_m2=yaw)
    measured = MeasuredSpec.model_construct(
        mass_kg=Uncertain(mass.mass_kg), centre=place, inertia=inertia, swing=None
    )
    return craft.model_copy(update={"measured": measured})


@pytest.mark.parametrize("name", list(CHANGES))
def test_a_craft_measured_as_its_parts_sum_changes_as_they_do(jellyfish, name):
    """Mass, CG and moments of inertia, whether summed or measured, are the same after a change."""
    change = CHANGES[name]
    summed = mass_properties(change(jellyfish))
    measured = mass_properties(change(measured_as_summed(jellyfish)))
    before = mass_properties(jellyfish)
    assert measured.mass_kg == pytest.approx(summed.mass_kg, rel=1e-12)
    assert measured.centre_m == pytest.approx(summed.centre_m, abs=1e-12)
    assert np.diag(measured.inertia_kg_m2) == pytest.approx(
        np.diag(summed.inertia_kg_m2), rel=1e-12
    )
    assert np.abs(summed.inertia_kg_m2 - before.inertia_kg_m2).max() > 1e-4


@given(mass_kg=st.floats(0.01, 3.0), up_m=st.floats(-0.5, 0.8))
def test_a_head_moves_the_centre_by_its_share(jellyfish, mass_kg, up_m):
    """z = (M z0 + m h) / (M + m), with the craft without a head as M at z0."""
    bare = mass_properties(jellyfish.model_copy(update={"head": None}))
    whole = mass_properties(with_head(jellyfish, mass_kg, up_m))
    up = (bare.mass_kg * -bare.centre_m[2] + mass_kg * up_m) / (bare.mass_kg + mass_kg)
    assert -whole.centre_m[2] == pytest.approx(up, abs=1e-12)
    assert whole.mass_kg == pytest.approx(bare.mass_kg + mass_kg, rel=1e-12)


def test_the_spread_of_the_head_stays_the_same_share(jellyfish):
    changed = with_head(jellyfish, 0.9, 0.17).head.mass_kg
    assert changed.plus_minus / changed.value == pytest.approx(
        jellyfish.head.mass_kg.plus_minus / jellyfish.head.mass_kg.value, rel=1e-12
    )


def test_a_hinge_moves_up_with_its_head(spec_of):
    heron = spec_of("heron_tricopter")
    higher = with_head(heron, 0.15, heron.head.place.up_m.value + 0.1).head
    assert higher.neck.pivot.up_m.value == pytest.approx(
        heron.head.neck.pivot.up_m.value + 0.1, abs=1e-12
    )


def test_rotors_spread_from_their_middle(spec_of, jellyfish):
    """Two rotors go out by the whole distance; of three the farthest does, the rest in step."""
    two = with_rotors_spread(jellyfish, 0.05)
    apart = [abs(r.place.body_m[1]) for r in two.rotors]
    before = [abs(r.place.body_m[1]) for r in jellyfish.rotors]
    assert np.subtract(apart, before) == pytest.approx([0.05, 0.05], abs=1e-12)
    heron = spec_of("heron_tricopter")
    old = np.array([r.place.body_m[:2] for r in heron.rotors])
    new = np.array([r.place.body_m[:2] for r in with_rotors_spread(heron, 0.05).rotors])
    out = np.linalg.norm(new - new.mean(axis=0), axis=1)
    was = np.linalg.norm(old - old.mean(axis=0), axis=1)
    assert new.mean(axis=0) == pytest.approx(old.mean(axis=0), abs=1e-12)
    assert out / was == pytest.approx(np.full(3, 1.0 + 0.05 / was.max()), rel=1e-12)


def test_without_a_head_there_is_nothing_to_change(spec_of):
    with pytest.raises(ValueError, match="no head"):
        with_head(spec_of("bare_bicopter").model_copy(update={"head": None}), 0.1, 0.1)
