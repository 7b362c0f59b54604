"""The round past the guests: practised people bring the lantern back, unskilled ones stray."""

from dataclasses import replace
from pathlib import Path

import pytest

from sim.analysis.fly_task import fly_task
from sim.params.tally_record import Stop
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def flown():
    """Give the round by pilot: stand, take off, go out, turn, pass by, come back, land."""
    craft = load_craft(ROOT / "airframes/jellyfish_tricopter.yaml")
    loaded = load_scenario(ROOT / "scenarios/lantern_round.yaml")
    by_pilot = {}
    for pilot in ("practised", "unskilled", "position_hold"):
        limits = loaded.spec.limits.model_copy(update={"drift_m": 20.0})
        spec = loaded.spec.model_copy(update={"pilot": pilot, "limits": limits})
        by_pilot[pilot] = fly_task(craft, replace(loaded, spec=spec))
    return by_pilot


def test_the_round_ends_on_the_ground_near_its_start(flown):
    for task in flown.values():
        assert task.flight.stop is Stop.LANDED
        place = task.flight.state[0].body.position_m
        assert abs(float(place[0])) < 2.0
        assert abs(float(place[1])) < 2.0
        assert float(task.flight.tally.hardest_touchdown_m_s) < 1.0


def test_the_craft_goes_where_the_task_says(flown):
    north, east = (flown["position_hold"].flight.channel(name) for name in ("north", "east"))
    assert north.max() > 4.5
    assert east.max() > 5.0


def test_skill_shows(flown):
    """The unskilled person's craft strays farther from where it should be."""
    away = {pilot: float(task.flight.tally.most_drift_m) for pilot, task in flown.items()}
    assert away["unskilled"] > away["practised"]
