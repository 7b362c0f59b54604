"""The command `drape`: words, data, files and a calibrated copy; refusals before computing."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from sim.analysis import air_calibration
from sim.analysis import drape_answer as drape_module
from sim.analysis.air_calibration import calibrated_air
from sim.analysis.drape_answer import drape_answer, hover_readings
from sim.cli import main as entry
from sim.report.drape_content import drape_findings, drape_verdict
from sim.report.drape_data import drape_data
from sim.report.drape_page import drape_page
from sim.report.drape_tables import all_tables
from sim.report.drape_text import drape_text
from sim.report.terminal import WIDTH, make_console
from sim.spec import craft_from_bytes, load_craft, load_scenario
from sim.spec.unsure import unsure_figures

RIBBONS = """
drape:
  cut: ribbons
  strips: 4
  rows: 2
  length: {value: 40 cm, plus_minus: 2 cm}
  width: 8 cm
  rim: {radius: 37 cm, place: {up: -8 cm}}
  fabric: {cloth: muslin}
"""


@pytest.fixture(scope="module")
def craft(repository, tmp_path_factory):
    """Give a small frame with a ribbon of muslin under each rotor, one ahead and one behind."""
    path = tmp_path_factory.mktemp("craft") / "ribbons.yaml"
    bare = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")
    path.write_text(bare + RIBBONS, "utf-8")
    return path


@pytest.fixture(scope="module")
def answer(craft, repository):
    scenario = load_scenario(repository / "scenarios" / "lake_breeze.yaml")
    return drape_answer(load_craft(craft), scenario)


def test_figures_hang_together(answer):
    """The download is air's part of what hover lifts more than its weight."""
    still = answer.still
    assert still.wind_m_s == 0.0
    assert still.thrust_n - answer.weight_n >= still.whole.download_n - 0.02 * answer.weight_n
    assert still.whole.download_n > 0.0
    assert answer.bands.download.low < still.whole.download_n < answer.bands.download.high
    assert answer.bands.download.value == still.whole.download_n
    assert answer.bands.day_side_force.value == answer.day.whole.side_force_n
    assert answer.throttle.with_fabric > answer.throttle.without_fabric
    assert answer.throttle.low < answer.throttle.with_fabric < answer.throttle.high
    sides = [case.whole.side_force_n for case in answer.winds if not case.why_held]
    assert sides == sorted(sides)
    assert len(answer.still.whole.clearance_m) == len(answer.rotors) == 2
    assert answer.swings


def test_a_swing_is_near_that_of_a_hanging_strip(answer):
    """A ribbon of 40 cm: between a chain, 1.2024 sqrt(g/L) (first zero of J0, halved), and a
    plumb bob, sqrt(g/L), for two rows; entrained air and the moving craft change it a little.
    """
    bob = (9.80665 / 0.40) ** 0.5 / 6.2832
    slowest = min(swing.mode.frequency_hz for swing in answer.swings)
    assert 0.7 * bob < slowest < 1.35 * bob


def test_everything_is_told_within_eighty_columns(answer, capsys):
    del capsys
    import io  # noqa: PLC0415

    text = drape_text(answer, make_console(io.StringIO()))
    assert max(map(len, text.splitlines())) <= WIDTH
    for words in ("All fabric, by steady wind", "Swings of the fabric", "What the bands are made"):
        assert words in " ".join(text.split())
    assert "was found" in " ".join(text.split()), "that no measurement exists is said"


def test_every_table_is_as_wide_as_its_head(answer):
    for table in all_tables(answer):
        assert table.rows
        assert {len(row.cells) for row in table.rows} == {len(table.columns)}


def test_several_drapes_are_told_one_by_one(answer):
    """Each has its own table and its own entry in the data."""
    load = answer.still.whole
    parts = tuple(replace(load, name=name) for name in ("veil", "tail"))
    winds = tuple(replace(case, drapes=parts) for case in answer.winds)
    several = replace(answer, winds=winds)
    captions = [table.caption for table in all_tables(several)]
    assert [words.split(",")[0] for words in captions[:3]] == ["All fabric", "veil", "tail"]
    assert [d["name"] for d in drape_data(several)["winds"][0]["drapes"]] == ["veil", "tail"]


def test_verdict_says_what_is_wrong(answer):
    near = replace(answer, clearance_limit_m=answer.least_clearance_m + 0.01)
    assert answer.passes
    assert not near.passes
    assert "is the least allowed" in drape_verdict(near)
    lost = tuple(replace(case, why_held="tilted over") for case in answer.winds)
    fallen = replace(answer, winds=lost)
    assert not fallen.passes
    assert drape_verdict(fallen).endswith("does not hold its place in still air: it tilted over")
    assert "body held level" in all_tables(fallen)[0].caption


def test_winds_beyond_the_limit_are_told(answer):
    lost = tuple(
        replace(case, why_held="tilted over" if case.wind_m_s > 5.0 else "")
        for case in answer.winds
    )
    strong = replace(answer, winds=lost)
    assert strong.passes
    assert any("From 6.0 m/s on" in words for words in drape_findings(strong))


def test_page_is_whole_and_needs_nothing_else(answer):
    page = drape_page(answer)
    assert page.count("<svg ") == 2
    assert "<script" not in page
    assert "http://" not in page.replace("http://www.w3.org/", "")
    assert "gustworthy drape" in page


def test_command_writes_and_prints_the_same(craft, in_folder, capsys):
    assert entry.run(["drape", str(craft), "--format", "json", "--out", "found"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed == json.loads((in_folder / "found" / "drape.json").read_text("utf-8"))
    assert (in_folder / "found" / "drape.html").read_text("utf-8").startswith("<!doctype html>")
    assert printed["format_version"] == 1
    assert printed["passes"] is True
    assert set(printed["download_n"]) == {"value", "low", "high"}
    sources = [move["source"] for move in printed["band_made_of"]]
    assert all(sources)
    assert any("no published measurement" in source for source in sources)
    assert sum(case["is_the_day"] for case in printed["winds"]) == 1


BAD = [
    (("--measured-with", "62 %"), "--measured-without: is missing"),
    (("--measured-without", "55 %"), "--measured-with: is missing"),
    (("--measured-with", "62 rpm", "--measured-without", "55 %"), "--measured-with: 'rpm' is"),
    (("--measured-with", "140 %", "--measured-without", "55 %"), "at most 100 %"),
    (("--measured-with", "0 %", "--measured-without", "55 %"), "must be more than 0"),
    (
        ("--measured-with", "62", "--measured-without", "55", "--readings-plus-minus", "1 N"),
        "--readings-plus-minus",
    ),
    (("--apply", "new.yaml"), "give --measured-with and --measured-without"),
    (("--scenario", "nowhere.yaml"), "no such file"),
]


@pytest.mark.parametrize(("options", "words"), BAD)
def test_bad_options_are_refused_before_anything_is_computed(
    craft, in_folder, capsys, options, words
):
    assert entry.run(["drape", str(craft), "--out", "found", *options]) == 2
    assert words in capsys.readouterr().err
    assert list(in_folder.iterdir()) == []


def test_all_faults_of_the_readings_are_told_at_once(craft, capsys):
    options = ["--measured-with", "1.4", "--readings-plus-minus", "x"]
    assert entry.run(["drape", str(craft), *options]) == 2
    told = capsys.readouterr().err
    for words in ("--measured-with: must be", "--readings-plus-minus", "--measured-without: is"):
        assert words in told


def test_a_craft_without_fabric_and_a_faulty_file_are_refused(repository, craft, in_folder, capsys):
    bare = repository / "airframes" / "bare_bicopter.yaml"
    assert entry.run(["drape", str(bare)]) == 2
    assert "has no drape" in capsys.readouterr().err
    bad = in_folder / "bad.yaml"
    text = craft.read_text("utf-8").replace("cloth: muslin", "cloth: muslim").replace("rows", "row")
    bad.write_text(text, "utf-8")
    assert entry.run(["drape", str(bad)]) == 2
    told = capsys.readouterr().err
    assert "did you mean 'muslin'?" in told
    assert "did you mean 'rows'?" in told


def test_a_file_that_is_there_is_not_written_over(craft, in_folder, capsys):
    there = in_folder / "new.yaml"
    there.write_text("mine", "utf-8")
    readings = ["--measured-with", "62 %", "--measured-without", "55 %"]
    assert entry.run(["drape", str(craft), *readings, "--apply", str(there)]) == 2
    assert "only writes a new file" in capsys.readouterr().err
    assert there.read_text("utf-8") == "mine"


def test_readings_that_nothing_explains_are_refused(craft, in_folder, capsys):
    readings = ["--measured-with", "55 %", "--measured-without", "55 %"]
    assert entry.run(["drape", str(craft), *readings, "--out", "found"]) == 2
    assert "weight alone asks for" in capsys.readouterr().err
    assert list(in_folder.iterdir()) == []


def test_readings_are_told_and_written_into_a_copy(answer, craft, in_folder, capsys, monkeypatch):
    """With a hover that answers to the factor as 0.50 + 0.02 + 0.03 x factor."""

    def throttle(spec, scenario, air):
        del scenario, air
        if not spec.drapes:
            return 0.50
        return 0.52 + 0.03 * spec.drapes[0].fabric.air_factor.value

    def answered(loaded, scenario, readings):
        found = calibrated_air(loaded.spec, scenario.spec, None, *readings)
        return replace(answer, calibration=found)

    monkeypatch.setattr(air_calibration, "_hover_throttle", throttle)
    monkeypatch.setattr(drape_module, "drape_answer", answered)
    readings = ["--measured-with", "58 %", "--measured-without", "50 %"]
    command = ["drape", str(craft), *readings, "--apply", "new.yaml", "--format", "json"]
    assert entry.run(command) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["calibration"]["scale"] == pytest.approx(2.0, abs=2e-3)
    new = load_craft(in_folder / "new.yaml").spec.drapes[0].fabric
    assert new.air_factor.value == pytest.approx(2.0, abs=5e-3)
    assert any("+/-" in words for words in data["findings"])
    assert [path.name for path in in_folder.iterdir()] == ["new.yaml"]
    assert re.search(r"air_factor: \{value: ", (in_folder / "new.yaml").read_text("utf-8"))


def test_readings_in_the_craft_file_count(craft):
    """Under measured: hover_throttle; and they are no unsure figures of the craft."""
    text = craft.read_text("utf-8") + (
        "measured:\n  hover_throttle:\n    with_fabric: {value: 58 %, plus_minus: 0.5 %}\n"
        "    without_fabric: 50 %\n"
    )
    loaded = craft_from_bytes(text.encode(), "read.yaml")
    assert not any("hover" in figure.name for figure in unsure_figures(loaded.spec))
    with_fabric, bare = hover_readings(loaded.spec)
    assert (with_fabric.value, bare.value, bare.plus_minus) == (0.58, 0.5, 0.01)
    assert with_fabric.plus_minus == pytest.approx(0.005)
    assert hover_readings(load_craft(craft).spec) is None
