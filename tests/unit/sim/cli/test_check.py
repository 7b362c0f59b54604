"""The command `check`: answers to standard output, files whole, nothing written on bad input."""

from __future__ import annotations

import dataclasses
import json
import os
import re
from pathlib import Path

import pytest

from sim.cli import main as entry

GOOD = "name: x\n"


@pytest.fixture
def with_result(monkeypatch, checked):
    """Give a function that makes the next check find a given result, without computing it."""

    def give(**changes):
        found = dataclasses.replace(checked, **changes)
        monkeypatch.setattr("sim.analysis.check.check_craft", lambda *_a, **_k: found)
        return found

    return give


def test_a_real_check_from_a_shell(gustworthy, demo, tmp_path):
    done = gustworthy("check", demo)
    assert done.returncode == 1, done.stderr
    assert "\x1b" not in done.stdout
    assert "Does not pass. Fix first: it cannot lift" in done.stdout
    questions = re.findall(r"^\d\. (.+?)(?:  .*)?$", done.stdout, re.MULTILINE)
    assert questions == [
        "Will it lift?",
        "Will it stay upright?",
        "What does the head do?",
        "How much wind?",
        "What am I unsure of?",
        "What do I do on the day?",
    ]
    folder = Path("jellyfish_too_heavy-report")
    assert f"Report: {folder / 'report.html'}" in done.stdout
    assert f"Field card: {folder / 'field-card.html'}" in done.stdout
    assert sorted(path.name for path in (tmp_path / folder).iterdir()) == [
        "field-card.html",
        "report.html",
        "result.json",
    ]
    result = json.loads((tmp_path / folder / "result.json").read_text("utf-8"))
    assert result["passes"] is False
    assert result["lift"]["can_lift"] is False


def test_status_0_when_it_passes(with_result, demo, in_folder, capsys):
    with_result(passes=True, verdict="fit to fly up to 5 m/s")
    assert entry.run(["check", str(demo), "--out", "here"]) == 0
    assert (in_folder / "here" / "report.html").is_file()
    assert "Passes. Fit to fly up to 5 m/s." in capsys.readouterr().out


def test_json_is_all_that_goes_to_standard_output(with_result, demo, in_folder, capsys):
    with_result()
    assert entry.run(["check", str(demo), "--format", "json", "--out", "here"]) == 1
    shown = capsys.readouterr()
    assert json.loads(shown.out) == json.loads((in_folder / "here" / "result.json").read_text())
    assert "report.html" in shown.err


def test_a_scenario_is_used(monkeypatch, demo, repository, in_folder, checked):
    seen = []

    def fake(craft, scenario, *, progress):
        seen.append((craft.spec.name, scenario.spec.name))
        progress("computing", 0.5)
        return checked

    monkeypatch.setattr("sim.analysis.check.check_craft", fake)
    still = repository / "scenarios" / "still_air.yaml"
    assert entry.run(["check", str(demo), "--scenario", str(still), "--out", "a"]) == 1
    assert entry.run(["check", str(demo), "--out", "b"]) == 1
    assert [name for _, name in seen] == ["Still air", "Lake breeze"]


def refused(arguments, capsys, *words):
    """Run what must be refused; nothing may be left in the present folder."""
    before = sorted(Path().rglob("*"))
    assert entry.run(arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "Traceback" not in shown.err
    for word in words:
        assert word in shown.err
    assert sorted(Path().rglob("*")) == before


def test_a_missing_file(in_folder, capsys):
    refused(["check", "none.yaml"], capsys, "none.yaml: no such file")


def test_a_folder_in_place_of_a_file(in_folder, capsys):
    refused(["check", str(in_folder)], capsys, "is a folder")


def test_a_binary_file(in_folder, capsys):
    Path("craft.yaml").write_bytes(bytes(range(256)) * 4)
    refused(["check", "craft.yaml"], capsys, "craft.yaml")


def test_an_empty_file(in_folder, capsys):
    Path("craft.yaml").write_bytes(b"")
    refused(["check", "craft.yaml"], capsys, "craft.yaml")


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="this user may read every file")
def test_an_unreadable_file(in_folder, capsys):
    Path("craft.yaml").write_text(GOOD)
    Path("craft.yaml").chmod(0)
    refused(["check", "craft.yaml"], capsys, "cannot be read")


def test_all_faults_of_both_files_at_once(demo, in_folder, capsys):
    text = demo.read_text("utf-8")
    Path("craft.yaml").write_text(
        text.replace("battery:", "batery:").replace("layout: bicopter", "layout: bycopter"),
        encoding="utf-8",
    )
    Path("scenario.yaml").write_text("name: x\nduration: 20 parsecs\n", encoding="utf-8")
    refused(
        ["check", "craft.yaml", "--scenario", "scenario.yaml"],
        capsys,
        "batery: is not a known key here; did you mean 'battery'?",
        "bycopter",
        "scenario.yaml:2:",
        "parsecs",
    )


def test_an_out_that_is_a_file(demo, in_folder, capsys):
    Path("taken").write_text("mine")
    refused(["check", str(demo), "--out", "taken"], capsys, "taken", "needs a folder")
    refused(["check", str(demo), "--out", "taken/deeper"], capsys, "taken")
    assert Path("taken").read_text() == "mine"


def test_an_unknown_format(demo, in_folder, capsys):
    refused(["check", str(demo), "--format", "xml"], capsys, "xml")


def test_a_check_that_breaks_leaves_nothing(monkeypatch, demo, in_folder, capsys):
    def fail(*_a, **_k):
        raise RuntimeError("broken")

    monkeypatch.setattr("sim.analysis.check.check_craft", fail)
    assert entry.run(["check", str(demo)]) == 3
    assert list(in_folder.iterdir()) == []


def test_a_craft_named_with_markup_stays_text(gustworthy, demo, tmp_path):
    name = "<script>alert(1)</script>"
    text = demo.read_text("utf-8")
    text = re.sub(r"^name: .*$", f'name: "{name}"', text, count=1, flags=re.MULTILINE)
    (tmp_path / "odd name.yaml").write_text(text, encoding="utf-8")
    done = gustworthy("check", "odd name.yaml")
    assert done.returncode == 1, done.stderr
    page = (tmp_path / "odd name-report" / "report.html").read_text("utf-8")
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
