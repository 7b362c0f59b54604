"""The first-order motor against closed forms.

i = (V - Omega/Kv) / R, Q = (i - i0) / Kv, eta = (1 - i0/i) / (1 + i R Kv / Omega).
Drela, First-Order DC Electric Motor Model, MIT, 2007 (equations from memory; numbers evaluated
independently of this code).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.power.motor import (
    best_efficiency,
    best_efficiency_current,
    equilibrium_speed,
    equilibrium_voltage,
    motor_current,
    motor_efficiency,
    motor_torque,
    no_load_speed,
)
from sim.physics.power.speed_controller import (
    bus_back_current,
    bus_conductance,
    duty_of_command,
    limited_current,
    power_at_current,
)

TURN_PER_MINUTE = 2.0 * math.pi / 60.0
KV = 920.0 * TURN_PER_MINUTE
OHM = 0.10
FREE_AMPERE = 0.6
VOLT = 11.1


@pytest.mark.parametrize(
    ("turns", "current", "torque", "power", "efficiency"),
    [
        (4000, 67.52174, 0.694626, 290.9641, 0.388215),
        (6000, 45.78261, 0.468981, 294.6692, 0.579844),
        (8000, 24.04348, 0.243336, 203.8563, 0.763843),
    ],
)
def test_operating_points(turns, current, torque, power, efficiency):
    """920 turns per minute per volt, 0.10 ohm, 0.6 A, 11.1 V; printed to six digits."""
    speed = turns * TURN_PER_MINUTE
    amperes = motor_current(VOLT, speed, KV, OHM)
    twist = motor_torque(amperes, speed, KV, FREE_AMPERE)
    assert amperes == pytest.approx(current, rel=1e-6)
    assert twist == pytest.approx(torque, abs=5e-7)
    assert twist * speed == pytest.approx(power, rel=1e-6)
    assert motor_efficiency(amperes, speed, KV, OHM, FREE_AMPERE) == pytest.approx(
        efficiency, rel=2e-6
    )
    # Two independent routes to the same number.
    assert twist * speed / (VOLT * amperes) == pytest.approx(efficiency, rel=2e-6)


def test_closed_forms():
    """Torque per ampere 1/Kv, free speed Kv (V - i0 R), stall V/R, best (1 - sqrt(i0 R/V))^2."""
    torque_per_ampere = 1.0 / KV
    assert torque_per_ampere == pytest.approx(0.01037967, rel=1e-6)
    assert no_load_speed(VOLT, KV, OHM, FREE_AMPERE) / TURN_PER_MINUTE == pytest.approx(10156.8)
    assert motor_current(VOLT, 0.0, KV, OHM) == pytest.approx(111.0)
    assert motor_torque(111.0, 0.0, KV, FREE_AMPERE) == pytest.approx(1.145916, rel=1e-6)
    assert best_efficiency_current(VOLT, OHM, FREE_AMPERE) == pytest.approx(8.160882, rel=1e-6)
    assert best_efficiency(VOLT, OHM, FREE_AMPERE) == pytest.approx(0.858362, rel=1e-6)


def test_best_efficiency_is_the_best():
    """The closed form equals the largest efficiency over all speeds (second order in the grid)."""
    free = no_load_speed(VOLT, KV, OHM, FREE_AMPERE)
    found = max(
        motor_efficiency(motor_current(VOLT, speed, KV, OHM), speed, KV, OHM, FREE_AMPERE)
        for speed in (free * k / 2000.0 for k in range(1, 2000))
    )
    assert found == pytest.approx(best_efficiency(VOLT, OHM, FREE_AMPERE), rel=1e-6)


def test_propeller_match():
    """Positive root of k_Q W^2 + W/(Kv^2 R) = (V/R - i0)/Kv; D 0.254 m, C_P .045, sea level."""
    power_coefficient, thrust_coefficient, diameter, density = 0.045, 0.12, 0.254, 1.225
    torque_factor = power_coefficient * density * diameter**5 / (2.0 * math.pi) ** 3
    thrust_factor = thrust_coefficient * density * diameter**4 / (2.0 * math.pi) ** 2
    assert torque_factor == pytest.approx(2.349512e-7, rel=1e-6)
    speed = equilibrium_speed(VOLT, KV, OHM, FREE_AMPERE, torque_factor)
    assert speed == pytest.approx(890.63284, abs=5e-6)
    current = motor_current(VOLT, speed, KV, OHM)
    torque = motor_torque(current, speed, KV, FREE_AMPERE)
    assert torque == pytest.approx(torque_factor * speed**2, rel=1e-9)
    assert current == pytest.approx(18.555249, abs=1e-6)
    assert thrust_factor * speed**2 == pytest.approx(12.293905, rel=1e-6)
    assert torque == pytest.approx(0.186370, abs=5e-7)
    assert torque * speed == pytest.approx(165.98685, rel=1e-6)
    # From the shaft power and current above; a sixth digit of 6 in the list that these numbers come
    # from does not follow from its own other entries.
    assert torque * speed / (VOLT * current) == pytest.approx(
        165.98685 / (11.1 * 18.555249), rel=1e-6
    )
    assert motor_efficiency(current, speed, KV, OHM, FREE_AMPERE) == pytest.approx(
        0.805905, abs=5e-7
    )


def test_friction_never_drives():
    """At standstill a current below i0 turns nothing, and friction does not spin it backwards."""
    assert motor_torque(0.3, 0.0, KV, FREE_AMPERE) == 0.0
    assert motor_torque(0.0, 0.0, KV, FREE_AMPERE) == 0.0
    assert motor_torque(0.0, 100.0, KV, FREE_AMPERE) == pytest.approx(-FREE_AMPERE / KV)
    assert equilibrium_speed(0.05, KV, OHM, FREE_AMPERE, 2e-7) == 0.0


@given(
    volts=st.floats(1.0, 60.0),
    turns_per_volt=st.floats(80.0, 4000.0),
    ohm=st.floats(0.005, 1.0),
    torque_factor=st.floats(1e-9, 1e-4),
)
def test_equilibrium_holds_for_any_motor(volts, turns_per_volt, ohm, torque_factor):
    """Motor torque equals propeller torque at the root, and the inverse gives the voltage back."""
    kv = turns_per_volt * TURN_PER_MINUTE
    speed = equilibrium_speed(volts, kv, ohm, 0.5, torque_factor)
    if speed > 0.0:
        torque = motor_torque(motor_current(volts, speed, kv, ohm), speed, kv, 0.5)
        # Rounding of V - Omega/Kv, whose terms may be nearly equal, is divided by R.
        slack = 1e-14 * volts / ohm / kv
        assert torque == pytest.approx(torque_factor * speed**2, rel=1e-9, abs=slack)
        back = equilibrium_voltage(speed, torque_factor * speed**2, kv, ohm, 0.5)
        assert back == pytest.approx(volts, rel=1e-9)
        assert equilibrium_speed(1.1 * volts, kv, ohm, 0.5, torque_factor) > speed


def test_duty_ends():
    """Duty is linear between the ends and never beyond them."""
    assert duty_of_command(-0.2, 0.9) == 0.0
    assert duty_of_command(0.5, 0.9) == pytest.approx(0.45)
    assert duty_of_command(1.3, 0.9) == 0.9


def test_bus_current_is_duty_times_motor_current():
    """d i = d (d V - W/Kv)/R = G V - J0."""
    duty, speed, volts = 0.7, 500.0, 14.0
    current = motor_current(duty * volts, speed, KV, OHM)
    bus = bus_conductance(duty, OHM) * volts - bus_back_current(duty, speed, KV, OHM)
    assert bus == pytest.approx(duty * current, rel=1e-12)
    # The bus power is what a held current of the same size draws.
    assert bus * volts == pytest.approx(power_at_current(current, speed, KV, OHM), rel=1e-12)


def test_current_limit_acts_both_ways():
    """A limit of 20 A holds driving and braking currents and says so."""
    assert limited_current(30.0, 20.0) == (20.0, True)
    assert limited_current(-30.0, 20.0) == (-20.0, True)
    assert limited_current(10.0, 20.0) == (10.0, False)
