"""A whole spread: the same on any number of processes, and it finds what was planted."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sim.analysis.craft_pool import computed
from sim.analysis.headline import Headline, Outcome, gates_of
from sim.analysis.measurement_value import WRONG_ENOUGH
from sim.analysis.sampled_craft import headline, surroundings
from sim.analysis.spread import LEAST_CRAFTS, _computed, spread
from sim.analysis.spread_sample import normal_scores
from sim.analysis.spread_summary import Sampled, limiting_gate, summarised
from sim.analysis.wind_limit import Effort
from sim.errors import InputFaults
from sim.spec import craft_from_bytes, load_craft, load_scenario
from sim.spec.unsure import unsure_figures, with_figures

CRAFTS = 32


@pytest.fixture(scope="module")
def scenario(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml")


@pytest.fixture(scope="module")
def bare(repository):
    return load_craft(repository / "airframes" / "bare_bicopter.yaml")


@pytest.fixture(scope="module")
def answer(bare, scenario):
    return spread(bare, scenario, crafts=CRAFTS, guard=False)


def changed(repository, *changes):
    """Give the bare craft with pieces of its file replaced."""
    text = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return craft_from_bytes(text.encode(), "changed.yaml")


def numbers(headlines):
    return [dataclasses.astuple(one)[1:-1] for one in headlines]


def test_two_processes_and_another_order_give_the_same(bare, scenario, answer):
    """Every craft is its own: process and order leave no mark beyond the last digits."""
    around = surroundings(bare.spec, scenario.spec)
    crafts = [with_figures(bare.spec, answer.unsure, row) for row in answer.values[:6]]
    shared = computed(around, _computed, crafts, workers=2)
    backwards = computed(around, _computed, crafts[::-1], workers=1)[::-1]
    alone = numbers(answer.headlines[:6])
    for found in (shared, backwards):
        assert np.array(numbers(found), dtype=float) == pytest.approx(
            np.array(alone, dtype=float), rel=1e-9
        )


def test_fewer_crafts_are_the_first_of_more(bare, scenario, answer):
    told = []
    fewer = spread(
        bare, scenario, crafts=LEAST_CRAFTS, guard=False, progress=lambda *a: told.append(a)
    )
    assert fewer.headlines == answer.headlines[:LEAST_CRAFTS]
    counted = [(words, share) for words, share in told if share is not None]
    shares = [(k + 1) / LEAST_CRAFTS for k in range(LEAST_CRAFTS)]
    assert [share for _, share in counted] == pytest.approx(shares)
    assert counted[4][0] == f"5 of {LEAST_CRAFTS} computed"


def test_the_middle_of_the_crafts_is_near_the_craft_as_written(answer):
    by_key = {entry.figure.key: entry for entry in answer.distributions}
    for key in ("thrust_to_weight", "hover_throttle", "endurance_s"):
        entry = by_key[key]
        assert entry.low < entry.as_written < entry.high
        assert entry.median == pytest.approx(entry.as_written, rel=0.03)


def test_thrust_to_weight_varies_as_its_inputs_say(answer):
    """Of the bare craft only power is unsure: 10 % of thrust, 3 % of speed constant, and less."""
    entry = next(e for e in answer.distributions if e.figure.key == "thrust_to_weight")
    half_width = (entry.high - entry.low) / 2.0 / 1.645
    assert 0.05 < half_width / entry.median < 0.08
    mass = next(e for e in answer.distributions if e.figure.key == "whole_mass_kg")
    assert mass.low == mass.high


def test_a_planted_unknown_is_found_first(repository, scenario):
    """The motors' resistance made unsure by 80 %, all else by little: it moves thrust most."""
    planted = changed(
        repository,
        (
            "resistance: {value: 75 mohm, plus_minus: 10 mohm}",
            "resistance: {value: 75 mohm, plus_minus: 60 mohm}",
        ),
        (
            "mass: 12 g}",
            "mass: 12 g, thrust_factor: {value: 1, plus_minus: 1 %},"
            " torque_factor: {value: 1, plus_minus: 1 %}}",
        ),
        ("resistance: {value: 12 mohm, plus_minus: 4 mohm}", "resistance: 12 mohm"),
    )
    found = spread(planted, scenario, crafts=32, guard=False)
    ratio = next(e for e in found.importance if e.figure.key == "thrust_to_weight")
    assert ratio.r_squared > 0.95
    figure, indices = ratio.told[0]
    assert figure.name == "both rotors: motor resistance"
    assert indices.total_lower > 0.5
    assert all(other.total_upper < indices.total_lower for _, other in ratio.told[1:])


def test_what_cannot_matter_is_not_told(answer):
    """Electric figures have no part in mass or height, which do not even vary."""
    entries = {entry.figure.key: entry for entry in answer.importance}
    assert entries["rotors_above_centre_m"].told == ()
    assert entries["rotors_above_centre_m"].why_not == "it does not vary"
    told = {figure.name for figure, _ in entries["thrust_to_weight"].told}
    assert "both rotors: propeller thrust factor" in told


def test_a_craft_on_the_edge_is_told_what_to_measure(repository, scenario):
    """A pack so heavy that thrust just suffices: the thrust factor decides, and it is said."""
    heavy = changed(repository, ("mass: 320 g", "mass: 1.42 kg"))
    found = spread(heavy, scenario, crafts=CRAFTS, guard=False)
    assert 0 < found.all_gates.passes < CRAFTS
    assert not found.passes
    best = found.measurements[0]
    assert best.wrong_before > WRONG_ENOUGH
    assert best.figure.name == "both rotors: propeller thrust factor"
    assert best.wrong_after < 0.7 * best.wrong_before
    assert found.limiting is not None
    assert found.limiting.key == "usable_thrust_to_weight"


def test_figures_that_most_crafts_lack_do_not_limit(bare, scenario):
    gates = gates_of(bare.spec, scenario.spec)
    crafts = [Headline(Outcome.UNSTABLE, usable_thrust_to_weight=1.5 + 0.01 * k) for k in range(20)]
    assert limiting_gate(gates, crafts).key == "lift"
    assert limiting_gate(gates, [Headline(Outcome.NO_BODY)] * 20) is None


def test_too_few_crafts_are_not_called_steady(answer, bare, scenario):
    """Sixteen crafts bear no plane of more unknowns than they tell apart, and that is said."""
    scores = normal_scores(16, 9, 1)
    few = Sampled(
        bare,
        scenario,
        answer.unsure,
        1,
        scores,
        answer.values[:16],
        answer.as_written,
        answer.headlines[:16],
    )
    found = summarised(few, gates_of(bare.spec, scenario.spec), began_s=0.0)
    why = {entry.figure.key: entry.why_not for entry in found.importance}
    assert why["thrust_to_weight"] == "too few crafts for so many unknowns"
    assert why["whole_mass_kg"] == "it does not vary"


def test_a_craft_without_any_spread_is_refused(bare, scenario):
    unsure = unsure_figures(bare.spec)
    sure = with_figures(bare.spec, unsure, [figure.value for figure in unsure])
    with pytest.raises(InputFaults, match="plus_minus"):
        spread(dataclasses.replace(bare, spec=sure), scenario)


def test_too_few_crafts_are_refused(bare, scenario):
    with pytest.raises(ValueError, match="at least 16"):
        spread(bare, scenario, crafts=LEAST_CRAFTS - 1)


def test_every_craft_may_be_flown_to_its_own_wind_limit(repository, bare):
    """The limit becomes a figure and a gate; each craft meets the gusts of its own study."""
    short = load_scenario(repository / "tests" / "demo" / "short_breeze.yaml")
    effort = Effort(flights=1, most_flights=1, step_m_s=4.0)
    found = spread(
        bare, short, crafts=LEAST_CRAFTS, guard=False, flies=True, effort=effort, workers=1
    )
    limits = [one.wind_limit_m_s for one in found.headlines]
    assert all(limit is not None and limit % effort.step_m_s == 0.0 for limit in limits)
    assert len(set(limits)) > 1
    (wind,) = [chance for chance in found.chances if chance.gate.key == "wind"]
    assert wind.passes == sum(limit >= short.spec.wind.mean_m_s for limit in limits)
    assert "wind_limit_m_s" in [one.figure.key for one in found.distributions]
    weakest = int(np.argmin(limits))
    craft = with_figures(bare.spec, found.unsure, found.values[weakest])
    again = headline(surroundings(bare.spec, short.spec), craft, effort=effort)
    assert again.wind_limit_m_s == limits[weakest]
