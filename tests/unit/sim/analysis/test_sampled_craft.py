"""Crafts near that of a file: their figures, and the flight controller that stays as it was."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.analysis.check import hover_trim
from sim.analysis.condition_margins import condition_of, margins_at
from sim.analysis.headline import Headline, Outcome
from sim.analysis.lift import lift_answer
from sim.analysis.loop_margins import decibel
from sim.analysis.sampled_craft import _computed, headline, quick_headline, surroundings
from sim.pack.craft import pack_craft
from sim.pack.flight import day_air
from sim.spec import load_craft, load_scenario
from sim.spec.quantity import Uncertain
from sim.spec.structure import MeasuredInertia, MeasuredSpec
from sim.spec.unsure import unsure_figures, with_figures


@pytest.fixture(scope="module")
def scenario(repository):
    return load_scenario(repository / "scenarios" / "still_air.yaml").spec


@pytest.fixture(scope="module")
def bare(repository, scenario):
    return surroundings(load_craft(repository / "airframes" / "bare_bicopter.yaml").spec, scenario)


def with_parts_heavier(craft, factor):
    parts = tuple(
        part.model_copy(update={"mass_kg": Uncertain(factor * part.mass_kg.value)})
        for part in craft.parts
    )
    return craft.model_copy(update={"parts": parts})


def test_the_craft_as_written_has_the_figures_of_check(bare, scenario):
    """Lift, hover, margins by the same functions on the craft packed alone."""
    packed = pack_craft(bare.craft, day_air(scenario))
    trim = hover_trim(packed, scenario)
    lift = lift_answer(bare.craft, packed, trim)
    condition = condition_of(trim.flights[0], charge=packed.charge, fabric="none", swing_m_s=0.2)
    margins = margins_at(trim, condition)
    found = headline(bare, bare.craft)
    assert found.outcome == Outcome.HOVERS
    assert found.thrust_to_weight == pytest.approx(lift.thrust_to_weight, rel=1e-9)
    assert found.usable_thrust_to_weight == pytest.approx(lift.usable_thrust_to_weight, rel=1e-9)
    assert found.hover_throttle == pytest.approx(lift.hover_throttle, rel=1e-7)
    assert found.endurance_s == pytest.approx(lift.endurance_s, rel=1e-6)
    axes = [margins.margins[axis] for axis in ("roll", "pitch", "yaw")]
    phase = min(abs(axis.phase_rad.value) for axis in axes)
    gain = min(min(decibel(a.gain_up.value), -decibel(a.gain_down.value)) for a in axes)
    assert found.phase_margin_rad == pytest.approx(phase, rel=1e-6)
    assert found.gain_margin_db == pytest.approx(gain, rel=1e-6)
    assert found.disk_margin == pytest.approx(margins.together.guaranteed.alpha, rel=1e-4)


@settings(max_examples=12)
@given(st.floats(0.2, 3.0), st.floats(1.01, 2.0))
def test_more_mass_never_raises_thrust_to_weight(bare, factor, more):
    """Only masses change, so thrust at full throttle stays and weight grows."""
    light, heavy = (
        quick_headline(bare, with_parts_heavier(bare.craft, f), bare.hover)[0]
        for f in (factor, factor * more)
    )
    assert heavy.whole_mass_kg > light.whole_mass_kg
    assert heavy.thrust_to_weight < light.thrust_to_weight
    assert heavy.usable_thrust_to_weight < light.usable_thrust_to_weight
    assert heavy.lift_over_weight < light.lift_over_weight


def test_gains_stay_as_they_were_set_up(bare):
    """A propeller f times as strong gives f times the moment that the mixer counts on.

    So every gain that destabilises is reached f times as soon; less what the slower turning motor
    lags more, which is told by the loop's phase, not its gain.
    """
    factor = next(f for f in unsure_figures(bare.craft) if f.key == "thrust_factor")
    found = {}
    for value in (0.9, 1.1):
        computed = _computed(bare, with_figures(bare.craft, (factor,), (value,)), bare.hover)
        found[value] = computed.margins.margins
    for axis in ("pitch", "yaw"):
        ratio = found[0.9][axis].gain_up.value / found[1.1][axis].gain_up.value
        assert ratio == pytest.approx(1.1 / 0.9, rel=0.03)
    assert found[0.9]["roll"].gain_up.value > found[1.1]["roll"].gain_up.value


def test_a_gain_that_is_unsure_is_the_crafts_own(bare):
    """Twice the gain in roll: half the factor that destabilises roll, and pitch as it was."""
    given_p = float(bare.packed.record.control.rate[0].p_n_m_s)
    rate = bare.craft.controller.rate
    roll = rate.roll.model_copy(update={"p_n_m_s": Uncertain(given_p, 0.1 * given_p)})
    controller = bare.craft.controller.model_copy(
        update={"rate": rate.model_copy(update={"roll": roll})}
    )
    craft = bare.craft.model_copy(update={"controller": controller})
    figure = next(f for f in unsure_figures(craft) if f.name == "controller rate roll p")
    around = replace(bare, craft=craft)
    doubled = with_figures(craft, (figure,), (2.0 * figure.value,))
    before, after = (_computed(around, c, bare.hover).margins.margins for c in (craft, doubled))
    assert after["roll"].gain_up.value == pytest.approx(
        0.5 * before["roll"].gain_up.value, rel=1e-3
    )
    assert after["pitch"].gain_up.value == pytest.approx(before["pitch"].gain_up.value, rel=1e-3)


def test_a_craft_too_heavy_has_lift_but_no_hover(bare):
    found = headline(bare, with_parts_heavier(bare.craft, 20.0))
    assert found.outcome == Outcome.TOO_WEAK
    assert found.usable_thrust_to_weight < 1.0
    assert found.hover_throttle is None
    assert found.phase_margin_rad is None


def test_a_body_that_cannot_be_is_told(bare):
    """Moments of inertia whose largest exceeds the sum of the others."""
    inertia = {"roll": "0.01 kg m2", "pitch": "0.01 kg m2", "yaw": "0.5 kg m2"}
    impossible = MeasuredSpec.model_construct(
        mass_kg=None,
        centre=None,
        inertia=MeasuredInertia.model_validate(inertia),
        swing=None,
    )
    found = headline(bare, bare.craft.model_copy(update={"measured": impossible}))
    assert found == Headline(Outcome.NO_BODY)
