"""The commands `windlimit` and `fly` with many flights: what is printed, written and refused."""

from __future__ import annotations

import json
import math

import numpy as np
import pyarrow.parquet as pq
import pytest

from sim.cli import main as entry

SCENARIO = """
name: Short gusts
wind: {mean: 1 m/s, from: north, terrain: open_field}
task: [{at: 0 s, do: hold}]
duration: 1 s
limits: {drift: 30 cm, success: 70 %, confidence: 80 %}
seed: 4
flights: 3
"""


@pytest.fixture
def short(in_folder, repository):
    """Give the arguments for a bare craft and a scenario of a second."""
    (in_folder / "gusts.yaml").write_text(SCENARIO)
    return [str(repository / "airframes" / "bare_bicopter.yaml"), "--scenario", "gusts.yaml"]


def test_windlimit_answers_and_resumes_to_the_same_bytes(short, in_folder, capsys):
    """A second run flies nothing and prints the same."""
    command = ["windlimit", *short, "--flights", "50", "--study", "st", "--out", "out"]
    command += ["--directions"]
    status = entry.run(command)
    first = capsys.readouterr()
    assert status in {0, 1}
    assert f"{'Passes' if status == 0 else 'Does not pass'}: the scenario has 1.0 m/s." in first.out
    assert "forecast at 10 m" in first.out
    assert "Directions the wind was turned to" in first.out
    assert entry.run(command) == status
    again = capsys.readouterr()
    assert again.out == first.out
    assert "(0 flights flown now)" in again.err
    data = json.loads((in_folder / "out" / "wind_limit.json").read_text("utf-8"))
    assert data["passes"] is (status == 0)
    assert data["wind"]["seed"] == 4
    assert sum(p["flights"] for p in data["wind"]["points"]) == data["wind"]["flights"]
    assert (in_folder / "out" / "wind_limit.svg").read_text("utf-8").startswith("<svg")


def test_windlimit_as_json_is_the_file(short, in_folder, capsys):
    entry.run(["windlimit", *short, "--flights", "50", "--out", "o", "--format", "json"])
    shown = capsys.readouterr().out
    assert shown == (in_folder / "o" / "wind_limit.json").read_text("utf-8")
    limit = json.loads(shown)["wind"]["wind_limit_forecast_m_s"]
    assert limit is None or limit >= 0.0


def test_flights_of_turned_winds_are_seen_again_bit_by_bit(short, in_folder, capsys):
    """Wind and direction as they are printed, handed to `fly`: the drift that the row has."""
    gusts = SCENARIO.replace("from: north", "from: 13.337 deg").replace("1 s\n", "3 s\n")
    (in_folder / "gusts.yaml").write_text(gusts)
    entry.run(["windlimit", *short, "--flights", "50", "--directions", "--study", "st"])
    capsys.readouterr()
    rows = pq.read_table(in_folder / "st" / "rows").to_pylist()
    last = {round(math.degrees(row["wind_from_rad"]), 2): row for row in rows}
    assert len(last) >= 10
    for bearing in sorted(last)[::3]:
        row = last[bearing]
        wind, turned = f"{row['wind_m_s']:.5g} m/s", f"{bearing:.2f} deg"
        options = ["--flight", str(row["flight"]), "--wind", wind, "--from", turned]
        entry.run(["fly", *short, *options, "--format", "json"])
        assert json.loads(capsys.readouterr().out)["most_drift_m"] == row["most_drift_m"] > 0.0


def test_many_flights_are_summed_up_and_kept(short, in_folder, capsys):
    """The table of comma-separated values, the Parquet rows and the JSON tell the same."""
    command = ["fly", *short, "--flights", "12", "--study", "st", "--out", "f.csv"]
    status = entry.run([*command, "--format", "json"])
    data = json.loads(capsys.readouterr().out)
    with (in_folder / "f.csv").open(encoding="utf-8") as stream:
        names = stream.readline().strip().split(",")
        values = np.genfromtxt(stream, delimiter=",")
    table = pq.read_table(in_folder / "st" / "rows").to_pydict()
    for name in ("flight", "most_drift_m", "energy_j"):
        assert values[:, names.index(name)] == pytest.approx(table[name], rel=1e-8)
    assert data["flights"] == 12
    assert status == (0 if data["passes"] else 1)
    measure = data["measures"]["most_drift_m"]
    assert measure["mean"] == pytest.approx(np.mean(table["most_drift_m"]))
    worst = measure["most_flight"]
    entry.run(["fly", *short, "--flight", str(worst), "--format", "json"])
    alone = json.loads(capsys.readouterr().out)
    assert alone["most_drift_m"] == measure["most"]
    assert entry.run(command) == status
    shown = capsys.readouterr()
    assert f"{data['succeeded']} of 12 flights succeeded in 1.0 m/s from 0 deg (north)" in shown.out
    assert "12 flights were in the folder already" in shown.err


def test_another_wind_by_option(short, capsys):
    """The option's wind is flown, and its direction: a headwind is not a crosswind."""
    told = []
    for more in ([], ["--wind", "6 m/s"], ["--wind", "6 m/s", "--from", "east"]):
        entry.run(["fly", *short, *more, "--format", "json"])
        told.append(json.loads(capsys.readouterr().out)["most_tilt_rad"])
    assert len(set(told)) == 3
    assert told[1] > told[0]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--study", "st", "--flight", "1"], "--flight shows one"),
        (["--flights", "3", "--flight", "1"], "--flight shows one"),
        (["--wind", "3 kg"], "--wind: 'kg' is a unit of a mass"),
        (["--from", "nowhere"], "--from"),
        (["--flights", "3", "--study", "gusts.yaml"], "is a file"),
    ],
)
def test_what_fly_refuses(short, in_folder, capsys, more, said):
    assert entry.run(["fly", *short, *more]) == 2
    assert said in capsys.readouterr().err
    assert not (in_folder / "st").exists()


def test_a_study_of_another_craft_is_refused(short, repository, capsys):
    """The first has as many flights as the scenario says: 3."""
    assert entry.run(["fly", *short, "--study", "st"]) in {0, 1}
    assert "of 3 flights succeeded" in capsys.readouterr().out
    other = str(repository / "airframes" / "bench_bicopter.yaml")
    assert entry.run(["fly", other, *short[1:], "--flights", "2", "--study", "st"]) == 2
    assert "another study is in this folder" in capsys.readouterr().err


def test_a_cluster_that_is_not_there(short, monkeypatch, capsys):
    monkeypatch.setattr("sim.flight.cluster.CONNECT_S", 1)
    assert entry.run(["windlimit", *short, "--cluster", "tcp://127.0.0.1:9"]) == 3
    assert "no scheduler answers" in capsys.readouterr().err
