"""A measured wind is read from its table; what is wrong with table or scenario is told at once."""

from __future__ import annotations

import math

import pytest

from sim.errors import InputFaults
from sim.spec import load_scenario

HEAD = "name: Measured\nduration: 4 s\n"
GOOD = "\n".join(["time [s], speed [m/s]", *(f"{k / 2:g}, {3 + k % 3}" for k in range(12))])


@pytest.fixture
def load(tmp_path):
    """Give a function that loads a scenario with a table beside it."""

    def of(table, wind="  measured: breeze.csv\n", head=HEAD):
        (tmp_path / "breeze.csv").write_text(table, encoding="utf-8")
        path = tmp_path / "bad.yaml"
        path.write_text(head + "wind:\n" + wind)
        return load_scenario(path)

    return of


@pytest.fixture
def faults(load):
    def of(*args, **more):
        with pytest.raises(InputFaults) as caught:
            load(*args, **more)
        return str(caught.value)

    return of


def test_times_and_speeds_are_read_with_their_units(load):
    rows = "\n".join(["# at the jetty", "Time (min); Speed (km/h); from (deg)"])
    rows += "\n" + "\n".join(f"{k / 10:g}; {36 + k}; {270 + k}" for k in range(12)) + "\n\n"
    loaded = load(rows)
    measured = loaded.spec.wind.measured
    assert measured.time_s == pytest.approx([6.0 * k for k in range(12)])
    assert measured.speed_m_s == pytest.approx([(36.0 + k) / 3.6 for k in range(12)])
    assert measured.from_rad == pytest.approx([math.radians(270.0 + k) for k in range(12)])
    assert not [used.path for used in loaded.defaults if used.path in {"wind.mean", "wind.from"}]


def test_mean_and_intensity_are_those_of_the_record(load):
    """3 and 5 m/s by turns: mean 4, standard deviation 1."""
    table = "time [s], speed [m/s]\n" + "\n".join(f"{k}, {3 + 2 * (k % 2)}" for k in range(1001))
    loaded = load(table)
    wind = loaded.spec.wind
    assert wind.mean_m_s == pytest.approx(4.0)
    assert "wind.from" in [used.path for used in loaded.defaults]
    assert wind.measured.intensity == pytest.approx(1.0 / 4.0)
    low, high = wind.measured.departures_m_s()[:2]
    assert (low, high) == (pytest.approx((-1.0, 0.0)), pytest.approx((1.0, 0.0)))


def test_the_mean_of_a_turning_wind_is_its_vector(load):
    """Half of the time from the north, half from the east, 5 m/s: sqrt(12.5) from the northeast."""
    rows = [f"{k}, 5, {0 if k < 500 else 90}" for k in range(1000)]
    wind = load("time [s], speed [m/s], from [deg]\n" + "\n".join(rows)).spec.wind
    assert wind.mean_m_s == pytest.approx(math.sqrt(12.5), rel=1e-3)
    assert wind.from_rad == pytest.approx(0.25 * math.pi, rel=1e-3)
    first, last = wind.measured.departures_m_s()[0], wind.measured.departures_m_s()[-1]
    assert first[0] == pytest.approx(last[0], abs=1e-2)
    assert first[1] < 0.0 < last[1]


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("", "has 0 rows; at least 10"),
        ("time [s], speed [m/s]\n0, 1\n1, 2\n", "has 2 rows; at least 10"),
        ("time, speed\n0, 1\n", "line 1: 'time' is no column with its unit"),
        ("time [s], sped [m/s]\n", "did you mean 'speed'?"),
        ("time [s], depth [m]\n", "unknown column 'depth'; use time, speed and from"),
        ("time [s], time [s]\n", "column 'time' stands here twice"),
        ("time [s], speed [kg]\n", "is a unit of a mass"),
        ("time [s], from [deg]\n", "there is no column 'speed'"),
        (GOOD.replace("5.5, 5", "5.5, 5,4").replace(", ", "; "), "with a point, not a comma"),
        (GOOD.replace("5.5, 5", "5.5"), "line 13: speed is empty"),
        (GOOD.replace("5.5, 5", "5.0, 5"), "line 13: time 5.0 s does not come after"),
        (GOOD.replace("5.5, 5", "5.5, 75"), "line 13: speed 75 m/s must lie from 0 to 60 m/s"),
        (GOOD.replace("5.5, 5", "5.5, -1"), "line 13: speed -1 m/s must lie"),
        (GOOD.replace("5.5, 5", "5.5, nan"), "line 13: speed:"),
    ],
)
def test_a_bad_table_is_told_with_its_line(faults, table, words):
    said = faults(table)
    assert words in said
    assert "bad.yaml:4:" in said
    assert "breeze.csv" in said


def test_no_wind_at_all_and_no_file(faults, load, tmp_path):
    calm = "time [s], speed [m/s]\n" + "\n".join(f"{k}, 0" for k in range(12))
    assert "no row has any wind" in faults(calm)
    assert "no such file" in faults(GOOD, "  measured: other.csv\n")
    assert "must be the name of a file" in faults(GOOD, "  measured: 3\n")
    (tmp_path / "latin.csv").write_bytes(b"time [s], speed [m/s]\n0, 1 \xe9\n")
    assert "is not UTF-8" in faults(GOOD, "  measured: latin.csv\n")


def test_all_faults_of_table_and_scenario_are_told_at_once(faults):
    table = GOOD.replace("5.5, 5", "5.5, x").replace("1.5, 3", "1.5, 99")
    wind = "  measured: breeze.csv\n  mean: 3 m/s\n  turbulence: {form: kaimal, intensity: 20 %}\n"
    said = faults(table, wind + "  terrain: moor\n")
    for words in ("line 5: speed 99", "line 13: speed:", "own mean", "own intensity", "terrain"):
        assert words in said


def test_the_record_must_last_as_long_as_the_flight_and_have_one_direction(faults, load):
    """From row 0 to row 11: 5.5 s."""
    assert "lasts 5.5 s; the flight takes 6 s" in faults(GOOD, head="name: M\nduration: 6 s\n")
    turned = "time [s], speed [m/s], from [deg]\n" + "\n".join(f"{k}, 2, 10" for k in range(12))
    said = faults(turned, "  measured: breeze.csv\n  from: west\n")
    assert "the measured wind has its own direction" in said
    assert load(GOOD, "  measured: breeze.csv\n  from: east\n").spec.wind.from_rad == (
        pytest.approx(0.5 * math.pi)
    )


def test_gusts_are_one_or_several(load, faults):
    one = "  mean: 3 m/s\n  gust: {rise: 2 m/s, start: 1 s, length: 1 s}\n"
    assert len(load(GOOD, one).spec.wind.gusts) == 1
    front = "{form: front, rise: 2 m/s, start: 1 s, length: 1 s, turn: -40 deg}"
    several = load(GOOD, f"  gust: [{front}, {front}]\n").spec.wind.gusts
    assert [gust.form for gust in several] == ["front", "front"]
    assert several[0].turn_rad == pytest.approx(math.radians(-40.0))
    assert "is an empty list" in faults(GOOD, "  gust: []\n")
    said = faults(GOOD, "  gust:\n    - {rise: 2 m/s, start: 1 s}\n    - {form: squall}\n")
    assert "bad.yaml:5:" in said
    assert "bad.yaml:6:" in said
