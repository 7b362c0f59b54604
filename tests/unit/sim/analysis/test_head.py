"""What the head does to lever and lift, from masses and heights alone."""

from __future__ import annotations

import math

import pytest

from sim.analysis.head import (
    LEAST_LEVER_M,
    LEAST_THRUST_TO_WEIGHT,
    head_answer,
    pivots_above_centre_m,
    with_head_mass,
)
from sim.mass.from_spec import mass_properties

GRAVITY = 9.80665


def answer_of(case, usable_n=None):
    usable = float(case.packed.full.thrust_n.sum()) if usable_n is None else usable_n
    return head_answer(case.spec, case.packed, usable)


def test_lever_is_pivot_height_less_that_of_the_centre(hover):
    """Pivots at 2 cm up, the CG where the mass budget has it."""
    case = hover("jellyfish_bicopter")
    mass = mass_properties(case.spec, with_drape=True)
    answer = answer_of(case)
    assert answer.rotors_above_centre_m == pytest.approx(0.02 + float(mass.centre_m[2]), rel=1e-12)
    assert not answer.reversed
    assert answer.pitch_by_tilt


def test_the_head_lifts_the_centre_by_its_share(hover):
    """z = (M z0 + m h) / (M + m), with everything but the head as M at z0."""
    case = hover("jellyfish_bicopter")
    answer = answer_of(case)
    whole = mass_properties(case.spec, with_drape=True).mass_kg
    head = case.spec.head
    without = whole - head.mass_kg.value
    bare_up = 0.02 - answer.rotors_above_centre_without_head_m
    up = (without * bare_up + head.mass_kg.value * head.place.up_m.value) / whole
    assert answer.rotors_above_centre_m == pytest.approx(0.02 - up, rel=1e-9)


def test_authority_is_weight_times_lever_times_sine_of_the_travel(hover):
    case = hover("jellyfish_bicopter")
    answer = answer_of(case)
    weight = case.packed.whole_mass_kg * GRAVITY
    moment = weight * answer.rotors_above_centre_m * math.sin(math.radians(35.0))
    assert answer.pitch_authority_n_m == pytest.approx(moment, rel=1e-9)
    inertia = float(case.packed.mass.inertia_kg_m2[1, 1])
    assert answer.pitch_acceleration_rad_s2 == pytest.approx(moment / inertia, rel=1e-9)


@pytest.mark.parametrize("usable_n", [None, 40.0])
def test_the_heaviest_head_leaves_just_the_lever_or_just_the_lift(hover, usable_n):
    """At that mass one of the two is exactly at its least, the other not below."""
    case = hover("jellyfish_bicopter")
    answer = answer_of(case, usable_n)
    usable = float(case.packed.full.thrust_n.sum()) if usable_n is None else usable_n
    spec = with_head_mass(case.spec, answer.heaviest_head_kg)
    mass = mass_properties(spec, with_drape=True)
    lever = pivots_above_centre_m(spec, mass) - LEAST_LEVER_M
    lift = usable / (mass.mass_kg * GRAVITY) - LEAST_THRUST_TO_WEIGHT
    assert min(lever, lift) > -1e-4
    limiting = {"lever": lever, "lift": lift}[answer.heaviest_head_limit]
    assert limiting == pytest.approx(0.0, abs=1e-4)


def test_a_head_that_stands_too_high_reverses_pitch(hover, spec_of):
    case = hover("jellyfish_head_too_high")
    answer = answer_of(case)
    assert answer.authority_gone
    assert answer.reversed == (answer.rotors_above_centre_m < 0.0)


def test_three_rotors_need_no_lever(hover):
    """They pitch by pushing unequally, as the head's weight shifts nothing but the trim."""
    answer = answer_of(hover("heron_tricopter"))
    assert not answer.pitch_by_tilt
    assert not answer.authority_gone
    assert answer.heaviest_head_limit in {"lift", ""}
    assert answer.pitch_authority_n_m > 0.0


def test_without_a_head_there_is_none_to_weigh(hover):
    answer = answer_of(hover("bare_bicopter"))
    assert not answer.has_head
    assert answer.head_mass_kg == 0.0
    assert answer.heaviest_head_kg is None
    assert answer.rotors_above_centre_without_head_m == answer.rotors_above_centre_m


def test_changing_the_head_changes_nothing_else(spec_of):
    spec = spec_of("jellyfish_bicopter")
    heavy = with_head_mass(spec, 1.0)
    assert heavy.head.mass_kg.value == 1.0
    assert heavy.head.place == spec.head.place
    assert with_head_mass(spec, 0.0).head is None
    assert spec.head.mass_kg.value == 0.45
    bare = spec_of("bare_bicopter")
    assert with_head_mass(bare, 1.0) == bare
