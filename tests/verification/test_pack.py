"""Pack sag against its closed form.

I = (V_oc - sqrt(V_oc^2 - 4 R P)) / (2 R), P_max = V_oc^2 / (4 R).
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.power.battery import (
    CHEMISTRIES,
    bus_voltage,
    most_power,
    open_circuit_table,
    open_circuit_voltage,
    pack_current,
)

VOLT = 16.8
OHM = 0.020


@pytest.mark.parametrize(
    ("power", "current", "volts", "loss"),
    [
        (300.0, 18.25381, 16.43492, 6.664),
        (600.0, 37.37747, 16.05245, 27.942),
        (1200.0, 78.82556, 15.22349, 124.269),
    ],
)
def test_constant_power(power, current, volts, loss):
    """16.8 V, 0.020 ohm; evaluated independently, half a unit of the last digit."""
    bus, deliverable = bus_voltage(VOLT, OHM, power, 0.0, 0.0)
    assert deliverable
    assert bus == pytest.approx(volts, abs=5e-6)
    amperes = pack_current(VOLT, OHM, power)
    assert amperes == pytest.approx(current, abs=5e-6)
    assert amperes**2 * OHM == pytest.approx(loss, abs=5e-4)
    assert amperes * bus == pytest.approx(power, rel=1e-12)


def test_cannot_deliver():
    """Above V_oc^2/4R = 3528 W the answer is a flag and the voltage of most power, not a nan."""
    assert most_power(VOLT, OHM) == pytest.approx(3528.0, rel=1e-12)
    assert bus_voltage(VOLT, OHM, 3527.0, 0.0, 0.0)[1]
    assert bus_voltage(VOLT, OHM, 3529.0, 0.0, 0.0) == (pytest.approx(VOLT / 2.0), False)
    assert pack_current(VOLT, OHM, 4000.0) == pytest.approx(420.0, rel=1e-12)


@given(
    ohm=st.floats(0.0, 0.2),
    power=st.floats(0.0, 50.0),
    duties=st.lists(st.floats(0.0, 1.0), min_size=1, max_size=8),
    speed=st.floats(0.0, 1000.0),
)
def test_all_loads_balance(ohm, power, duties, speed):
    """V = V_oc - R (G V - J0 + P/V) with the loads summed one by one."""
    kv, motor_ohm = 96.0, 0.08
    conductance = sum(duty**2 / motor_ohm for duty in duties)
    back = sum(duty * speed / (kv * motor_ohm) for duty in duties)
    bus, deliverable = bus_voltage(VOLT, ohm, power, back, conductance)
    if deliverable:
        motors = sum(duty * (duty * bus - speed / kv) / motor_ohm for duty in duties)
        assert bus == pytest.approx(VOLT - ohm * (motors + power / bus), rel=1e-9)
    assert math.isfinite(bus)
    assert bus > 0.0


@given(ohm=st.floats(0.001, 0.2), more=st.floats(1e-4, 0.2), conductance=st.floats(0.1, 20.0))
def test_more_resistance_means_fewer_volts(ohm, more, conductance):
    """Terminal volts fall with resistance under any load that draws current."""
    light, _ = bus_voltage(VOLT, ohm, 5.0, 0.0, conductance)
    heavy, _ = bus_voltage(VOLT, ohm + more, 5.0, 0.0, conductance)
    assert heavy < light


@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_open_circuit_rises_with_charge(chemistry):
    """Rested volts never fall with charge, at the nodes or between them, and hold at the ends."""
    table = open_circuit_table(chemistry, 3, 21)
    assert np.all(np.diff(table) > 0.0)
    volts = [open_circuit_voltage(table, charge) for charge in np.linspace(-0.1, 1.1, 1001)]
    assert np.all(np.diff(volts) >= 0.0)
    assert volts[0] == table[0]
    assert volts[-1] == table[-1]
    for k in range(21):
        assert open_circuit_voltage(table, k / 20.0) == pytest.approx(table[k], rel=1e-12)


def test_open_circuit_curve_has_no_kinks():
    """The slope at every inner node is the harmonic mean of its neighbours', from both sides."""
    table = open_circuit_table("lithium_polymer", 1, 11)
    step = 1e-6
    for k in range(1, 10):
        left = (table[k] - open_circuit_voltage(table, k / 10.0 - step)) / step
        right = (open_circuit_voltage(table, k / 10.0 + step) - table[k]) / step
        before, after = 10.0 * np.diff(table[k - 1 : k + 2])
        mean = 2.0 * before * after / (before + after)
        # One-sided differences err by the curvature (about 100 V) times the step.
        assert left == pytest.approx(mean, abs=1e-3)
        assert right == pytest.approx(mean, abs=1e-3)


def test_full_cell():
    """4.2 V for a full lithium-polymer cell, about 3.8 V half way (common practice, no source)."""
    table = open_circuit_table("lithium_polymer", 4, 21)
    assert table[-1] == pytest.approx(16.8)
    assert open_circuit_voltage(table, 0.5) == pytest.approx(4 * 3.8, rel=0.02)
