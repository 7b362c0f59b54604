"""What a spread says in words, tables and data, on crafts whose figures are made up."""

from __future__ import annotations

import dataclasses
import io
import json

import pytest
from rich.console import Console

from sim.analysis.headline import FIGURES, Headline, Outcome, gates_of
from sim.analysis.mass_guard import GateLeft, GuardRow, changes_of
from sim.analysis.spread_sample import figure_values, normal_scores
from sim.analysis.spread_summary import Sampled, summarised
from sim.analysis.spread_verdict import with_spread
from sim.report.answer_unsure import unsure_section
from sim.report.as_json import json_text, result_data
from sim.report.page import page_text
from sim.report.section import Standing
from sim.report.spread_content import spread_assumptions, spread_findings, spread_verdict
from sim.report.spread_data import spread_data
from sim.report.spread_page import spread_page
from sim.report.spread_tables import guard_table, spread_tables
from sim.report.spread_text import spread_text
from sim.report.spread_words import ShownAs, amount_text, shown_as
from sim.report.terminal import make_console
from sim.spec import load_craft, load_scenario
from sim.spec.unsure import unsure_figures

CRAFTS = 64
HEAD, THRUST = "head mass", "both rotors: propeller thrust factor"


@pytest.fixture(scope="module")
def read(repository):
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml")
    return craft, load_scenario(repository / "scenarios" / "lake_breeze.yaml")


def made_up(head, thrust, phase_rad):
    """Give figures that go straight with two scores; below 40 degrees the craft is unstable."""
    phase = phase_rad + 0.05 * head
    stable = phase > 0.7
    return Headline(
        Outcome.HOVERS if stable else Outcome.UNSTABLE,
        whole_mass_kg=2.8 + 0.02 * head,
        thrust_to_weight=2.0 + 0.1 * thrust,
        usable_thrust_to_weight=1.7 + 0.08 * thrust,
        lift_over_weight=1.7 + 0.08 * thrust,
        rotors_above_centre_m=0.093 - 0.002 * head,
        pitch_authority_n_m=1.5,
        static_wind_m_s=23.0,
        pack_current_share=0.5,
        hover_throttle=0.65 - 0.02 * thrust,
        endurance_s=640.0 + 40.0 * thrust,
        gain_margin_db=12.0 + 0.2 * head if stable else None,
        phase_margin_rad=phase if stable else None,
        disk_margin=0.5 if stable else None,
    )


@pytest.fixture(scope="module")
def spread_of(read):
    """Give a function from the phase margin of the craft as written to a spread."""
    craft, scenario = read
    unsure = unsure_figures(craft.spec)
    scores = normal_scores(CRAFTS, len(unsure) + 1, 1)
    names = [figure.name for figure in unsure]
    columns = names.index(HEAD), names.index(THRUST)
    gates = gates_of(craft.spec, scenario.spec)
    by_key = {gate.key: gate for gate in gates}
    at_cg, at_head, forward, *_ = changes_of(craft.spec)
    rows = (
        GuardRow(at_cg, (GateLeft(by_key["lift"], None), GateLeft(by_key["phase"], None)), 2.8),
        GuardRow(at_head, (GateLeft(by_key["lift"], 2.0459), GateLeft(by_key["phase"], 0.4369)), 3),
        GuardRow(forward, (GateLeft(by_key["gain"], 0.0109), GateLeft(by_key["phase"], 0.0109)), 1),
    )

    def of(phase_rad):
        found = tuple(made_up(*row[list(columns)], phase_rad) for row in scores)
        values = figure_values(unsure, scores)
        sampled = Sampled(
            craft, scenario, unsure, 1, scores, values, made_up(0.0, 0.0, phase_rad), found, rows
        )
        return summarised(sampled, gates, began_s=0.0)

    return of


@pytest.fixture(scope="module")
def sure(spread_of):
    return spread_of(1.2)


@pytest.fixture(scope="module")
def unsure(spread_of):
    """45.8 degrees as written, with 2.9 degrees of deviation from the head."""
    return spread_of(0.8)


def text_of(answer):
    return spread_text(answer, make_console(io.StringIO()))


def flat(words):
    return " ".join(words.split())


def test_a_sure_verdict_says_so(sure):
    assert sure.passes
    assert spread_verdict(sure).startswith("64 of 64 crafts pass every gate; with 95 % confidence")
    findings = " ".join(spread_findings(sure))
    assert "The verdict is sure within the spreads given" in findings
    assert "crafts fail at" not in findings


def test_an_unsure_verdict_names_gate_unknown_and_measurement(unsure):
    """The head decides the phase margin; weighing it settles all but what is cut off."""
    assert not unsure.passes
    assert unsure.limiting.key == "phase_margin_rad"
    failing = sum(
        one.phase_margin_rad is None or one.phase_margin_rad < 0.785398 for one in unsure.headlines
    )
    findings = spread_findings(unsure)
    assert any(f"{failing} of 64 crafts fail at: phase margin" in words for words in findings)
    assert any(
        words.startswith("Nearest to its limit is the worst phase margin; head mass")
        for words in findings
    )
    measure = next(words for words in findings if words.startswith("Measure next"))
    assert "weigh it (head mass, to 0.22 %)" in measure
    before, after = unsure.measurements[0].wrong_before, unsure.measurements[0].wrong_after
    share = unsure.all_gates.share
    assert before == pytest.approx(min(share, 1.0 - share), abs=0.06)
    assert after < 0.1 * before


def test_unstable_crafts_are_counted_not_averaged(unsure):
    lost = sum(one.outcome == Outcome.UNSTABLE for one in unsure.headlines)
    assert 0 < lost <= 6
    entry = next(one for one in unsure.distributions if one.figure.key == "phase_margin_rad")
    assert entry.missing == lost
    findings = " ".join(spread_findings(unsure))
    assert f"Crafts without a stable hover, of 64: {lost} (hovers, but is unstable)" in findings


def test_where_no_craft_passes_nothing_is_worth_measuring(spread_of):
    hopeless = spread_of(0.3)
    findings = " ".join(spread_findings(hopeless))
    assert "No measurement would change the verdict" in findings
    assert "No weight and no shift of the CG is left: the craft as written fails at" in findings
    entry = next(one for one in hopeless.importance if one.figure.key == "whole_mass_kg")
    assert entry.told[0][0].name == HEAD
    assert all(one.figure.key != "phase_margin_rad" for one in hopeless.distributions)


def test_indices_told_are_those_of_what_was_made_up(sure):
    told = {entry.figure.key: entry for entry in sure.importance}
    assert [figure.name for figure, _ in told["thrust_to_weight"].told] == [THRUST]
    assert [figure.name for figure, _ in told["phase_margin_rad"].told] == [HEAD]
    assert told["phase_margin_rad"].told[0][1].total == pytest.approx(1.0, abs=0.02)
    assert told["static_wind_m_s"].why_not == "it does not vary"


def test_what_is_left_is_rounded_down_and_in_order(sure):
    rows = guard_table(sure).rows
    assert rows[0].cells == ("heavier at the CG", "over 2.80 kg", "nothing", "")
    assert rows[1].cells == ("heavier at the head", "436 g", "phase margin", "lifts at 2.04 kg")
    assert rows[2].cells == ("CG forward", "10 mm", "gain margin, phase margin", "")
    said = next(words for words in spread_findings(sure) if words.startswith("Left before"))
    assert "436 g heavier at the head (phase margin), 10 mm CG forward (gain margin)" in said


@pytest.mark.parametrize("which", ["sure", "unsure"])
def test_text_fits_eighty_columns(request, which):
    answer = request.getfixturevalue(which)
    text = text_of(answer)
    assert max(map(len, text.splitlines())) <= 80
    assert ("Does not pass." in text) is not answer.passes
    for table in spread_tables(answer):
        assert table.caption in flat(text)


def test_nothing_steers_a_terminal(sure):
    spec = sure.craft.spec.model_copy(update={"name": "evil\x1b[2Jname"})
    odd = dataclasses.replace(sure, craft=dataclasses.replace(sure.craft, spec=spec))
    assert "\x1b" not in spread_text(odd, Console(file=io.StringIO(), width=80))


def test_data_are_plain_and_complete(unsure):
    data = json.loads(json_text(spread_data(unsure)))
    assert data["format_version"] == 1
    assert data["limiting_figure"] == "phase_margin_rad"
    assert data["sampled"]["outcome"].count("hovers, but is unstable") > 0
    assert set(data["sampled"]) == {"outcome", *(figure.key for figure in FIGURES)}
    assert data["guard"][1]["left_kg"] == {"lift": 2.0459, "phase": 0.4369}
    assert data["guard"][2]["left_m"]["gain"] == 0.0109
    head = next(one for one in data["unsure"] if one["name"] == HEAD)
    assert head["plus_minus_si"] == pytest.approx(0.04)
    assert head["paths"] == ["head.mass_kg"]


def test_the_page_escapes_names_and_draws_what_varies(unsure):
    spec = unsure.craft.spec.model_copy(update={"name": "<b>craft</b>"})
    odd = dataclasses.replace(unsure, craft=dataclasses.replace(unsure.craft, spec=spec))
    page = spread_page(odd)
    assert "<b>craft</b>" not in page
    assert page.count("<svg") == 2
    assert spread_page(odd) == page


def test_every_headline_figure_can_be_written():
    for figure in FIGURES:
        assert isinstance(shown_as(figure), ShownAs)
    assert ShownAs(1000.0, 0, "mm").number(0.0934) == "93"
    assert ShownAs(1.0, 1, "").number(None) == "not known"


def test_amounts_of_mass_turn_into_kilograms(sure):
    change = sure.guard[0].change
    assert amount_text(change, 0.99999) == "999 g"
    assert amount_text(change, 1.0) == "1.00 kg"


def test_gusts_are_said_not_to_be_flown(sure):
    assert any("gusts were not flown" in words for words in spread_assumptions(sure))


def test_a_check_takes_the_spread_into_question_five(result, unsure, sure):
    """What passes as written but not within its spreads is not known well enough."""
    passing = dataclasses.replace(result, passes=True, verdict="fit to fly")
    doubtful = with_spread(passing, unsure)
    assert not doubtful.passes
    assert doubtful.verdict.startswith("not enough known: weigh it; as written it passes, but")
    assert unsure_section(doubtful).standing == Standing.FAILS
    assert "Measure next: weigh it" in unsure_section(doubtful).answer
    assert result_data(doubtful)["spread"]["limiting_figure"] == "phase_margin_rad"
    settled = with_spread(passing, sure)
    assert settled.passes
    assert settled.verdict == "fit to fly"
    assert unsure_section(settled).standing == Standing.PASSES
    assert result_data(passing)["spread"] is None
    page = page_text(doubtful)
    assert "Which unknown matters most" in page
    assert 'id="importance_' in page
