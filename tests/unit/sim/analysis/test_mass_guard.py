"""What is left before a gate fails: changes as mechanics says, boundaries as re-runs say."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.headline import STABLE, Headline, Outcome, gates_of
from sim.analysis.mass_guard import (
    Change,
    GateLeft,
    GuardRow,
    _boundary,
    changes_of,
    mass_guard,
    with_added_mass,
    with_heavier_head,
    with_shifted_centre,
)
from sim.analysis.sampled_craft import quick_headline, surroundings
from sim.mass.from_spec import mass_properties
from sim.spec import load_craft, load_scenario
from sim.spec.quantity import Uncertain
from sim.spec.structure import MeasuredSpec

PLACE = (0.1, -0.2, 0.3)


@pytest.fixture(scope="module")
def scenario(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec


@pytest.fixture(scope="module")
def spec_of(repository):
    return lambda name: load_craft(repository / "airframes" / f"{name}.yaml").spec


def measured(spec):
    """Give the craft with its mass weighed 10 % above what its parts sum to."""
    weighed = MeasuredSpec.model_construct(
        mass_kg=Uncertain(1.1 * mass_properties(spec).mass_kg),
        centre=None,
        inertia=None,
        swing=None,
    )
    return spec.model_copy(update={"measured": weighed})


@pytest.mark.parametrize("of", [lambda spec: spec, measured])
def test_added_mass_moves_the_centre_by_its_lever(spec_of, of):
    """m' = m + dm, c' = (m c + dm p) / m', and Steiner's terms on the diagonal."""
    spec = of(spec_of("bare_bicopter"))
    before, after = mass_properties(spec), mass_properties(with_added_mass(spec, 0.2, PLACE))
    whole = before.mass_kg + 0.2
    assert after.mass_kg == pytest.approx(whole)
    centre = (before.mass_kg * before.centre_m + 0.2 * np.array(PLACE)) / whole
    assert after.centre_m == pytest.approx(centre)
    apart = np.array(PLACE) - before.centre_m
    steiner = before.mass_kg * 0.2 / whole * (apart @ apart - apart**2)
    expected = np.diag(before.inertia_kg_m2) + steiner
    assert np.diag(after.inertia_kg_m2) == pytest.approx(expected)


@pytest.mark.parametrize("of", [lambda spec: spec, measured])
def test_a_heavier_head_weighs_more_where_the_head_is(spec_of, of):
    spec = of(spec_of("jellyfish_bicopter"))
    before, after = mass_properties(spec), mass_properties(with_heavier_head(spec, 0.2))
    assert after.mass_kg == pytest.approx(before.mass_kg + 0.2)
    place = np.array(spec.head.place.body_m)
    centre = (before.mass_kg * before.centre_m + 0.2 * place) / (before.mass_kg + 0.2)
    assert after.centre_m == pytest.approx(centre)


def test_a_shift_moves_the_whole_and_nothing_else(spec_of):
    spec = spec_of("jellyfish_bicopter")
    shift = np.array([0.01, -0.02, 0.005])
    before, after = (
        mass_properties(craft, with_drape=True)
        for craft in (spec, with_shifted_centre(spec, shift))
    )
    assert after.centre_m - before.centre_m == pytest.approx(shift)
    assert after.mass_kg == pytest.approx(before.mass_kg)
    solid, moved = mass_properties(spec), mass_properties(with_shifted_centre(spec, shift))
    assert moved.inertia_kg_m2 == pytest.approx(solid.inertia_kg_m2)


def test_changes_are_those_that_the_craft_has(spec_of):
    names = {
        name: [change.name for change in changes_of(spec_of(name))]
        for name in ("bare_bicopter", "jellyfish_bicopter", "heron_tricopter")
    }
    ways = ["forward", "back", "right", "left", "up"]
    assert names["bare_bicopter"] == ["at the CG", *ways]
    assert names["jellyfish_bicopter"] == ["at the CG", "at the head", *ways]
    assert names["heron_tricopter"] == ["at the CG", "at the head", "at the tail rotor", *ways]


@pytest.mark.parametrize(
    ("name", "change", "gates"),
    [
        ("bare_bicopter", "at the CG", {"lift"}),
        ("bare_bicopter", "up", {"lever", "stable", "phase"}),
    ],
)
def test_the_craft_passes_short_of_what_is_left_and_fails_beyond(
    spec_of, scenario, name, change, gates
):
    """At 99 % of what is left the gate is passed, at 101 % it is not."""
    around = surroundings(spec_of(name), scenario)
    wanted = next(one for one in changes_of(around.craft) if one.name == change)
    all_gates = gates_of(around.craft, scenario)
    (row,) = mass_guard(around, all_gates, changes=(wanted,), workers=1)
    assert row.first is not None
    seen = set()
    for left in row.left:
        if left.gate.key not in gates or left.amount is None:
            continue
        seen.add(left.gate.key)
        start = around.hover
        # In steps, as a steady flight far from the one that the search begins at is not found.
        for share, passes in ((0.3, True), (0.6, True), (0.8, True), (0.99, True), (1.01, False)):
            craft = wanted.applied(around.craft, share * left.amount)
            found, hover = quick_headline(around, craft, start)
            start = hover or start
            assert left.gate.passes(found) is passes, (left.gate.key, share)
    assert seen & gates


def test_what_fails_as_written_has_nothing_left(spec_of, scenario):
    around = surroundings(spec_of("jellyfish_too_heavy"), scenario)
    gates = gates_of(around.craft, scenario)
    (row,) = mass_guard(around, gates, changes=changes_of(around.craft)[:1], workers=1)
    left = {one.gate.key: one.amount for one in row.left}
    assert left["lift"] == left["stable"] == left["phase"] == 0.0
    assert left["current"] is None


def test_the_first_failure_counts_where_a_gate_comes_back():
    """Passing again farther out is no room left."""

    def at(amount):
        return Headline(Outcome.UNSTABLE if 3.0 < amount < 5.0 else Outcome.HOVERS)

    assert _boundary(STABLE, at, (0.0, 1.0, 2.0, 4.0, 8.0)) == pytest.approx(3.0, rel=0.005)
    assert _boundary(STABLE, at, (0.0, 1.0, 2.0)) is None


def test_the_gate_that_fails_first_is_named(spec_of, scenario):
    gates = gates_of(spec_of("bare_bicopter"), scenario)
    change = Change("forward", "shift", (1.0, 0.0, 0.0))
    left = tuple(
        GateLeft(gate, amount) for gate, amount in zip(gates, (None, 0.2, 0.1), strict=False)
    )
    assert GuardRow(change, left, 0.25).first == left[2]
    assert GuardRow(change, left[:1], 0.25).first is None


def test_what_is_left_does_not_depend_on_the_number_of_processes(spec_of, scenario):
    """The same rows to the last bit from one process and from two."""
    around = surroundings(spec_of("bare_bicopter"), scenario)
    gates = gates_of(around.craft, scenario)
    changes = changes_of(around.craft)[:3]
    alone, together = (
        mass_guard(around, gates, changes=changes, workers=workers) for workers in (1, 2)
    )
    assert len(alone) == 3
    assert together == alone
