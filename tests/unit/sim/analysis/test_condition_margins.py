"""Margins of a condition: joint ones below single ones, whatever was asked first."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sim.analysis.condition import Condition
from sim.analysis.condition_margins import condition_of, margins_at, quick_margins
from sim.analysis.loop_breaks import ATTITUDE_AXES, AXES
from sim.analysis.required_margins import RequiredMargins
from sim.analysis.steady_conditions import packed_for, steady_flight_of
from sim.analysis.trim_start import carried_over
from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight
from sim.spec.quantity import Uncertain

CRAFT = (
    "bare_bicopter",
    "jellyfish_bicopter",
    "jellyfish_tricopter",
    "heron_tricopter",
    "jellyfish_little_wind",
)
STILL = Condition(0.0, 0.0, 1.0, "dry", 2.0, 0.2)


@pytest.fixture(scope="module")
def found(hover):
    return {name: margins_at(hover(name).trim, STILL) for name in CRAFT}


@pytest.mark.parametrize("name", CRAFT)
def test_loops_together_bear_less_than_the_weakest_alone(found, name):
    """And clearly less: two rotors that tilt for pitch and yaw are coupled, three are as well."""
    case = found[name]
    disks = {axis: margins.disk.alpha for axis, margins in case.margins.items()}
    assert case.together.guaranteed.alpha < 0.99 * min(disks.values())
    assert case.attitude.guaranteed.alpha < 0.99 * min(disks[axis] for axis in ATTITUDE_AXES)
    assert case.together.guaranteed.alpha <= case.attitude.guaranteed.alpha
    late = min(case.margins[axis].delay_s.value for axis in ("height", *ATTITUDE_AXES))
    assert case.delay_s.value <= late * (1.0 + 1e-9)


@pytest.mark.parametrize("name", CRAFT)
def test_both_bounds_of_the_joint_margin_meet(found, name):
    for joint in (found[name].together, found[name].attitude):
        assert -1e-9 <= joint.gap < 1e-3


@pytest.mark.parametrize("name", ["bare_bicopter", "heron_tricopter"])
def test_the_combination_on_the_edge_puts_a_root_there(found, name):
    """The factors of the joint margin, set into the loops as numbers: d = (F - 1) u with
    u = C x + E d leaves A + B (F - 1) (I - E (F - 1))^-1 C, which has a root at exp(j w T).
    """
    case = found[name]
    columns = np.array([AXES[axis] for axis in AXES])
    rows = case.model.chart.demands[columns]
    inject, measure = case.model.b[:, columns], case.model.a[rows]
    direct = case.model.b[np.ix_(rows, columns)]
    change = np.diag(np.array(case.together.factors) - 1.0)
    inner = change @ np.linalg.inv(np.eye(6) - direct @ change)
    roots = np.linalg.eigvals(case.model.a + inject @ inner @ measure)
    edge = np.exp(1j * case.together.reached.frequency_rad_s * case.model.period_s)
    assert np.abs(roots - edge).min() < 1e-8


@pytest.mark.parametrize(
    ("name", "axes"),
    [
        ("jellyfish_bicopter", tuple(reversed(AXES))),
        ("bare_bicopter", ("yaw", "height")),
        ("heron_tricopter", ATTITUDE_AXES),
    ],
)
def test_whatever_is_asked_first_the_answer_is_the_same(found, hover, name, axes):
    whole, again = found[name], margins_at(hover(name).trim, STILL, axes=axes)
    for axis in axes:
        assert again.margins[axis] == whole.margins[axis]
    assert again.together == whole.together
    assert again.attitude == whole.attitude
    assert again.delay_s == whole.delay_s


def test_what_is_asked_decides(found):
    case = found["bare_bicopter"]
    assert case.passes
    strict = dataclasses.replace(case, required=RequiredMargins(gain_db=6.0, phase_rad=1.2))
    assert not strict.passes
    assert strict.shortfall > 1.0


def changed(spec, **factors):
    """Give a craft with another mass of the battery or head, or another length of its fabric."""
    update = {}
    for part in ("battery", "head"):
        if part in factors:
            old = getattr(spec, part)
            mass = Uncertain(old.mass_kg.value * factors[part])
            update[part] = old.model_copy(update={"mass_kg": mass})
    if "drape" in factors:
        length = Uncertain(spec.drapes[0].length_m.value * factors["drape"])
        update["drapes"] = (spec.drapes[0].model_copy(update={"length_m": length}),)
    return spec.model_copy(update=update)


@pytest.mark.parametrize("factors", [{"battery": 1.1}, {"head": 1.2}, {"drape": 1.1, "head": 0.9}])
def test_margins_from_a_similar_craft_are_those_from_scratch(hover, air, factors):
    """A trim carried over is a place to search from, no more."""
    known = hover("jellyfish_bicopter")
    packed = pack_craft(changed(known.spec, **factors), air)
    flight = plain_flight(air)[0]
    axes = ("pitch",)
    near = quick_margins(packed, flight, start=known.trim, axes=axes)
    far = quick_margins(packed, flight, axes=axes)
    assert near.trim.rounds <= far.trim.rounds
    one, other = near.margins["pitch"], far.margins["pitch"]
    assert one.phase_rad.value == pytest.approx(other.phase_rad.value, rel=1e-5)
    assert one.gain_up.value == pytest.approx(other.gain_up.value, rel=1e-5)
    assert near.together.guaranteed.alpha == pytest.approx(far.together.guaranteed.alpha, rel=1e-4)


def test_a_trim_of_another_kind_of_craft_is_no_place_to_start(hover):
    jellyfish, bare = hover("jellyfish_bicopter"), hover("bare_bicopter")
    assert carried_over(jellyfish.trim.crafts, jellyfish.trim.state, bare.trim.crafts) is None


def test_a_condition_is_flown_as_it_says(air, spec_of):
    condition = Condition(3.0, 1.5, 0.6, "wet", 4.0, 0.3)
    flight = steady_flight_of(air, condition)
    again = condition_of(flight, charge=0.6, fabric="wet", swing_m_s=0.3)
    assert again == condition
    spec = spec_of("jellyfish_bicopter")
    wet, dry = (packed_for(spec, air, fabric) for fabric in ("wet", "dry"))
    assert wet.fabric_mass_kg > dry.fabric_mass_kg
    assert wet.records["control"].tobytes() == dry.records["control"].tobytes()
    assert packed_for(spec, air, "none").fabric_mass_kg == 0.0
