"""The command `power`: words, data and files; refusals before anything is computed."""

from __future__ import annotations

import json

import pytest

from sim.analysis.power_answer import power_answer
from sim.analysis.propeller_choice import Rules
from sim.cli import main as entry
from sim.physics.air.atmosphere import air_of_the_day
from sim.report.power_content import power_findings, power_verdict
from sim.report.power_data import power_data
from sim.report.power_page import power_page
from sim.report.power_tables import all_tables, warmth_table
from sim.spec import craft_from_bytes, load_craft

AIR = air_of_the_day(None, None, None, 0.5)


@pytest.fixture(scope="module")
def bare(repository):
    return repository / "airframes" / "bare_bicopter.yaml"


@pytest.fixture(scope="module")
def answer(bare):
    return power_answer(
        load_craft(bare), AIR, thrusts_n=(("9 N", 9.0), ("900 N", 900.0)), rules=Rules(0.02)
    )


def changed(bare, *pairs):
    """Give the craft file with words replaced, read as a builder's own."""
    text = bare.read_text("utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return craft_from_bytes(text.encode(), "changed.yaml")


def test_craft_that_lifts_passes(answer):
    assert answer.passes
    assert "lifts with" in power_verdict(answer)
    data = power_data(answer)
    assert data["passes"] is True
    assert data["hover"]["thrust_n"] == pytest.approx(data["weight_n"], rel=1e-3)
    assert data["thrust_to_weight"] == pytest.approx(
        data["full_throttle"]["thrust_n"] / data["hover_thrust_needed_n"], rel=1e-12
    )
    for point in ("hover", "usable_throttle", "full_throttle"):
        assert abs(data[point]["flow"]["imbalance"]) < 1e-9


def test_thrust_out_of_reach_is_said_and_another_met(answer):
    met, missed = power_data(answer)["chosen"]
    assert met["point"]["thrust_n"] == pytest.approx(9.0, rel=1e-9)
    assert missed["point"] is None
    table = all_tables(answer)[0]
    assert {row.cells[3] for row in table.rows} == {"out of reach"}


def test_every_table_is_as_wide_as_its_head(answer):
    for table in all_tables(answer):
        assert table.rows
        assert {len(row.cells) for row in table.rows} == {len(table.columns)}


def test_packs_get_weaker_down_the_table(answer):
    full, *tired = (case.full.thrust_n for case in answer.packs)
    assert max(tired) < full
    assert min(tired) == answer.packs[-1].full.thrust_n
    assert answer.days[1].margin < answer.days[0].margin


def test_warmth_is_not_known_without_data(answer):
    assert warmth_table(answer) is None
    assert any("not known: give 'thermal'" in words for words in power_findings(answer))
    assert {warm["known"] for warm in power_data(answer)["motor_warmth"]} == {False}


def test_warmth_with_data(bare):
    """18 K/W cannot carry a hover's losses away: the motor passes its limit in the hover."""
    thermal = (
        "    mass: 86 g\n    thermal: {winding_heat_capacity: 15 J/K,"
        " housing_heat_capacity: 40 J/K, winding_to_housing: 0.8 K/W, housing_to_air: %s}\n"
    )
    cool = power_answer(changed(bare, ("    mass: 86 g\n", thermal % "1.5 K/W")), AIR)
    hot = power_answer(changed(bare, ("    mass: 86 g\n", thermal % "18 K/W")), AIR)
    assert cool.passes
    assert not hot.passes
    assert "overheats the motor" in power_verdict(hot)
    assert warmth_table(cool) is not None
    hover = next(warm for warm in cool.warmth if warm.point == "hover")
    assert AIR.temperature_k < hover.steady_housing_k < hover.steady_winding_k < hover.limit_k


def test_overload_fails_and_is_named(bare):
    weak = power_answer(changed(bare, ("current_limit: 100 A", "current_limit: 30 A")), AIR)
    assert weak.lifts
    assert not weak.passes
    assert "overloads pack" in power_verdict(weak)


def test_controller_that_holds_the_current_is_still_called_overloaded(bare):
    """What full throttle would draw is shown, not what the limit lets through."""
    weak = power_answer(changed(bare, ("current_limit: 28 A", "current_limit: 15 A")), AIR)
    motor = next(load for load in weak.loads if load.part == "motor")
    assert motor.current_a > 18.0
    assert weak.main.full.most_motor_a == pytest.approx(15.0, rel=1e-9)


def test_page_is_whole_and_escapes(bare):
    named = changed(bare, ("name: Bare test frame", "name: <script>x</script>"))
    page = power_page(power_answer(named, AIR, rules=Rules(0.02)))
    assert "<script" not in page
    assert page.count("<svg ") == 4
    assert "http://" not in page.replace("http://www.w3.org/", "")


def test_command_writes_and_prints_the_same(bare, in_folder, capsys):
    assert entry.run(["power", str(bare), "--format", "json", "--out", "found"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed == json.loads((in_folder / "found" / "power.json").read_text("utf-8"))
    assert (in_folder / "found" / "power.html").read_text("utf-8").startswith("<!doctype html>")


def test_text_says_the_verdict_first(bare, in_folder, capsys):
    assert entry.run(["power", str(bare), "--thrust", "0.9 kgf"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Bare test frame"
    assert any(line.startswith("Passes. It lifts") for line in lines[:4])
    assert list(in_folder.iterdir()) == []


def test_craft_that_cannot_lift_does_not_pass(repository, capsys):
    craft = repository / "airframes" / "jellyfish_too_heavy.yaml"
    assert entry.run(["power", str(craft)]) == 1
    words = " ".join(capsys.readouterr().out.split())
    assert "Does not pass. It does not lift: the rotors give" in words


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--thrust", "12"), "--thrust"),
        (("--thrust", "-3 N"), "must be more than zero"),
        (("--day", "35 degC, 20 degC"), "temperature is given twice"),
        (("--day", "12 kg"), "no temperature, elevation, pressure or humidity"),
        (("--day", "900 degC"), "temperature"),
        (("--day", "300 m, 900 hPa"), "either elevation or pressure"),
        (("--clearance", "2 kg"), "--clearance"),
        (("--most-current", "2 m"), "--most-current"),
    ],
)
def test_bad_options_are_refused(bare, in_folder, capsys, options, words):
    assert entry.run(["power", str(bare), "--out", "found", *options]) == 2
    assert words in capsys.readouterr().err
    assert list(in_folder.iterdir()) == []


def test_day_is_read_by_its_units(bare, capsys):
    day = "80 %, 1500 m, 35 degC"
    assert entry.run(["power", str(bare), "--format", "json", "--day", day]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["air"]["temperature_k"] == pytest.approx(308.15)
    assert data["full_throttle"]["thrust_n"] == pytest.approx(
        data["days"][1]["full_thrust_n"], rel=1e-9
    )
