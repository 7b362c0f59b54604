"""Question 2 along conditions: the worst condition is the headline of a check, and is named."""

from __future__ import annotations

import dataclasses
import math

import pytest

from sim.analysis.check import hover_trim
from sim.analysis.condition_margins import condition_of, margins_at
from sim.analysis.margin_study import MarginCase, cases_beside
from sim.analysis.required_margins import RequiredMargins, required_margins
from sim.analysis.stability import stability_answer, with_conditions
from sim.analysis.verdict import why_not_upright
from sim.pack.craft import pack_craft
from sim.pack.flight import day_air
from sim.report.along_conditions import along_tables, least_of_all, looked_at_words
from sim.report.condition_words import condition_words
from sim.report.section import Standing
from sim.spec import load_craft, load_scenario


@pytest.fixture(scope="module", params=["bare_bicopter", "jellyfish_bicopter"])
def stability(repository, request):
    craft = load_craft(repository / "airframes" / f"{request.param}.yaml")
    scenario = load_scenario(repository / "scenarios" / "lake_breeze.yaml")
    packed = pack_craft(craft.spec, day_air(scenario.spec))
    trim = hover_trim(packed, scenario.spec)
    fabric = "dry" if packed.fabric_mass_kg > 0.0 else "none"
    condition = condition_of(trim.flights[0], charge=1.0, fabric=fabric, swing_m_s=0.2)
    required = required_margins(scenario.spec.limits)
    still = margins_at(trim, condition, required=required)
    cases = cases_beside(craft, scenario, packed, still)
    return with_conditions(stability_answer(still), cases)


def test_a_used_pack_the_ground_wet_fabric_and_cheap_winds_are_looked_at(stability):
    conditions = [case.condition for case in stability.cases]
    assert conditions[0] == stability.condition
    assert min(c.charge for c in conditions) < 0.5
    assert min(c.height_m for c in conditions) < 1.0
    has_fabric = conditions[0].fabric != "none"
    assert {c.fabric for c in conditions} == ({"dry", "wet"} if has_fabric else {"none"})
    assert any(c.wind_m_s > 0.0 for c in conditions) != has_fabric


def test_the_headline_is_the_worst_condition_of_all_and_named(stability):
    axis, margins, where = least_of_all(stability)
    worst = stability.worst_case
    assert worst.shortfall == max(case.shortfall for case in stability.cases)
    # A used pack has less volts to turn the rotors with, so that still air is not the worst.
    assert worst is not stability.cases[0]
    assert where == condition_words(worst.condition)
    assert margins == worst.found.margins[axis]
    (table,) = along_tables(stability)
    calm = [case for case in stability.cases if case.condition.wind_m_s <= 0.0]
    assert len(table.rows) == len(calm) + (len(stability.cases) > len(calm))
    assert ("none of them in wind" in table.caption) == (len(calm) == len(stability.cases))


def test_why_no_wind_was_looked_at(result, stability):
    """Fabric would have to be blown to rest; without fabric it is the scenario that has no wind."""
    calm = tuple(case for case in stability.cases if case.condition.wind_m_s <= 0.0)
    seen = dataclasses.replace(result, stability=dataclasses.replace(stability, cases=calm))
    assert "blown to rest first" in looked_at_words(seen)
    bare = seen.craft.spec.model_copy(update={"drapes": ()})
    seen = dataclasses.replace(seen, craft=dataclasses.replace(seen.craft, spec=bare))
    assert looked_at_words(seen).endswith("the scenario has none.")


def test_one_condition_short_of_margin_fails_the_craft_and_is_named(stability):
    still, worst = stability.cases[0].found, stability.worst_case
    # Asked is a little more than the worst condition has and a little less than still air has.
    share = math.sqrt(worst.shortfall * still.shortfall)
    asked = RequiredMargins(6.0 / share, math.radians(45.0) / share)
    cases = tuple(
        dataclasses.replace(case, found=dataclasses.replace(case.found, required=asked))
        for case in stability.cases
    )
    assert cases[0].found.passes
    judged = with_conditions(stability_answer(cases[0].found), cases)
    assert not judged.passes
    sentence = why_not_upright(judged)
    assert worst.found.worst_axis in sentence
    assert f"{100.0 * worst.condition.charge:.0f} % in the pack" in sentence
    rows = along_tables(judged)[0].rows
    assert {Standing.PASSES, Standing.FAILS} <= {row.standing for row in rows}


def test_a_condition_without_margins_is_shown_as_not_known(stability):
    unknown = MarginCase(stability.cases[1].condition, None, "it does not come to rest")
    lacking = with_conditions(stability, (stability.cases[0], unknown))
    assert lacking.passes
    assert along_tables(lacking)[0].rows[1].standing == Standing.UNKNOWN
