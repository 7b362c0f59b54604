"""Margins along conditions: which conditions there are, which is the worst, what is not known."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from sim.analysis.check import check_craft
from sim.analysis.condition import STILL_SWING_M_S
from sim.analysis.excited_swing import excited_swing_m_s, swing_speeds_m_s
from sim.analysis.margin_conditions import (
    SIDES_RAD,
    other_fabric,
    still_condition,
    wind_speeds_m_s,
)
from sim.analysis.margin_study import MarginCase, margin_study
from sim.analysis.wind_heights import gust_over_mean, height_ratio
from sim.flight.results import Flight
from sim.report.condition_words import condition_words, side_words
from sim.report.margins_content import margins_tables, margins_verdict
from sim.report.section import Standing
from sim.spec import craft_from_bytes, load_craft, load_scenario


@pytest.fixture(scope="module")
def breeze(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml")


@pytest.fixture(scope="module")
def study(repository, breeze):
    return margin_study(load_craft(repository / "airframes" / "bare_bicopter.yaml"), breeze)


def test_every_wind_from_every_side_a_used_pack_and_the_ground(study, breeze):
    mean = breeze.spec.wind.mean_m_s * height_ratio(breeze.spec)
    speeds = wind_speeds_m_s(breeze.spec)
    assert speeds == pytest.approx((0.5 * mean, mean, mean * gust_over_mean(breeze.spec)))
    conditions = [case.condition for case in study.cases]
    windy = {(c.wind_m_s, c.from_rad) for c in conditions if c.wind_m_s > 0.0 and c.charge == 1.0}
    assert windy == {(speed, side) for speed in speeds for side in SIDES_RAD}
    assert study.still.condition == still_condition(study.craft.spec, breeze.spec)
    reserve = study.craft.spec.battery.reserve
    assert {c.wind_m_s > 0.0 for c in conditions if c.charge == reserve} == {False, True}
    assert min(c.height_m for c in conditions) < 1.0
    assert {c.fabric for c in conditions} == {"none"}


def test_the_headline_is_the_worst_of_all_and_named(study):
    worst = study.worst
    assert worst.shortfall == max(case.shortfall for case in study.cases)
    assert condition_words(worst.condition) in margins_verdict(study)
    assert margins_verdict(study).lower().startswith(worst.found.worst_axis)
    assert study.passes == (worst.shortfall <= 1.0)
    table = margins_tables(study)[0]
    assert len(table.rows) == len(study.cases)


def test_a_condition_without_margins_is_said_and_does_not_pass(study):
    unknown = MarginCase(study.cases[3].condition, None, "it does not hold its place")
    lacking = dataclasses.replace(study, cases=(*study.cases[:3], unknown))
    assert not lacking.passes
    assert lacking.unknown == (unknown,)
    assert "in 1 of 4 conditions no margins were found" in margins_verdict(lacking)
    assert margins_tables(lacking)[0].rows[-1].standing is Standing.UNKNOWN
    assert math.isnan(unknown.shortfall)


def test_wind_wet_fabric_and_a_used_pack_for_a_craft_with_fabric(repository, breeze):
    """All of it for the jellyfish at one breeze: everything is found, wet fabric counts."""
    still = load_scenario(repository / "scenarios" / "still_air.yaml")
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml")
    calm = margin_study(craft, still)
    assert {case.condition.fabric for case in calm.cases} == {"dry", "wet"}
    assert all(case.found is not None and case.found.stable for case in calm.cases)
    assert all(case.condition.wind_m_s == 0.0 for case in calm.cases)


def test_wind_excites_a_swing(hover, breeze):
    """More wind, more swing; without fabric, and in no wind at all, the swing that is assumed."""
    case = hover("jellyfish_bicopter")
    still = still_condition(case.spec, breeze.spec)
    swings = [
        excited_swing_m_s(
            case.packed, breeze.spec, dataclasses.replace(still, wind_m_s=wind), case.trim.state
        )
        for wind in (1.0, 3.0)
    ]
    assert STILL_SWING_M_S <= swings[0] < swings[1] < 3.0
    bare = hover("bare_bicopter")
    blown = dataclasses.replace(still, wind_m_s=3.0)
    assert excited_swing_m_s(bare.packed, breeze.spec, blown, bare.trim.state) == STILL_SWING_M_S


def test_swing_speeds_of_a_swing_that_is_known(hover):
    """One particle swings with 0.3 m/s of amplitude about a craft that drifts with 1 m/s."""
    time = np.arange(0.0, 10.0, 0.02)
    history = np.zeros((len(time), 60))
    history[:, 0], history[:, 1], history[:, 3] = time, 1.0 * time, 2.0
    fabric = np.zeros((len(time), 1, 3))
    fabric[:, 0, 0] = 1.0 * time + 0.3 / 4.0 * np.sin(4.0 * time)
    fabric[:, 0, 2] = -1.5
    speeds = swing_speeds_m_s(Flight(history, fabric, None, None))
    assert speeds.shape == fabric.shape
    assert speeds[5:-5, 0, 0] == pytest.approx(0.3 * np.cos(4.0 * time[5:-5]), abs=1e-3)
    assert np.abs(speeds[:, 0, 1:]).max() < 1e-12


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (0.0, "ahead"),
        (45.0, "ahead right"),
        (90.0, "the right"),
        (-90.0, "the left"),
        (180.0, "behind"),
        (100.0, "100 degrees right of ahead"),
        (-100.0, "100 degrees left of ahead"),
    ],
)
def test_sides_in_words(degrees, words):
    assert side_words(math.radians(degrees)) == words


def test_a_check_of_soaked_fabric_calls_it_wet(repository, breeze, monkeypatch):
    """A file with `wet: yes`: margins are those of wet fabric, the other state is dry."""
    file = repository / "airframes" / "jellyfish_bicopter.yaml"
    text = file.read_text(encoding="utf-8").replace(
        "    areal_density:", "    wet: yes\n    areal_density:"
    )
    craft = craft_from_bytes(text.encode(), "soaked.yaml")
    assert craft.spec.drapes[0].fabric.wet

    class Seen(Exception):
        """What is asked for, without the time to find it."""

    def asked(_craft, _scenario, packed, found):
        raise Seen(found.condition.fabric)

    monkeypatch.setattr("sim.analysis.check.cases_beside", asked)
    with pytest.raises(Seen, match="wet"):
        check_craft(craft, breeze)
    assert other_fabric(craft.spec) == "dry"
