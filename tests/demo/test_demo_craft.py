"""Every demonstration craft gets the answer it was made for, from a real check.

What a craft is for stands in `airframes/README.md`; the four that must fail say why in one
sentence. The scenarios are those of this folder, shorter than what `gustworthy check` flies.
"""

from __future__ import annotations

import re
from functools import cache

import pytest

from sim.analysis.check import check_craft, fly_scenario
from sim.analysis.trim import find_trim
from sim.flight.results import GOOD_ENDS
from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft
from sim.pack.flight import day_air, pack_flight, plain_flight
from sim.params.tally_record import Stop
from sim.spec import load_craft, load_scenario

GRAVITY = 9.80665
GOOD_CRAFT = ("bare_bicopter", "jellyfish_bicopter", "jellyfish_tricopter", "heron_tricopter")


@pytest.fixture(scope="session")
def checked(repository):
    """Give a function from the name of a shipped craft to its check in the short breeze."""
    breeze = load_scenario(repository / "tests" / "demo" / "short_breeze.yaml")

    @cache
    def of(name):
        return check_craft(load_craft(repository / "airframes" / f"{name}.yaml"), breeze)

    return of


def newtons_in(sentence):
    """Give the numbers of a sentence that stand before N."""
    return [float(number) for number in re.findall(r"([\d.]+) N\b", sentence)]


@pytest.mark.parametrize("name", GOOD_CRAFT)
def test_a_good_craft_lifts_stays_upright_and_stands_the_breeze(checked, name):
    result = checked(name)
    assert result.lift.can_lift
    assert result.stability.stable
    assert result.stability.passes
    assert not result.head.authority_gone
    assert result.wind.limit_forecast_m_s >= 3.0
    assert result.wind.not_finite == 0
    assert result.flight.stop in GOOD_ENDS
    assert result.passes
    assert result.verdict.startswith("fit to fly")


def test_too_heavy_says_in_newtons_why_it_cannot_lift(checked):
    """The weight it names is that of its parts: mass times 9.80665 m/s2."""
    result = checked("jellyfish_too_heavy")
    assert not result.passes
    assert not result.lift.can_lift
    assert "cannot lift" in result.verdict
    numbers = newtons_in(result.verdict)
    mass = mass_properties(result.craft.spec, with_drape=True).mass_kg
    assert any(number == pytest.approx(mass * GRAVITY, abs=0.06) for number in numbers)
    assert min(numbers) < mass * GRAVITY
    assert result.wind is None


def test_head_too_high_says_that_pitch_is_gone_or_reversed(checked):
    result = checked("jellyfish_head_too_high")
    assert not result.passes
    assert result.lift.can_lift
    assert re.search(r"pitch control is reversed|pitch authority is gone", result.verdict)
    assert result.head.authority_gone
    assert result.head.rotors_above_centre_without_head_m > result.head.rotors_above_centre_m
    assert not result.stability.stable


def test_unstable_gains_are_called_unstable_and_the_flight_does_not_last(checked):
    result = checked("jellyfish_unstable_gains")
    assert not result.passes
    assert result.lift.can_lift
    assert not result.head.authority_gone
    assert not result.stability.stable
    assert "unstable" in result.verdict
    assert result.flight.stop not in GOOD_ENDS
    assert float(result.flight.tally.stop_s) < result.scenario.spec.duration_s


@pytest.mark.slow
def test_little_wind_fails_at_the_fourth_question_only(repository):
    """With the scenario that `gustworthy check` flies, since the wind is all that it fails in."""
    craft = load_craft(repository / "airframes" / "jellyfish_little_wind.yaml")
    result = check_craft(craft, load_scenario(repository / "scenarios" / "lake_breeze.yaml"))
    assert result.lift.can_lift
    assert result.stability.passes
    assert not result.head.authority_gone
    assert not result.passes
    limit, asked = result.wind.limit_forecast_m_s, result.scenario.spec.wind.mean_m_s
    assert limit is None or limit < asked
    assert "wind" in result.verdict or "still air" in result.verdict


@pytest.mark.parametrize("mean_m_s", [0.0, 2.0])
def test_the_bare_craft_hovers_hands_off_for_a_minute(repository, mean_m_s):
    """It stays within its tilt limit and above the ground, with noise, play and gusts; where it
    drifts to is the wind's business.
    """
    craft = load_craft(repository / "airframes" / "bare_bicopter.yaml")
    scenario = load_scenario(repository / "tests" / "demo" / "hands_off.yaml").spec
    wind = scenario.wind.model_copy(update={"mean_m_s": mean_m_s})
    scenario = scenario.model_copy(update={"wind": wind})
    packed = pack_craft(craft.spec, day_air(scenario))
    flight = plain_flight(packed.air, height_m=2.0)[0]
    start = find_trim(packed.record, flight, charge=packed.charge).state
    flown = fly_scenario(packed, scenario, start)
    record = pack_flight(scenario, packed.air)[0]
    assert record.holds_position == 0
    assert (record.turbulence_ticks > 0) == (mean_m_s > 0.0)
    assert flown.stop == Stop.TIME
    assert float(flown.tally.stop_s) == pytest.approx(60.0)
    assert float(flown.tally.most_tilt_rad) < scenario.limits.tilt_rad
    height = flown.channel("height")
    assert height.min() > 1.5
    assert height.max() < 2.5
    if mean_m_s > 0.0:
        assert flown.channel("east")[-1] > 10.0
