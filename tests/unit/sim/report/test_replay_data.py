"""What the replay carries is the flight: within half a step of 16 bits, and whole."""

import base64
import hashlib
import re
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.flight.results import Flight
from sim.params.flight_record import FLIGHT_TYPE
from sim.params.tally_record import TALLY_TYPE, Limit, Stop
from sim.report.replay.events import events
from sim.report.replay.page import policy, viewer_script
from sim.report.replay.trajectory import deflated, sixteen_bits, trajectory_data
from sim.step.channels import BODY_CHANNELS, CHANNELS_PER_ROTOR, FIRST_ROTOR_CHANNEL

ROOT = Path(__file__).parents[4]
VIEWER = ROOT / "sim/report/replay/viewer"
SOURCES = ("data.js", "scene.js", "strip.js", "main.js", "package-lock.json")
ROWS = 200
NAMES = [name for name, _ in BODY_CHANNELS]


def inflated(text, rows):
    """Undo the packing here, as the page does."""
    steps = np.frombuffer(zlib.decompress(base64.b64decode(text)), "<i2").astype(int)
    columns = np.cumsum(steps.reshape(-1, rows), axis=1)
    return (columns + 32768) % 65536 - 32768


def flight(stop=Stop.TIME, **channels):
    history = np.zeros((ROWS, FIRST_ROTOR_CHANNEL + 2 * CHANNELS_PER_ROTOR))
    history[:, 0] = 0.02 * np.arange(ROWS)
    for name, values in channels.items():
        history[:, NAMES.index(name)] = values
    fabric = np.random.default_rng(3).normal(size=(ROWS, 5, 3))
    tally = np.zeros(1, dtype=TALLY_TYPE)[0]
    tally.stop, tally.stop_s, tally.ticks = int(stop), 4.0, 4000.0
    tally.last_tick[:] = -1.0
    return Flight(history, fabric, tally, None)


@given(st.lists(st.floats(-1e4, 1e4), min_size=2, max_size=60))
def test_sixteen_bits_lose_half_a_step_at_most(values):
    column = np.array(values)
    numbers, scale, offset = sixteen_bits(column)
    assert np.abs(numbers).max() <= 32500
    slack = 1e-12 * np.abs(column).max()
    assert np.abs(numbers * scale + offset - column).max() <= 0.5 * scale * (1 + 1e-9) + slack


@given(st.lists(st.integers(-32768, 32767), min_size=1, max_size=60))
def test_differences_come_back_whole_even_where_they_wrap(values):
    column = np.array(values)
    assert inflated(deflated([column, -column - 1]), len(values)).tolist() == [
        column.tolist(),
        (-column - 1).tolist(),
    ]


def test_the_channels_come_back(monkeypatch):
    north = np.linspace(-3.0, 8.0, ROWS)
    heading = (np.linspace(0.0, 9.0, ROWS) + np.pi) % (2 * np.pi) - np.pi
    flown = flight(north=north, heading=heading, limits=np.where(np.arange(ROWS) > 50, 5.0, 0.0))
    data = trajectory_data(flown, 2, 0.02)
    channels = data["channels"]
    columns = inflated(channels["packed"], channels["rows"])
    back = {
        name: columns[i] * channels["scales"][i] + channels["offsets"][i]
        for i, name in enumerate(channels["names"])
    }
    assert back["north"] == pytest.approx(north, abs=11.0 / 65000)
    assert back["away"] == pytest.approx(np.abs(north), abs=8.0 / 65000)
    assert back["heading"] == pytest.approx(np.linspace(0.0, 9.0, ROWS), abs=9.0 / 65000)
    assert back["limits"].tolist() == flown.channel("limits").tolist()
    fabric = data["fabric"]
    places = inflated(fabric["packed"], fabric["rows"]) * fabric["scale"]
    centre = np.stack([north, np.zeros(ROWS), np.zeros(ROWS)], axis=1)
    apart = (flown.fabric_m - centre[:, None, :])[::2].reshape(100, -1)
    assert pytest.approx(apart, abs=0.51 * fabric["scale"]) == places.T


def test_rows_that_are_not_finite_are_left_out():
    north = np.where(np.arange(ROWS) < 120, 1.0, np.nan)
    data = trajectory_data(flight(stop=Stop.NOT_FINITE, north=north), 2, 0.02)
    assert data["channels"]["rows"] == 120
    assert data["fabric"]["rows"] == 60


def test_events_tell_runs_on_limits_the_task_and_the_end():
    met = np.zeros(ROWS)
    met[50:80] = 1 << int(Limit.THRUST_FULL)
    met[90:95] = 1 << int(Limit.THRUST_FULL)  # 0.2 s later: the same run
    met[150:152] = 1 << int(Limit.TILT_SLEW)  # too short to tell
    record = np.zeros(1, dtype=FLIGHT_TYPE)[0]
    record.step_s, record.command_count = 1e-3, 2
    record.command[1].time_s = 2.0
    record.command[1].place_m[:] = (3.0, 0.0, -1.5)
    wind = np.where(np.arange(ROWS) == 111, 7.0, 2.0)
    told = events(flight(stop=Stop.DRIFT, limits=met, wind_north=wind), record, 0.02)
    words = {event.words: event.time_s for event in told}
    assert words["A rotor at full thrust, for 0.9 s"] == pytest.approx(1.0)
    assert words["Told to go to 3.0 m north, 0.0 m east, 1.5 m up"] == 2.0
    assert words["Strongest wind, 7.0 m/s"] == pytest.approx(2.22)
    assert not any("servo" in word for word in words)
    assert "drifted too far" in told[-1].words
    assert [event.time_s for event in told] == sorted(event.time_s for event in told)


def test_the_built_viewer_is_that_of_its_sources():
    """Else somebody changed a source and did not run viewer/build.sh."""
    digest = hashlib.sha256(b"".join((VIEWER / name).read_bytes() for name in SOURCES))
    told = re.search(r"sources ([0-9a-f]{16})", viewer_script()[:200])
    assert told is not None
    assert told[1] == digest.hexdigest()[:16]


def test_the_viewer_carries_its_licence_and_cannot_end_its_element():
    script = viewer_script()
    assert "MIT" in script[:300]
    assert "</script" not in script
    assert "<!--" not in script


def test_the_lock_of_the_viewer_names_no_place_to_fetch_from():
    assert "resolved" not in (VIEWER / "package-lock.json").read_text()


def test_the_policy_allows_this_script_alone():
    digest = base64.b64encode(hashlib.sha256(viewer_script().encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}';" in policy(viewer_script())
    assert "unsafe-inline" not in policy(viewer_script()).split("style-src")[0]
