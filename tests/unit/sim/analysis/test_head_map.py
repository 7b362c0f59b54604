"""The map of heads: gates that only fall with mass, borders that are exact, cells that stand alone.

The jellyfish without its skirt, in flights of three seconds, so that a map takes seconds.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.analysis.head import LEAST_THRUST_TO_WEIGHT, pivots_above_centre_m
from sim.analysis.head_advice import MOVES, foretold_move_m
from sim.analysis.head_change import with_head
from sim.analysis.head_ends import authority_end_kg, lift_end_kg
from sim.analysis.head_gates import (
    GATES,
    authority_left,
    gate_figures,
    head_study,
    lift_ratio,
    most_failures,
)
from sim.analysis.head_map import HeadRange, head_map, map_nodes
from sim.analysis.pitch_zero import pitch_zero
from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.report.head_words import head_findings, head_verdict
from sim.spec import load_craft, load_scenario
from sim.spec.variants import without_fabric


@pytest.fixture(scope="module")
def breeze(repository):
    loaded = load_scenario(repository / "tests" / "demo" / "short_breeze.yaml")
    limits = loaded.spec.limits.model_copy(update={"success": 0.5, "confidence": 0.8})
    spec = loaded.spec.model_copy(update={"duration_s": 3.0, "limits": limits})
    return dataclasses.replace(loaded, spec=spec)


@pytest.fixture(scope="module")
def jellyfish(repository):
    loaded = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml")
    return dataclasses.replace(loaded, spec=without_fabric(loaded.spec))


@pytest.fixture(scope="module")
def study(jellyfish, breeze):
    return head_study(jellyfish.spec, breeze.spec)


@pytest.fixture(scope="module")
def answer(jellyfish, breeze):
    return head_map(
        jellyfish, breeze, HeadRange(masses_kg=(0.2, 2.0), columns=4, rows=2, heights_m=(0.05, 0.3))
    )


@given(mass_kg=st.floats(0.01, 3.0), more_kg=st.floats(0.001, 1.0), up_m=st.floats(-0.4, 0.6))
def test_more_head_mass_never_raises_lift(study, mass_kg, more_kg, up_m):
    def lift(mass):
        whole = mass_properties(with_head(study.craft, mass, up_m), with_drape=True)
        return lift_ratio(study, whole)

    assert lift(mass_kg + more_kg) < lift(mass_kg)


@given(mass_kg=st.floats(0.01, 3.0), up_m=st.floats(0.1, 0.6), higher_m=st.floats(0.01, 0.3))
def test_a_higher_head_never_gives_two_rotors_more_authority(study, mass_kg, up_m, higher_m):
    def left(up):
        craft = with_head(study.craft, mass_kg, up)
        return authority_left(study, craft, mass_properties(craft, with_drape=True))

    assert left(up_m + higher_m) < left(up_m)


def test_lift_gives_out_where_the_weight_says(study):
    """m = T / (1.2 g (1 + d)) less everything else."""
    head = study.craft.head
    rest = mass_properties(study.craft).mass_kg - head.mass_kg.value
    most = float(study.usable_n.sum()) / (
        LEAST_THRUST_TO_WEIGHT * STANDARD_GRAVITY_M_S2 * (1.0 + study.download_share)
    )
    assert lift_end_kg(study, 0.2) == pytest.approx(most - rest, abs=2e-4)


def test_the_line_on_the_map_is_the_border(answer, study):
    """Searched from the end at the height before, or from nothing: the same."""
    lines = answer.borders
    for up, end in zip(lines.up_m[::5], lines.authority_kg[::5], strict=True):
        alone = authority_end_kg(study, float(up))
        assert math.isnan(end) if alone is None else end == pytest.approx(alone, abs=3e-4)
    assert np.isfinite(lines.authority_kg).sum() > 8


@pytest.mark.parametrize("up_m", [0.1, 0.2, 0.4])
def test_authority_gives_out_at_the_border(study, up_m):
    """Just below the border something is left, just above it nothing."""
    end = authority_end_kg(study, up_m)
    for mass, sign in ((0.999 * end, 1.0), (1.001 * end, -1.0)):
        craft = with_head(study.craft, mass, up_m)
        left = authority_left(study, craft, mass_properties(craft, with_drape=True))
        assert math.copysign(1.0, left) == sign


def test_each_cell_is_what_a_separate_evaluation_gives(answer, jellyfish, breeze):
    """A new study of the same craft, one craft at a time on this thread: equal to the last bit."""
    again = head_study(jellyfish.spec, breeze.spec)
    for height, row in zip(answer.heights_m, answer.figures, strict=True):
        for mass, figures in zip(answer.masses_kg, row, strict=True):
            assert gate_figures(again, with_head(jellyfish.spec, mass, height)) == figures


def test_the_map_has_passing_and_failing_heads_and_names_the_first_gate(answer):
    failed = [figures.failed for row in answer.figures for figures in row]
    assert failed.count(None) >= 2
    assert {"authority", "lift"} & set(failed)
    for row in answer.figures:
        for figures in row:
            passed = [figures.passed(gate) for gate in GATES]
            assert figures.failed == next(
                (gate for gate, good in zip(GATES, passed, strict=True) if not good), None
            )


def test_the_present_head_is_in_the_map_of_its_own_accord(study):
    masses, heights = map_nodes(study, HeadRange())
    head = study.craft.head
    assert head.mass_kg.value in masses
    assert head.place.up_m.value in heights
    assert len(masses) == 7
    assert len(heights) == 5
    assert all(np.diff(masses) > 0.0)
    assert all(np.diff(heights) > 0.0)


@pytest.mark.parametrize("columns", [2, 3, 7])
def test_the_map_begins_with_a_lighter_head_than_the_present_one(study, columns):
    masses, _ = map_nodes(study, HeadRange(columns=columns, rows=1))
    present = study.craft.head.mass_kg.value
    assert len(masses) == columns
    assert masses[0] < present < masses[-1]
    assert columns == 2 or present in masses


def test_the_heaviest_head_passes_and_a_heavier_one_fails_where_it_says(answer, study):
    heaviest = gate_figures(study, with_head(study.craft, answer.heaviest_kg, answer.up_m))
    assert heaviest.passes
    assert heaviest == answer.heaviest
    beyond = gate_figures(study, with_head(study.craft, 1.03 * answer.heaviest_kg, answer.up_m))
    assert not beyond.passes
    ends = {end.gate: end.mass_kg for end in answer.ends}
    assert ends["lift"] == pytest.approx(lift_end_kg(study, answer.up_m), abs=1e-3)
    assert ends["authority"] == pytest.approx(authority_end_kg(study, answer.up_m), abs=1e-3)
    assert answer.heaviest_kg <= min(ends["lift"], ends["authority"])
    assert ends[answer.gives_out] == pytest.approx(answer.heaviest_kg, rel=0.006)


def test_advice_was_run_and_passes(answer, study):
    """Each found move, made on the craft with that head, passes all gates when run once more."""
    advice = answer.advice
    assert advice is not None
    assert not advice.before.passes
    craft = with_head(study.craft, advice.mass_kg, advice.up_m)
    assert gate_figures(study, craft) == advice.before
    found = 0
    for remedy, (move, change) in zip(advice.remedies, MOVES, strict=True):
        assert remedy.move == move
        if remedy.found_m is None:
            assert remedy.figures is None or not remedy.figures.passes
            continue
        found += 1
        assert gate_figures(study, change(craft, remedy.found_m)) == remedy.figures
        assert remedy.figures.passes
    assert found >= 1


@pytest.mark.parametrize("number", [0, 1])
def test_the_foretold_move_restores_authority(study, number):
    """Lower the pack, raise the rotors: the lever is linear in them, but for its spread."""
    craft = with_head(study.craft, 1.1, 0.3)
    change = MOVES[number][1]
    move = foretold_move_m(study, craft, change, 0.0)
    changed = change(craft, move)
    left = authority_left(study, changed, mass_properties(changed, with_drape=True))
    assert move > 0.005
    assert left == pytest.approx(0.0, abs=5e-4)


def test_spreading_two_rotors_does_not_raise_them(study):
    assert foretold_move_m(study, with_head(study.craft, 1.1, 0.3), MOVES[2][1], 0.0) is None


def test_three_rotors_need_room_for_the_busiest(repository, breeze):
    """Moments about the CG share the weight; a head far ahead unloads the tail and fails."""
    craft = load_craft(repository / "airframes" / "heron_tricopter.yaml").spec
    heron = head_study(craft, breeze.spec)
    mass = mass_properties(craft)
    ahead = np.array([r.place.body_m[0] for r in craft.rotors]) - mass.centre_m[0]
    tail = float(ahead[0] / (ahead[0] - ahead[2]))
    share = np.array([0.5 * (1.0 - tail), 0.5 * (1.0 - tail), tail])
    weight = mass.mass_kg * STANDARD_GRAVITY_M_S2 * (1.0 + heron.download_share)
    room = float(np.min(heron.usable_n / (weight * share)))
    assert authority_left(heron, craft, mass) == pytest.approx(room - 1.2, abs=2e-3)
    heavy = with_head(craft, 1.5, craft.head.place.up_m.value)
    assert authority_left(heron, heavy, mass_properties(heavy)) < 0.0


def test_a_gate_that_fails_spares_the_later_ones(study):
    heavy = gate_figures(study, with_head(study.craft, 5.0, 0.2))
    assert heavy.failed == "lift"
    assert heavy.passed("margins") is None
    assert heavy.passed("wind") is None
    assert heavy.flights == 0


def test_flying_stops_when_it_is_decided(study):
    """A gale that nothing stands: the first few flights fail, the rest are not flown."""
    wind = study.scenario.wind.model_copy(update={"mean_m_s": 25.0})
    limits = study.scenario.limits.model_copy(update={"success": 0.9, "confidence": 0.95})
    scenario = study.scenario.model_copy(update={"wind": wind, "limits": limits})
    figures = gate_figures(
        dataclasses.replace(study, scenario=scenario, flights=38, failures_allowed=0), study.craft
    )
    assert figures.failed == "wind"
    assert 0 < figures.flights < 38
    assert figures.sure is None
    assert figures.cause


@settings(max_examples=30)
@given(flights=st.integers(1, 200), success=st.floats(0.2, 0.97))
def test_failures_that_may_be(flights, success):
    """The binomial tail of so many failures is within the risk; of one more it is not."""

    def tail(failures):
        return sum(
            math.comb(flights, k) * (1.0 - success) ** k * success ** (flights - k)
            for k in range(failures + 1)
        )

    allowed = most_failures(flights, success, 0.9)
    assert allowed == -1 or tail(allowed) <= 0.1 * (1.0 + 1e-9)
    assert tail(allowed + 1) > 0.1 * (1.0 - 1e-9)


def test_the_notch_of_two_rotors(study):
    """sqrt(T h / J) / 2 pi with the CG below, no notch but a wrong start with the CG above."""
    packed = pack_craft(study.craft, study.air, known_maps=study.maps)
    zero = pitch_zero(study.craft, packed)
    lever = pivots_above_centre_m(study.craft, packed.mass)
    assert zero.lever_m == pytest.approx(lever, abs=1e-12)
    inertia = float(packed.mass.inertia_kg_m2[1, 1])
    weight = packed.mass.mass_kg * STANDARD_GRAVITY_M_S2
    assert zero.notch_hz == pytest.approx(
        math.sqrt(weight * lever / inertia) / (2.0 * math.pi), rel=1e-9
    )
    assert zero.wrong_way_s is None
    high = with_head(study.craft, 1.5, 0.5)
    above = pitch_zero(high, pack_craft(high, study.air, known_maps=study.maps))
    assert above.lever_m < 0.0
    assert above.notch_hz is None
    assert above.wrong_way_s > 0.0


@pytest.mark.parametrize("reach_kg", [None, (4.0, 20.0)])
def test_a_head_far_too_heavy_is_told_the_one_that_passes(jellyfish, breeze, study, reach_kg):
    """15 kg on a craft that carries one: whatever the map reaches, lighter ones are tried.

    The same as is found from a head that is not too heavy, to the share to which it is closed in.
    """
    heavy = dataclasses.replace(jellyfish, spec=with_head(jellyfish.spec, 15.0, 0.17))
    found = head_map(heavy, breeze, HeadRange(masses_kg=reach_kg, columns=2, rows=1))
    assert not found.passes
    assert found.heaviest_kg is not None
    assert found.heaviest.passes
    end = min(lift_end_kg(study, 0.17), authority_end_kg(study, 0.17))
    assert 0.9 * end < found.heaviest_kg < end
    assert "at this height at most" in head_verdict(found)
    assert not any("not what is wrong" in words for words in head_findings(found))
