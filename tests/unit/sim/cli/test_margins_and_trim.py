"""The commands `margins` and `trim`: words, data, files, exit status, refusals."""

from __future__ import annotations

import json
import math

import pytest

from sim.cli import main as entry


@pytest.fixture(scope="module")
def bare(repository):
    return repository / "airframes" / "bare_bicopter.yaml"


def test_margins_in_still_air_as_text(bare, capsys):
    assert entry.run(["margins", str(bare)]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "Passes. Yaw has least to spare" in shown
    assert "in still air, full pack, no fabric, 2.0 m above the ground" in shown
    assert "asked are 6 dB and 45 degrees" in shown
    assert "All six loops may all change at the same time" in shown


def test_margins_as_json_say_where_each_is_taken_up(bare, capsys, tmp_path):
    assert entry.run(["margins", str(bare), "--format", "json", "--out", str(tmp_path / "o")]) == 0
    printed = capsys.readouterr().out
    data = json.loads(printed)
    assert printed == (tmp_path / "o" / "margins.json").read_text("utf-8")
    (still,) = data["conditions"]
    assert data["worst"] == 0
    assert still["condition"] == {
        "wind_m_s": 0.0,
        "from_rad": 0.0,
        "charge": 1.0,
        "fabric": "none",
        "height_m": 2.0,
        "swing_m_s": 0.2,
    }
    assert set(still["margins"]) == {"height", "roll", "pitch", "yaw", "north", "east"}
    pitch = still["margins"]["pitch"]
    for name in ("gain_up", "gain_down", "phase", "delay", "modulus", "disk"):
        assert pitch[f"{name}_at_rad_s"] > 0.0
    least = min(margins["disk"] for margins in still["margins"].values())
    assert still["together"]["disk"] <= least
    assert still["together"]["disk"] <= still["together"]["disk_at_most"] * (1.0 + 1e-9)
    page = (tmp_path / "o" / "margins.html").read_text("utf-8")
    for axis in ("roll", "pitch", "yaw"):
        assert f"nichols_{axis}" in page
        assert f"bode_{axis}" in page
    assert "Natural motions in still air" in page


def test_a_scenario_may_ask_for_more(bare, capsys, tmp_path):
    scenario = tmp_path / "strict.yaml"
    text = "name: Strict\nduration: 5 s\nlimits: {gain_margin: 16 dB, phase_margin: 30 deg}\n"
    scenario.write_text(text, "utf-8")
    assert entry.run(["margins", str(bare), "--scenario", str(scenario)]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "Does not pass" in shown
    assert "asked are 16 dB and 30 degrees" in shown


def test_an_unstable_craft_has_no_margins(repository, capsys):
    craft = repository / "airframes" / "jellyfish_unstable_gains.yaml"
    assert entry.run(["margins", str(craft)]) == 1
    assert "It is unstable in still air" in " ".join(capsys.readouterr().out.split())


def test_trim_in_a_wind_from_the_right(bare, capsys):
    """Wind pushes the craft to its left, so it leans to the right; from the left it is nearly the
    mirror image (the rotors turn the same way). From ahead the thrust leans forward, though a craft
    that hangs below its tilting rotors raises its nose for it.
    """
    found = {}
    for side in ("right", "left", "ahead"):
        command = ["trim", str(bare), "--wind", "4 m/s", "--from", side, "--format", "json"]
        assert entry.run(command) == 0
        found[side] = json.loads(capsys.readouterr().out)
    assert found["right"]["roll_rad"] > 0.02
    assert found["left"]["roll_rad"] == pytest.approx(-found["right"]["roll_rad"], rel=0.2)
    for rotor in found["ahead"]["rotors"]:
        assert found["ahead"]["pitch_rad"] + rotor["tilt_rad"] < -0.02
    assert found["ahead"]["roll_rad"] == pytest.approx(0.0, abs=0.02)
    for data in found.values():
        assert not data["grows"]
        for rotor in data["rotors"]:
            assert 0.0 < rotor["thrust_share"] < 1.0
            share = abs(rotor["tilt_rad"]) / rotor["tilt_travel_rad"]
            assert rotor["tilt_share"] == pytest.approx(share)


def test_trim_as_text(bare, capsys):
    assert entry.run(["trim", str(bare), "--charge", "30 %", "--height", "5 m"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "still air, pack at 30 %, no fabric, 5.0 m above the ground" in shown
    assert "every motion dies away" in shown


def test_trim_tells_every_fault_of_its_options(bare, capsys):
    command = ["trim", str(bare), "--wind", "4", "--from", "up", "--fabric", "wet"]
    assert entry.run(command) == 2
    shown = capsys.readouterr().err
    assert "'4' needs a unit" in shown
    assert "'up' is not an angle" in shown
    assert "no fabric that could be wet" in shown
    assert "3 faults" in shown


def test_trim_of_a_wind_that_no_thrust_holds(bare, capsys):
    assert entry.run(["trim", str(bare), "--wind", "45 m/s"]) == 1
    assert "No steady flight" in capsys.readouterr().err


def test_trim_says_when_it_does_not_last(repository, capsys):
    craft = repository / "airframes" / "jellyfish_unstable_gains.yaml"
    assert entry.run(["trim", str(craft), "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["grows"] is True
    assert math.isfinite(data["growth_1_s"])
    assert data["fabric"]["lean_rad"] < 0.2
    assert any("doubles" in words for words in data["sentences"])
