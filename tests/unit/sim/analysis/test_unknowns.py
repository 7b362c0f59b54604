"""Unsure figures moved one at a time, the largest effect first, and how each is measured."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.measurements import measurement_of
from sim.analysis.unknowns import unknowns
from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft
from sim.spec.quantity import Uncertain
from sim.spec.unsure import unsure_figures, with_figures

JELLYFISH = "jellyfish_bicopter"


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
    assert mine.name.startswith("both rotors")
    packed = pack_craft(spec_of("jellyfish_bicopter"), air)
    ratio = float(np.sum(packed.full.thrust_n)) / (packed.whole_mass_kg * 9.80665)
    assert mine.effect == pytest.approx(0.1 * ratio, rel=0.02)


def test_the_largest_effects_come_first_and_not_too_many(found):
    assert 3 <= len(found) <= 8
    on_thrust = [abs(u.effect) for u in found if u.effect_on == "thrust-to-weight"]
    assert on_thrust == sorted(on_thrust, reverse=True)


def test_a_craft_of_sure_figures_is_unsure_of_its_propellers_alone(spec_of, air):
    spec = spec_of("bare_bicopter")
    sure = [figure for figure in unsure_figures(spec) if "factor" not in figure.key]
    spec = with_figures(spec, sure, [figure.value for figure in sure])
    assert {unknown.effect_on for unknown in unknowns(spec, air)} == {"thrust-to-weight"}
    assert all("propeller" in unknown.name for unknown in unknowns(spec, air))


def test_a_motor_is_measured_otherwise_than_a_pack(spec_of):
    """Each figure's own way of measuring, not the first that shares a word with it."""
    ways = {figure.name: measurement_of(figure) for figure in unsure_figures(spec_of(JELLYFISH))}
    assert "leads of the motor" in ways["both rotors: motor resistance"].words
    assert "at rest" in ways["battery resistance"].words
    assert "speed controllers" in ways["battery wiring resistance"].words
    assert "piece of the fabric" in ways["drape fabric areal density"].words
    assert ways["head mass"].leaves(0.45) == pytest.approx(0.001)
    assert ways["head mass"].leaves(2.0) == pytest.approx(0.004)
