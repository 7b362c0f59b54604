"""The command `bench`: findings, exit status, and a cause written into a new craft file."""

from __future__ import annotations

import json
import re

import pytest

from sim.cli.main import DOES_NOT_PASS, PASSES, UNUSABLE_INPUT, run
from sim.spec import load_craft

FULL = "{watts: 297 W, amps: 26 A, idle_power: 3.5 W}"


@pytest.fixture(scope="module")
def craft_file(repository, tmp_path_factory):
    """Give a function that writes a craft with readings."""
    folder = tmp_path_factory.mktemp("bench")
    trade = (repository / "tests" / "validation" / "trade_craft.yaml").read_text("utf-8")

    def write(name, *readings, reserved="0 %"):
        text = re.sub(r"reserved: *[0-9.]+ *%", f"reserved: {reserved}", trade)
        text += "bench:\n  readings:\n" + "".join(f"    - {reading}\n" for reading in readings)
        path = folder / name
        path.write_text(text, "utf-8")
        return path

    return write


def test_findings_are_printed_and_the_craft_does_not_pass(craft_file, capsys):
    assert run(["bench", str(craft_file("a.yaml", FULL))]) == DOES_NOT_PASS
    said = " ".join(capsys.readouterr().out.split())
    assert "cannot be told apart" in said
    assert "the flight controller withholds throttle" in said
    assert "Pack sag does not explain it" in said
    assert "Measure next" in said


def test_readings_that_the_file_explains_pass(craft_file, capsys):
    path = craft_file("b.yaml", FULL, reserved="11 %")
    assert run(["bench", str(path), "--format", "json"]) == PASSES
    data = json.loads(capsys.readouterr().out)
    assert data["agrees_with_file"] is True
    assert data["explanations"][0]["key"] == "as_the_file_says"
    assert sum(e["weight"] for e in data["explanations"]) == pytest.approx(1.0)


def test_bad_readings_are_called_inconsistent_by_name(craft_file, capsys):
    reading = "{watts: 297 W, amps: 26 A, volts: 12.4 V, thrust: 30 N}"
    assert run(["bench", str(craft_file("c.yaml", reading))]) == DOES_NOT_PASS
    said = " ".join(capsys.readouterr().out.split())
    assert "amps times volts is 322.4 W, but the watts read 297 W" in said
    assert "thrust 30 N is above the momentum limit" in said
    assert "not to be relied on" in said


def test_accepted_cause_is_written_into_a_new_file_and_can_be_undone(craft_file, tmp_path, capsys):
    path, out = craft_file("d.yaml", FULL), tmp_path / "changed.yaml"
    before = path.read_bytes()
    arguments = ["bench", str(path), "--apply", str(out), "--cause", "withheld_throttle"]
    assert run(arguments) == DOES_NOT_PASS
    assert "Written" in capsys.readouterr().out
    assert path.read_bytes() == before
    changed = load_craft(out).spec
    assert 0.08 < changed.controller.reserved < 0.12
    old, new = before.decode().splitlines(), out.read_text("utf-8").splitlines()
    added = [line for line in new if line not in old]
    (comment, value) = added
    assert comment.startswith("# gustworthy bench")
    assert "before, 'reserved' was 0 %" in comment
    undone = [re.sub(r"reserved: [0-9.]+ %", "reserved: 0 %", x) for x in new if x != comment]
    assert undone == old
    assert "reserved" in value
    assert run(["bench", str(out)]) == PASSES


def test_nothing_is_written_over_a_file_that_exists(craft_file, capsys):
    path = craft_file("e.yaml", FULL)
    before = path.read_bytes()
    arguments = ["bench", str(path), "--apply", str(path), "--cause", "withheld_throttle"]
    assert run(arguments) == UNUSABLE_INPUT
    assert "only writes a new file" in capsys.readouterr().err
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ([], "cannot be told apart; say which with --cause"),
        (["--cause", "withheld_throtle"], "did you mean 'withheld_throttle'"),
        (["--cause", "meter"], "nor a wrong meter changes anything"),
    ],
)
def test_a_cause_that_cannot_be_written_is_refused(craft_file, tmp_path, capsys, more, words):
    path, out = craft_file("f.yaml", FULL), tmp_path / "none.yaml"
    assert run(["bench", str(path), "--apply", str(out), *more]) == UNUSABLE_INPUT
    assert words in capsys.readouterr().err
    assert not out.exists()


def test_craft_without_readings_is_refused(repository, capsys):
    assert run(["bench", str(repository / "airframes" / "bare_bicopter.yaml")]) == UNUSABLE_INPUT
    assert "no bench section" in capsys.readouterr().err
