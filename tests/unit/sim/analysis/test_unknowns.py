"""Unsure figures: found by path, moved one at a time, the largest effect first."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.unknowns import moved, unknowns, unsure_figures, value_at
from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft
from sim.spec.quantity import Uncertain


def test_every_spread_in_the_file_is_found(spec_of):
    spec = spec_of("jellyfish_bicopter")
    paths = set(unsure_figures(spec))
    assert ("head", "mass_kg") in paths
    assert ("battery", "mass_kg") in paths
    assert ("rotors", 0, "motor", "resistance_ohm") in paths
    assert ("drape", "length_m") in paths
    assert ("rotors", 1, "propeller", "thrust_factor_given") in paths
    assert ("electronics", "mass_kg") not in paths
    assert all(value_at(spec, path).plus_minus > 0.0 for path in paths)


def test_moving_changes_one_figure_of_a_copy(spec_of):
    spec = spec_of("jellyfish_bicopter")
    path = ("rotors", 1, "motor", "resistance_ohm")
    changed = moved(spec, path, 0.01)
    assert value_at(changed, path).value == pytest.approx(value_at(spec, path).value + 0.01)
    assert changed.rotors[0] == spec.rotors[0]
    assert changed.head == spec.head
    assert value_at(changed, path) != value_at(spec, path)
    assert moved(changed, path, -0.01).rotors[1].motor.resistance_ohm.value == pytest.approx(
        spec.rotors[1].motor.resistance_ohm.value
    )


def test_a_default_factor_can_be_moved_too(spec_of):
    spec = spec_of("jellyfish_bicopter")
    path = ("rotors", 0, "propeller", "thrust_factor_given")
    assert value_at(spec, path).value == 1.0
    assert moved(spec, path, 0.1).rotors[0].propeller.thrust_factor.value == pytest.approx(1.1)


@pytest.fixture(scope="module")
def found(spec_of, air):
    return unknowns(spec_of("jellyfish_bicopter"), air)


def test_the_effect_is_that_of_a_change_made_by_hand(found, spec_of, air):
    """The head's 40 g lower the rotors' height above the CG by what the mass budget says."""
    spec = spec_of("jellyfish_bicopter")
    head = spec.head.model_copy(update={"mass_kg": Uncertain(spec.head.mass_kg.value + 0.04)})
    heavier = spec.model_copy(update={"head": head})
    down = [float(mass_properties(s, with_drape=True).centre_m[2]) for s in (spec, heavier)]
    mine = next(unknown for unknown in found if "bell" in unknown.name or "head" in unknown.name)
    assert mine.effect_on == "rotors above the CG"
    assert mine.effect == pytest.approx(1000.0 * (down[1] - down[0]), rel=1e-6)
    assert mine.measurement == "weigh it"


def test_rotors_of_one_kind_err_together(found, spec_of, air):
    """Thrust of all rotors 10 % up: thrust-to-weight goes up by nearly a tenth."""
    mine = next(unknown for unknown in found if "thrust" in unknown.name)
    assert mine.name.startswith("every rotor")
    packed = pack_craft(spec_of("jellyfish_bicopter"), air)
    ratio = float(np.sum(packed.full.thrust_n)) / (packed.whole_mass_kg * 9.80665)
    assert mine.effect == pytest.approx(0.1 * ratio, rel=0.02)


def test_the_largest_effects_come_first_and_not_too_many(found):
    assert 3 <= len(found) <= 8
    on_thrust = [abs(u.effect) for u in found if u.effect_on == "thrust-to-weight"]
    assert on_thrust == sorted(on_thrust, reverse=True)


def test_a_craft_of_sure_figures_is_unsure_of_its_propellers_alone(spec_of, air):
    spec = spec_of("bare_bicopter")
    for path in list(unsure_figures(spec)):
        if not path[-1].endswith("factor_given"):
            spec = moved_to_sure(spec, path)
    assert {unknown.effect_on for unknown in unknowns(spec, air)} == {"thrust-to-weight"}
    assert all("propeller" in unknown.name for unknown in unknowns(spec, air))


def moved_to_sure(spec, path):
    """Give the spec with one figure's spread taken away."""
    step = path[0]
    if len(path) == 1:
        return spec.model_copy(update={step: Uncertain(value_at(spec, path).value)})
    if isinstance(step, int):
        return (*spec[:step], moved_to_sure(spec[step], path[1:]), *spec[step + 1 :])
    return spec.model_copy(update={step: moved_to_sure(getattr(spec, step), path[1:])})
