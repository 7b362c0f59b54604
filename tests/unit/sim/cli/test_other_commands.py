"""The commands `mass`, `fly` and `schema`."""

from __future__ import annotations

import json

import numpy as np
import pytest

from sim.analysis.fly_task import FlownTask
from sim.cli import main as entry
from sim.cli.reading import load_both
from sim.report.flown import column_names
from sim.step.channels import CHANNELS_PER_ROTOR, FIRST_ROTOR_CHANNEL


def test_mass_as_text(demo, capsys):
    assert entry.run(["mass", str(demo)]) == 0
    shown = capsys.readouterr().out
    assert "papier-mache bell" in shown
    assert "Centre of gravity: forward 0.0" in shown


def test_mass_as_json_closes_its_ledger(demo, capsys):
    assert entry.run(["mass", str(demo), "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    mass = data["mass"]
    assert data["format_version"] == 1
    assert sum(part["mass_kg"] for part in mass["parts"]) == pytest.approx(mass["mass_kg"])
    moment = sum(part["mass_kg"] * part["place_m"]["up"] for part in mass["parts"])
    assert moment / mass["mass_kg"] == pytest.approx(mass["centre_m"]["up"])
    for axis in ("roll", "pitch", "yaw"):
        parts = sum(part["inertia_about_centre_kg_m2"][axis] for part in mass["parts"])
        assert parts == pytest.approx(mass["inertia_kg_m2"][axis])


def test_mass_of_a_bad_file(tmp_path, capsys):
    assert entry.run(["mass", str(tmp_path / "none.yaml")]) == 2
    assert "no such file" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "title"),
    [
        (["schema"], "gustworthy craft file"),
        (["schema", "craft"], "gustworthy craft file"),
        (["schema", "scenario"], "gustworthy scenario file"),
    ],
)
def test_schema(arguments, title, capsys):
    assert entry.run(arguments) == 0
    assert json.loads(capsys.readouterr().out)["title"] == title


def test_schema_of_something_else(capsys):
    assert entry.run(["schema", "kite"]) == 2
    assert "kite" in capsys.readouterr().err


@pytest.fixture
def flown(monkeypatch, checked):
    """Give a function that makes the next flight end as told, without flying it."""

    def give(*, succeeded):
        task = FlownTask(checked.packed, checked.flight, "struck the ground, at 1.2 s", succeeded)
        monkeypatch.setattr("sim.analysis.fly_task.fly_task", lambda *_a: task)
        return task

    return give


@pytest.mark.parametrize(("succeeded", "status"), [(True, 0), (False, 1)])
def test_fly_tells_how_it_went(flown, demo, capsys, succeeded, status):
    flown(succeeded=succeeded)
    assert entry.run(["fly", str(demo)]) == status
    shown = capsys.readouterr().out
    assert "Struck the ground, at 1.2 s." in shown
    assert "steepest lean" in shown


def test_fly_as_json(flown, demo, capsys):
    flown(succeeded=False)
    assert entry.run(["fly", str(demo), "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["succeeded"] is False
    assert data["most_tilt_rad"] >= 0.0
    assert all(0.0 < share <= 1.0 for share in data["shares_on_limits"].values())


def test_fly_writes_its_history(flown, demo, in_folder, capsys):
    task = flown(succeeded=True)
    assert entry.run(["fly", str(demo), "--out", "flight.csv"]) == 0
    assert "History: flight.csv" in capsys.readouterr().out
    with (in_folder / "flight.csv").open(encoding="utf-8") as stream:
        names = stream.readline().strip().split(",")
        values = np.loadtxt(stream, delimiter=",", ndmin=2)
    rotors = int(task.packed.record.rotor_count)
    assert names == column_names(rotors)
    assert names[:4] == ["time_s", "north_m", "east_m", "height_m"]
    assert "rotor_2_thrust_n" in names
    assert values.shape == task.flight.history.shape
    height = values[:, names.index("height_m")]
    assert height == pytest.approx(task.flight.channel("height"), rel=1e-8)


def test_every_column_has_one_name():
    names = column_names(8)
    assert len(names) == len(set(names)) == FIRST_ROTOR_CHANNEL + 8 * CHANNELS_PER_ROTOR


def test_faults_of_both_files_are_told_together(tmp_path):
    from sim.errors import InputFaults  # noqa: PLC0415

    with pytest.raises(InputFaults) as caught:
        load_both(tmp_path / "craft.yaml", tmp_path / "scenario.yaml")
    assert [fault.file for fault in caught.value.faults] == [
        str(tmp_path / "craft.yaml"),
        str(tmp_path / "scenario.yaml"),
    ]
