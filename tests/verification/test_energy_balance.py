"""Every watt of the pack is found again at every operating point, by laws that do not know it."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from sim.analysis.endurance import EndOfFlight, RelaxationPair, SourceOfPower, time_at_power
from sim.analysis.power_answer import hover_thrust
from sim.analysis.power_rig import Rig
from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight
from sim.pack.stand import stand_point
from sim.pack.steady_stand import steady_stand_point
from sim.physics.air.atmosphere import air_of_the_day
from sim.physics.power.battery import open_circuit_table, open_circuit_voltage, pack_current
from sim.spec import load_craft
from sim.spec.power import RelaxationSpec
from sim.spec.quantity import Uncertain

AIR = air_of_the_day(None, None, None, 0.5)
DEMOS = ("bare_bicopter", "jellyfish_bicopter", "jellyfish_tricopter", "heron_tricopter")
CLOSES = 1e-9


@pytest.fixture(scope="module")
def rigs(repository):
    """Give the demonstration craft on the stand, by name."""
    found = {}
    for name in DEMOS:
        craft = load_craft(repository / "airframes" / f"{name}.yaml").spec
        found[name] = Rig(craft, pack_craft(craft, AIR))
    return found


def fresh(rig, **battery):
    """Give the same craft with other properties of its pack."""
    return rig.with_battery(rig.craft.battery.model_copy(update=battery))


@settings(max_examples=60)
@given(
    name=st.sampled_from(DEMOS),
    throttle=st.floats(0.02, 1.0),
    charge=st.floats(0.05, 1.0),
    kelvin=st.floats(250.0, 310.0),
    age=st.floats(1.0, 4.0),
)
def test_power_flow_closes(rigs, name, throttle, charge, kelvin, age):
    """Cells = losses by name + air, to 1e-9: electric side and shaft side are separate laws."""
    rig = fresh(rigs[name], charge=charge, temperature_k=kelvin, age_factor=age)
    point = rig.at_throttle("any", throttle)
    assert point.deliverable
    assert abs(point.flow.imbalance) < CLOSES
    passed = [watts for _, watts in point.flow.stations()]
    assert passed == sorted(passed, reverse=True)
    assert all(watts >= 0.0 for _, watts in point.flow.losses())
    # A meter at the speed controllers shows volts times amps.
    bus = sum(rotor.power.bus_w for rotor in point.rotors) + point.flow.electronics_w
    assert point.pack_w == pytest.approx(bus, rel=CLOSES)


@settings(max_examples=20)
@given(name=st.sampled_from(DEMOS), share=st.floats(0.2, 0.95))
def test_power_flow_closes_where_a_current_limit_acts(rigs, name, share):
    """A controller that holds the current lowers the motor's volts; nothing is lost on the way."""
    rig = rigs[name]
    free = rig.at_throttle("full", 1.0)
    records = rig.packed.records.copy()
    for i, rotor in enumerate(free.rotors):
        records[0].rotor[i].current_limit_a = share * rotor.motor_a
    held = Rig(rig.craft, dataclasses.replace(rig.packed, records=records)).at_throttle("full", 1.0)
    assert abs(held.flow.imbalance) < CLOSES
    for before, after in zip(free.rotors, held.rotors, strict=True):
        assert after.motor_a == pytest.approx(share * before.motor_a, rel=1e-9)
        assert after.duty < 1.0


@settings(max_examples=30)
@given(
    name=st.sampled_from(DEMOS),
    throttle=st.floats(0.02, 1.0),
    charge=st.floats(0.05, 1.0),
    age=st.floats(1.0, 8.0),
    share=st.floats(0.3, 2.0),
)
def test_steady_point_found_is_the_one_waited_for(rigs, name, throttle, charge, age, share):
    """Newton's method and forty seconds on the stand meet, with and without a current limit."""
    rig = fresh(rigs[name], charge=charge, age_factor=age)
    records = rig.packed.records.copy()
    records["rotor"]["current_limit_a"] *= share
    each = np.full(rig.count, throttle)
    flight = plain_flight(AIR)[0]
    found = steady_stand_point(records[0], flight, each, charge=charge)
    waited = stand_point(records[0], flight, each, charge=charge, settle_s=40.0)
    for figure in ("thrust_n", "speed_rad_s", "current_a", "torque_n_m", "bus_v", "pack_a"):
        assert getattr(found, figure) == pytest.approx(getattr(waited, figure), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("name", DEMOS)
def test_hover_on_the_stand_is_hover_in_flight(rigs, name):
    """Throttles found on the stand for the trim's thrusts are the trim's own."""
    rig = rigs[name]
    hover = hover_thrust(rig)
    assert hover.why == ""
    point = rig.at_thrust("hover", hover.each_n)
    assert abs(point.flow.imbalance) < CLOSES
    assert [rotor.thrust_n for rotor in point.rotors] == pytest.approx(list(hover.each_n), rel=1e-9)


def test_efficiencies_are_ratios_of_the_flow(rigs):
    point = rigs["bare_bicopter"].at_throttle("full", 1.0)
    rotor = point.rotors[0]
    assert rotor.motor_efficiency * rotor.controller_efficiency == pytest.approx(
        rotor.power.shaft_w / rotor.power.bus_w, rel=1e-12
    )
    # First-order motor (Drela 2007): eta = (1 - i0/i) / (1 + i R Kv / Omega).
    motor = rigs["bare_bicopter"].craft.rotors[0].motor
    loss = rotor.motor_a * motor.resistance_ohm.value * motor.speed_constant_rad_s_V.value
    closed = (1.0 - motor.no_load_current_a / rotor.motor_a) / (1.0 + loss / rotor.speed_rad_s)
    assert rotor.motor_efficiency == pytest.approx(closed, rel=1e-9)
    assert rotor.figure_of_merit == pytest.approx(
        rotor.thrust_n**1.5
        / math.sqrt(2.0 * AIR.density_kg_m3 * math.pi * 0.1397**2)
        / rotor.power.shaft_w,
        rel=1e-9,
    )


WORSE = {
    "resistance": lambda pack, x: {
        "resistance_given_ohm": Uncertain((1.0 + x) * pack.resistance_ohm.value)
    },
    "wiring": lambda _pack, x: {"wiring_resistance_ohm": Uncertain(0.006 + 0.01 * x)},
    "age": lambda _pack, x: {"age_factor": 1.0 + x},
    "cold": lambda _pack, x: {"temperature_k": 297.0 - 30.0 * x},
}


@settings(max_examples=24)
@given(
    name=st.sampled_from(DEMOS),
    cause=st.sampled_from(sorted(WORSE)),
    first=st.floats(0.0, 0.8),
    more=st.floats(0.05, 0.2),
)
def test_volts_thrust_and_endurance_fall(rigs, name, cause, first, more):
    """With resistance, age and cold; at least not rise where a current limit holds the thrust."""
    rig = rigs[name]
    pack = rig.craft.battery
    wanted = np.full(rig.count, rig.packed.whole_mass_kg * 9.80665 / rig.count)
    before, after = (fresh(rig, **WORSE[cause](pack, amount)) for amount in (first, first + more))
    full = [side.at_throttle("full", 1.0) for side in (before, after)]
    assert full[1].bus_v < full[0].bus_v
    assert full[1].thrust_n < full[0].thrust_n
    hover = [side.at_thrust("hover", wanted) for side in (before, after)]
    assert hover[1].bus_v < hover[0].bus_v
    assert hover[1].throttle > hover[0].throttle
    times = [
        side.endurance(point).seconds for side, point in zip((before, after), hover, strict=True)
    ]
    assert times[1] < times[0]


def source(**changes):
    """Give a small pack of three cells."""
    given = {
        "open_circuit_v": open_circuit_table("lithium_polymer", 3, 21),
        "capacity_a_s": 4.0 * 3600.0,
        "resistance_ohm": 0.018,
        "wiring_ohm": 0.006,
        "pair": None,
        "charge": 1.0,
        "reserve": 0.2,
    }
    return SourceOfPower(**{**given, **changes})


def test_endurance_is_the_integral_of_charge_over_current():
    """dt = C / I(q) dq, by another integrator."""
    pack = source()

    def seconds_per_charge(charge):
        volts = open_circuit_voltage(pack.open_circuit_v, charge)
        return pack.capacity_a_s / pack_current(volts, pack.resistance_ohm, 150.0)

    expected, _ = quad(seconds_per_charge, 0.2, 1.0, limit=200)
    found = time_at_power(pack, 150.0, 0.0)
    assert found.seconds == pytest.approx(expected, rel=1e-6)
    assert found.charge_left == pytest.approx(0.2, abs=1e-9)
    assert found.ended is EndOfFlight.RESERVE


def test_flat_pack_without_sag_by_hand():
    """12 V, no resistance, 120 W: 10 A empty 80 % of 4 Ah in 1152 s."""
    pack = source(open_circuit_v=np.full(21, 12.0), resistance_ohm=0.0, wiring_ohm=0.0)
    assert time_at_power(pack, 120.0, 0.0).seconds == pytest.approx(1152.0, rel=1e-9)


def test_slow_pair_becomes_a_plain_resistance_when_it_is_quick():
    """A pair of 0.1 s beside an hour of hover acts like a resistance in series."""
    quick = source(pair=RelaxationPair(0.02, 0.1))
    plain = source(resistance_ohm=0.038)
    assert time_at_power(quick, 150.0, 0.0).seconds == pytest.approx(
        time_at_power(plain, 150.0, 0.0).seconds, rel=1e-3
    )


def test_both_integrators_agree():
    """A pair of no resistance is none: quadrature in charge and integration in time meet."""
    pack = source(reserve=0.1)
    for power, least in ((150.0, 0.0), (150.0, 11.2), (300.0, 0.0)):
        plain = time_at_power(pack, power, least)
        pair = time_at_power(
            dataclasses.replace(pack, pair=RelaxationPair(0.0, 30.0)), power, least
        )
        assert plain.ended is pair.ended
        assert plain.seconds == pytest.approx(pair.seconds, rel=1e-6)
        assert plain.heat_j == pytest.approx(pair.heat_j, rel=1e-6)
        assert plain.charge_left == pytest.approx(pair.charge_left, abs=1e-6)


def test_pack_that_falls_short_of_power_says_so():
    """0.25 ohm at 12 V and less gives at most V^2 / (4 R) = 150 W at 12.25 V."""
    short = time_at_power(source(resistance_ohm=0.25), 150.0, 0.0)
    assert short.ended is EndOfFlight.POWER
    volts = open_circuit_voltage(source().open_circuit_v, short.charge_left)
    assert volts**2 / (4.0 * 0.25) == pytest.approx(150.0, rel=1e-6)


def test_slow_pair_costs_time():
    without = time_at_power(source(), 150.0, 0.0).seconds
    slow = time_at_power(source(pair=RelaxationPair(0.02, 60.0)), 150.0, 0.0).seconds
    quick = time_at_power(source(pair=RelaxationPair(0.02, 5.0)), 150.0, 0.0).seconds
    assert quick < slow < without


def test_pair_of_the_craft_file_counts(rigs):
    rig = rigs["bare_bicopter"]
    wanted = np.full(2, rig.packed.whole_mass_kg * 9.80665 / 2)
    hover = rig.at_thrust("hover", wanted)
    pair = RelaxationSpec(resistance="10 mohm", time_constant="40 s")
    with_pair = fresh(rig, relaxation=pair)
    assert with_pair.endurance(hover).seconds < rig.endurance(hover).seconds


def test_what_ends_a_flight_is_said():
    """Volts that fall short of the last throttle, or a power beyond V^2/(4R), end it sooner."""
    early = time_at_power(source(), 150.0, 11.2)
    assert early.ended is EndOfFlight.THROTTLE
    assert early.bus_v == pytest.approx(11.2, abs=1e-6)
    assert early.charge_left > 0.2
    never = time_at_power(source(), 150.0, 13.0)
    assert (never.ended, never.seconds) == (EndOfFlight.NEVER_BEGAN, 0.0)
    assert time_at_power(source(), 1e4, 0.0).ended is EndOfFlight.NEVER_BEGAN
    assert time_at_power(source(charge=0.1), 150.0, 0.0).seconds == 0.0
