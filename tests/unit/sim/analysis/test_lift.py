"""Question 1: thrust, weight, current and endurance."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.analysis.lift import endurance_s, lift_answer
from sim.analysis.linearise import advanced
from sim.analysis.operating_point import observed
from sim.analysis.trim import find_trim
from sim.pack.flight import plain_flight

GRAVITY = 9.80665


@pytest.fixture(scope="module")
def lift(hover):
    case = hover("jellyfish_bicopter")
    return lift_answer(case.spec, case.packed, case.trim)


def test_weight_and_thrust_are_those_of_craft_and_stand(hover, lift):
    packed = hover("jellyfish_bicopter").packed
    assert lift.weight_n == pytest.approx(packed.whole_mass_kg * GRAVITY)
    assert lift.full_thrust_n == pytest.approx(float(packed.full.thrust_n.sum()))
    assert lift.fabric_weight_n == pytest.approx(packed.fabric_mass_kg * GRAVITY)
    burden = lift.weight_n + max(lift.download_n, 0.0)
    assert lift.thrust_to_weight == pytest.approx(lift.full_thrust_n / burden)
    assert lift.usable_thrust_n < lift.full_thrust_n
    assert lift.can_lift


def test_figures_of_hover_are_those_of_the_trim(hover, lift):
    trim = hover("jellyfish_bicopter").trim
    work = observed(trim)
    assert lift.hover_current_a == pytest.approx(float(work.pack_a))
    assert lift.hover_power_w == pytest.approx(lift.hover_current_a * lift.hover_bus_v)
    throttle = advanced(trim.crafts, trim.flights, trim.state)["rotor"]["throttle"][0, :2]
    assert lift.hover_throttle == pytest.approx(float(throttle.mean()))


def test_hover_throttle_does_not_remember_where_the_search_began(hover, air):
    """A craft with a fuller pack, its hover searched from that of the one at 90 % charge."""
    case = hover("bare_bicopter")
    flight = plain_flight(air)[0]
    low = find_trim(case.packed.record, flight, charge=0.9, swing_m_s=0.2)
    start = low.state.copy()
    start["charge"] = 1.0
    again = find_trim(case.packed.record, flight, charge=1.0, swing_m_s=0.2, start=start)
    lifts = [lift_answer(case.spec, case.packed, trim) for trim in (low, again, case.trim)]
    assert lifts[1].hover_throttle == pytest.approx(lifts[2].hover_throttle, rel=1e-7)
    assert lifts[0].hover_throttle > 1.001 * lifts[1].hover_throttle


def test_without_a_hover_its_figures_are_missing(hover):
    case = hover("jellyfish_bicopter")
    lift = lift_answer(case.spec, case.packed, None)
    assert lift.hover_throttle is None
    assert lift.endurance_s is None
    assert lift.download_n == 0.0


def test_spread_of_the_thrust_is_that_of_the_propellers(lift):
    """Ten per cent each, erring together."""
    assert lift.thrust_plus_minus_n == pytest.approx(0.1 * lift.full_thrust_n)


def test_figure_of_merit_is_ideal_over_shaft_power(hover, lift):
    """T^(3/2) / sqrt(2 rho A) over Q Omega, both rotors alike."""
    packed = hover("jellyfish_bicopter").packed
    thrust, area = float(packed.full.thrust_n[0]), math.pi * 0.1905**2
    ideal = thrust**1.5 / math.sqrt(2.0 * packed.air.density_kg_m3 * area)
    assert lift.figure_of_merit == pytest.approx(ideal / float(packed.full.shaft_w[0]), rel=1e-9)
    assert 0.4 < lift.figure_of_merit < 0.85


def test_endurance_at_almost_no_power_is_charge_over_current(hover):
    """So little current that nothing sags: t = C (q0 - q1) <1 / I>, I = P / V(q)."""
    case = hover("bare_bicopter")
    battery = case.spec.battery
    seconds = endurance_s(case.spec, case.packed, 1e-3)
    volts = np.asarray(case.packed.record.battery.open_circuit_v)
    low, high = 1e-3 / volts.max(), 1e-3 / volts[4]  # between full and the reserve of 20 %
    drawn = battery.capacity_a_s * (battery.charge - battery.reserve)
    assert drawn / high < seconds < drawn / low


@pytest.mark.parametrize("factor", [1.5, 2.0, 4.0])
def test_endurance_falls_faster_than_power_rises(hover, factor):
    """Sag makes the current rise more than in proportion."""
    case = hover("bare_bicopter")
    assert endurance_s(case.spec, case.packed, 100.0 * factor) < (
        endurance_s(case.spec, case.packed, 100.0) / factor
    )


def test_a_pack_below_its_reserve_gives_no_time(hover):
    case = hover("bare_bicopter")
    battery = case.spec.battery.model_copy(update={"charge": 0.15, "reserve": 0.2})
    spec = case.spec.model_copy(update={"battery": battery})
    assert endurance_s(spec, case.packed, 100.0) == 0.0
