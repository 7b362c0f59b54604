"""Every way in which a flight can end, reached through the command `fly` by a scenario."""

from __future__ import annotations

import json

import pytest

from sim.cli import main as entry
from sim.flight.outcome import STOP_WORDS
from sim.params.tally_record import Stop

HOLD = "task: [{at: 0 s, do: hold}]"
HOP = """start: ground
task: [{at: 0 s, do: stand}, {at: 1 s, do: take_off, height: 1 m}, {at: 9 s, do: land}]
"""
GUST = """start_height: 100 m
wind:
  {mean: 5 m/s, terrain: sea, from: north, turbulence: {form: none},
   gust: {form: front, rise: 40 m/s, start: 3 s, length: 200 ms}}
"""
UPS_AND_DOWNS = """start_height: 40 m
wind: {mean: 2 m/s, terrain: street, turbulence: {intensity: 100 %}}
"""
STORM = """wind:
  {mean: 60 m/s, at_height: 2 m, terrain: street, turbulence: {form: kaimal, intensity: 100 %},
   gust: [{form: front, rise: 60 m/s, start: 0 s, length: 10 ms},
          {form: front, rise: 60 m/s, start: 1 s, length: 10 ms},
          {form: front, rise: 60 m/s, start: 1 s, length: 10 ms},
          {form: front, rise: 60 m/s, start: 1 s, length: 10 ms}]}
"""
ON_THE_GROUND = """start: ground
task: [{at: 0 s, do: stand}, {at: 9 s, do: take_off, height: 1 m}]
wind:
  {mean: 5 m/s, at_height: 30 cm, terrain: lake_shore,
   gust: {form: front, rise: 20 m/s, start: 500 ms, length: 2 s}}
"""
WIDE = "drift: 500 m, height_loss: 300 m, recovery: 60 s, touchdown: 10 m/s"
BARE, HERON, JELLYFISH = "bare_bicopter", "heron_tricopter", "jellyfish_bicopter"

ENDS = [
    (Stop.TIME, BARE, HOLD, "3 s", ""),
    (Stop.LANDED, BARE, HOP, "20 s", ""),
    (Stop.HARD_TOUCHDOWN, BARE, HOP, "20 s", "touchdown: 20 cm/s"),
    (Stop.OVER_CURRENT, BARE, HOP, "20 s", "current: 20 ms"),
    (Stop.STAYED_DOWN, "jellyfish_too_heavy", HOP, "20 s", ""),
    (Stop.DRIFT, BARE, GUST, "8 s", ""),
    (Stop.HEIGHT, BARE, UPS_AND_DOWNS, "20 s", "drift: 500 m, height_loss: 20 cm"),
    (Stop.SLOW_RECOVERY, BARE, GUST, "20 s", "drift: 100 m, height_loss: 50 m, recovery: 500 ms"),
    (Stop.SATURATED, BARE, GUST, "8 s", f"{WIDE}, saturation: 20 ms"),
    (Stop.SATURATED_OFTEN, BARE, GUST, "8 s", f"{WIDE}, saturation_share: 0.1 %"),
    (Stop.TILT, BARE, STORM, "6 s", WIDE),
    (Stop.GROUND_STRIKE, BARE, STORM, "6 s", f"{WIDE}, saturation: 60 s, tilt: 180 deg"),
    (Stop.FABRIC_IN_ROTOR, JELLYFISH, STORM, "6 s", WIDE),
    (Stop.TIP_OVER, HERON, ON_THE_GROUND, "18 s", WIDE),
    (Stop.PACK_EMPTY, BARE, HOLD, "30 min", ""),
]


@pytest.mark.parametrize(
    ("stop", "craft", "text", "duration", "limits"), ENDS, ids=[end[0].name for end in ENDS]
)
def test_a_flight_ends_as_told(repository, in_folder, capsys, stop, craft, text, duration, limits):
    """The end in words, the exit status, and a time before the flight's own unless it succeeds."""
    scenario = f"name: An end\n{text}\nduration: {duration}\nlimits: {{{limits}}}\n"
    (in_folder / "s.yaml").write_text(scenario)
    file = str(repository / "airframes" / f"{craft}.yaml")
    status = entry.run(["fly", file, "--scenario", "s.yaml", "--format", "json"])
    told = json.loads(capsys.readouterr().out)
    assert told["outcome"].startswith(STOP_WORDS[stop])
    assert status == (0 if stop in {Stop.TIME, Stop.LANDED} else 1)


def test_every_end_is_reached():
    """All but a flight that goes on and one that left the numbers; see `windlimit` for that."""
    assert {end[0] for end in ENDS} == set(Stop) - {Stop.NONE, Stop.NOT_FINITE}
