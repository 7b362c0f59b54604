"""What a better part would buy, as `tune` foretells it, against tuning a craft that has it."""

from __future__ import annotations

import pytest

from sim.analysis.required_margins import required_margins
from sim.analysis.tune_crafts import tuned_crafts
from sim.analysis.tune_limits import bought, improvements
from sim.analysis.tune_search import SHORT_WEIGHT, Search, margin_cost
from sim.analysis.tune_sharpen import Aim
from sim.spec import load_scenario
from sim.spec.files import craft_from_bytes

SERVOS = "tilt servos 20 % faster"
# Servos so slow that they limit what can be had.
SLOW = (("slew: 0.09 s/60deg", "slew: 0.24 s/60deg"), ("12 Hz", "3 Hz"))
FASTER = (("slew: 0.24 s/60deg", "slew: 0.20 s/60deg"), ("3 Hz", "3.6 Hz"))


def edited(text, changes):
    for old, new in changes:
        assert text.count(old) == 1
        text = text.replace(old, new)
    return text


@pytest.fixture(scope="module")
def day(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec


@pytest.fixture(scope="module")
def text(repository):
    return edited((repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8"), SLOW)


@pytest.fixture(scope="module")
def begun(text, day):
    """Give the craft, what it is judged on, and gains to begin with."""
    craft = craft_from_bytes(text.encode(), "bare.yaml").spec
    crafts = tuned_crafts(craft, day, 0)
    return craft, crafts, crafts.space.usual(crafts.space.point(crafts.packed.record))[1]


@pytest.fixture(scope="module")
def foretold(begun, day):
    """Give the joint disk margin after each improvement over that of none, by its words."""
    craft, crafts, point = begun
    required = required_margins(day.limits)
    every = improvements(craft, crafts.packed)
    parts = [every[0], next(one for one in every if one[0] == SERVOS)]
    found = bought(craft, crafts, day, point, required, seed=1, threads=1, told=str, parts=parts)
    return {one.what: one.retuned.disk for one in found}


def tuned_disk(text, day, most_m):
    """Tune a craft file from gains of its own: the largest margin at no more drift."""
    crafts = tuned_crafts(craft_from_bytes(text.encode(), "changed.yaml").spec, day, 0)
    required = required_margins(day.limits)

    def cost(figures):
        far = max(figures.gust_m / most_m - 1.0, 0.0) if figures.stable else 0.0
        return margin_cost(figures, required) + SHORT_WEIGHT * far

    search = Search(crafts.judge, required, told=str, profiles=crafts.profiles)
    rule = crafts.space.point(crafts.packed.record)
    start = search.look(crafts.space.usual(rule)[1])
    return search.sharpen(cost, Aim(most_gust_m=most_m), start, 5, 8).figures.disk


def test_a_craft_with_faster_servos_gains_what_was_foretold(text, day, begun, foretold):
    """Sign and size: within a quarter of the gain.

    The other craft is read, packed, trimmed and tuned by itself, in a box of its own.
    """
    _, crafts, point = begun
    most_m = crafts.nominal(point).gust_m
    before = tuned_disk(text, day, most_m)
    after = tuned_disk(edited(text, FASTER), day, most_m)
    assert foretold["nothing changed"] == pytest.approx(before, rel=0.01)
    told = foretold[SERVOS] / foretold["nothing changed"] - 1.0
    found = after / before - 1.0
    assert told > 0.02
    assert found == pytest.approx(told, rel=0.25)
