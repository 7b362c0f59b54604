"""The craft soaked, bare and headless: what each would be as a craft of its own."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from sim.analysis.head import head_answer
from sim.analysis.lift import lift_answer
from sim.analysis.other_states import other_crafts, other_states
from sim.analysis.trim import find_trim
from sim.pack.craft import pack_craft
from sim.pack.flight import flight_height_m, plain_flight
from sim.spec import load_scenario
from sim.spec.files import craft_from_bytes
from sim.spec.structure import MeasuredSpec
from sim.spec.variants import with_fabric_wet, without_fabric

ROOT = Path(__file__).parents[4]


@pytest.fixture(scope="module")
def scenario():
    return load_scenario(ROOT / "scenarios/lake_breeze.yaml").spec


def figures(answer):
    """Give the numbers of an answer."""
    return {
        key: value for key, value in dataclasses.asdict(answer).items() if isinstance(value, float)
    }


def test_each_state_is_what_the_file_so_changed_gives(hover, air, scenario):
    """The file with `wet: yes` written in, searched from scratch, has the same lift and head."""
    case = hover("jellyfish_bicopter")
    found = {one.key: one for one in other_states(case.spec, air, scenario, near=case.trim)}
    assert list(found) == ["fabric_soaked", "no_fabric", "no_head"]
    raw = (ROOT / "airframes/jellyfish_bicopter.yaml").read_text("utf-8")
    assert raw.count("  fabric:\n") == 1
    wet = raw.replace("  fabric:\n", "  fabric:\n    wet: yes\n")
    spec = craft_from_bytes(wet.encode(), "wet.yaml").spec
    packed = pack_craft(spec, air)
    flight = plain_flight(air, height_m=flight_height_m(scenario))[0]
    trim = find_trim(packed.record, flight, charge=packed.charge, swing_m_s=0.2)
    lift = lift_answer(spec, packed, trim)
    assert figures(found["fabric_soaked"].lift) == pytest.approx(figures(lift), rel=1e-5, abs=1e-6)
    head = head_answer(spec, packed, lift.usable_thrust_n)
    assert figures(found["fabric_soaked"].head) == pytest.approx(figures(head), rel=1e-5)


def test_states_weigh_what_is_taken_off_or_soaked_up(hover, air, scenario):
    """Weights differ by the fabric and by the head, to rounding."""
    case = hover("jellyfish_bicopter")
    found = {one.key: one for one in other_states(case.spec, air, scenario, near=case.trim)}
    built = lift_answer(case.spec, case.packed, case.trim)
    bare = built.weight_n - built.fabric_weight_n
    assert found["no_fabric"].lift.weight_n == pytest.approx(bare, rel=1e-12)
    headless = built.weight_n - case.spec.head.mass_kg.value * 9.80665
    assert found["no_head"].lift.weight_n == pytest.approx(headless, rel=1e-12)
    soaked = found["fabric_soaked"].lift
    factor = case.spec.drapes[0].fabric.wet_factor
    assert soaked.fabric_weight_n == pytest.approx(factor * built.fabric_weight_n, rel=1e-9)


def test_a_wet_craft_is_shown_dry_and_a_weighed_one_keeps_its_head(hover):
    spec = hover("jellyfish_bicopter").spec
    soaked = with_fabric_wet(spec, wet=True)
    assert [key for key, _, _ in other_crafts(soaked)] == ["fabric_dry", "no_fabric", "no_head"]
    weighed = without_fabric(spec).model_copy(update={"measured": MeasuredSpec()})
    assert other_crafts(weighed) == ()
