"""The commands `windlimit` and `fly` with many flights: what is printed, written and refused."""

from __future__ import annotations

import json
import math

import numpy as np
import pyarrow.parquet as pq
import pytest

from sim.cli import main as entry
from sim.flight.plan import OneCraftPlan

SCENARIO = """
name: Short gusts
wind: {mean: 1 m/s, from: north, terrain: open_field}
task: [{at: 0 s, do: hold}]
duration: 1 s
limits: {drift: 30 cm, success: 70 %, confidence: 80 %}
seed: 4
flights: 3
"""


BROKEN = 2


@pytest.fixture
def spoilt(monkeypatch):
    """Let flight 2 of every study begin with a speed that is no number."""
    sound = OneCraftPlan.made

    def made(self, part):
        records = sound(self, part)
        records.states["body"]["velocity_m_s"][records.flights["flight"] == BROKEN, 0] = np.nan
        return records

    monkeypatch.setattr(OneCraftPlan, "made", made)


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


@pytest.mark.usefixtures("spoilt")
def test_a_flight_that_breaks_down_is_counted_named_and_in_no_mean(short, in_folder, capsys):
    """Not an exception; a failure of its own kind; means are those of the four others."""
    command = ["fly", *short, "--flights", "5", "--out", "f.csv"]
    assert entry.run([*command, "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["not_finite"] == {"flights": 1, "first": [BROKEN]}
    assert data["succeeded"] == 4
    assert data["ends"]["left the numbers that can be computed"] == 1
    assert data["causes"][0]["flight"] == BROKEN
    table = np.genfromtxt(in_folder / "f.csv", delimiter=",", names=True)
    others = table[table["flight"] != BROKEN]
    assert len(others) == 4
    for name in ("most_tilt_rad", "time_s", "energy_j"):
        measure = data["measures"][name]
        assert measure["flights"] == 4
        assert measure["mean"] == pytest.approx(np.mean(others[name]), rel=1e-8)
    assert entry.run(command) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "Flights that broke down in computation: 2. They count as failed" in shown
    assert entry.run(["fly", *short, "--flight", str(BROKEN), "--format", "json"]) == 1
    alone = json.loads(capsys.readouterr().out)
    assert alone["outcome"] == "left the numbers that can be computed, at 0.00 s"
    assert alone["most_drift_m"] is None


@pytest.mark.usefixtures("spoilt")
def test_a_wind_limit_counts_a_flight_that_breaks_down_as_failed(short, capsys):
    """In every wind the same one; each is named with its wind."""
    command = ["windlimit", *short, "--flights", "50"]
    entry.run([*command, "--format", "json"])
    wind = json.loads(capsys.readouterr().out)["wind"]
    assert wind["not_finite"] == len(wind["points"]) == len(wind["broken"])
    assert all(point["successes"] < point["flights"] for point in wind["points"])
    assert wind["broken"][0] == [wind["points"][0]["forecast_m_s"], BROKEN]
    entry.run(command)
    shown = " ".join(capsys.readouterr().out.split())
    assert "broke down in computation count as failed and into no mean: 2 in " in shown


def test_many_flights_are_summed_up_and_kept(short, in_folder, capsys):
    """The table of comma-separated values, the Parquet rows and the JSON tell the same."""
    (in_folder / "gusts.yaml").write_text(SCENARIO.replace("1 s\n", "3 s\n"))
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
    assert measure["least"] > 0.0
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


def test_a_landing_tells_how_hard_it_was(repository, in_folder, capsys):
    """The sink two samples of 20 ms before it is braked hardest: the last one in the air."""
    hop = repository / "scenarios" / "first_hop.yaml"
    craft = repository / "airframes" / "bare_bicopter.yaml"
    command = ["fly", str(craft), "--scenario", str(hop), "--out", "h.csv"]
    assert entry.run([*command, "--format", "json"]) == 0
    hardest = json.loads(capsys.readouterr().out)["hardest_touchdown_m_s"]
    history = np.genfromtxt(in_folder / "h.csv", delimiter=",", names=True)
    late = history[history["time_s"] > 10.0]
    braked = int(np.argmax(np.diff(late["climb_m_s"])))
    assert hardest == pytest.approx(-late["climb_m_s"][braked - 1], abs=0.02)
    assert 0.1 < hardest < 1.0
    assert entry.run(command) == 0
    shown = capsys.readouterr().out
    assert f"{hardest:.2f} m/s" in next(s for s in shown.splitlines() if "touch-down" in s)


def test_a_flight_too_short_to_be_judged_says_so(short, capsys):
    """Drift and height count from the second second on, when the gusts have grown."""
    assert entry.run(["fly", *short]) == 0
    shown = capsys.readouterr().out
    for figure in ("farthest from its place", "lowest below its height"):
        assert "counts from 2 s on" in next(s for s in shown.splitlines() if figure in s)
    assert "touch-down" not in shown


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--study", "st", "--flight", "1"], "--flight shows one"),
        (["--flights", "3", "--flight", "1"], "--flight shows one"),
        (["--wind", "3 kg"], "--wind: 'kg' is a unit of a mass"),
        (["--from", "nowhere"], "--from"),
        (["--wind", "fast", "--from", "nowhere"], "2 faults"),
        (["--flight", str(10**12 + 1)], "is not in the range"),
        (["--out", "."], "is a folder; name a file"),
        (["--out", "none/f.csv"], "there is no folder none"),
        (["--flights", "3", "--out", "none/f.csv"], "there is no folder none"),
        (["--cluster", "nowhere"], "'nowhere' is no address of a scheduler"),
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
