"""Distributions and chances: a craft without a figure counts at the bad end and as failing."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest

from sim.analysis.distribution import distribution, gate_chance
from sim.analysis.headline import (
    STABLE,
    Gate,
    Headline,
    Outcome,
    figure_named,
    gates_of,
)
from sim.spec import load_craft, load_scenario

PHASE = figure_named("phase_margin_rad")
THROTTLE = figure_named("hover_throttle")


def headlines(count, missing):
    """Give crafts with 1, 2, ... count hundredths, the first of them without any."""
    lost = Headline(Outcome.NO_HOVER)
    return [
        lost
        if k < missing
        else Headline(Outcome.HOVERS, phase_margin_rad=k / 100.0, hover_throttle=k / 100.0)
        for k in range(1, count + 1)
    ]


def test_order_statistics_of_a_hundred_crafts():
    found = distribution(PHASE, Headline(Outcome.HOVERS), headlines(100, 0))
    assert (found.low, found.median, found.high) == (0.05, 0.5, 0.95)
    assert (found.as_written, found.missing) == (None, 0)


def test_what_is_missing_is_at_the_bad_end():
    """Seven of a hundred do not hover: the worst twentieth has no phase margin, nor throttle."""
    some = headlines(100, 8)
    margins, throttles = (
        distribution(figure, Headline(Outcome.HOVERS), some) for figure in (PHASE, THROTTLE)
    )
    assert (margins.low, margins.median, margins.high, margins.missing) == (None, 0.5, 0.95, 7)
    assert throttles.high is None
    assert throttles.low == pytest.approx(0.12)
    assert throttles.median == pytest.approx(0.57)


@pytest.mark.parametrize(("count", "missing", "limit"), [(100, 8, 0.2), (64, 0, 0.005), (59, 0, 9)])
def test_chances_are_those_of_clopper_and_pearson(count, missing, limit):
    some = headlines(count, missing)
    found = gate_chance((Gate("phase", "phase margin", PHASE, limit),), some[-1], some)
    passing = sum(k / 100.0 >= limit and k >= missing for k in range(1, count + 1))
    bounds = binomtest(passing, count).proportion_ci(0.95, method="exact")
    assert (found.passes, found.crafts) == (passing, count)
    assert found.share == passing / count
    assert (found.lower, found.upper) == pytest.approx((bounds.low, bounds.high), abs=1e-9)


def test_an_unstable_craft_fails_whatever_its_figures():
    unstable = Headline(Outcome.UNSTABLE, thrust_to_weight=3.0)
    assert not STABLE.passes(unstable)
    assert not Gate("phase", "phase margin", PHASE, 0.0).passes(unstable)
    assert STABLE.passes(Headline(Outcome.HOVERS))


def test_less_is_better_for_some():
    gate = Gate("current", "current", figure_named("pack_current_share"), 1.0)
    assert gate.passes(Headline(Outcome.HOVERS, pack_current_share=0.9))
    assert not gate.passes(Headline(Outcome.HOVERS, pack_current_share=1.1))
    assert gate.left(Headline(Outcome.HOVERS, pack_current_share=0.9)) == pytest.approx(0.1)


def test_gates_are_those_of_craft_and_scenario(repository):
    scenario = load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec
    keys = {
        name: [gate.key for gate in gates_of(load_craft(file).spec, scenario)]
        for name in ("jellyfish_bicopter", "bare_bicopter", "heron_tricopter")
        for file in [repository / "airframes" / f"{name}.yaml"]
    }
    rest = ["current", "stable", "gain", "phase", "static_wind"]
    assert keys["jellyfish_bicopter"] == ["lift", "lever", "head", *rest]
    assert keys["bare_bicopter"] == ["lift", "lever", *rest]
    assert keys["heron_tricopter"] == ["lift", "head", *rest]
