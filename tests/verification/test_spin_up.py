"""Spin-up of motor and propeller: J dW/dt = (V - W/Kv)/(Kv R) - i0/Kv - k_Q W^2.

Small changes settle with tau = J / (1/(Kv^2 R) + 2 k_Q W0).
"""

import itertools
import math

import pytest

from sim.physics.power.motor import (
    equilibrium_voltage,
    motor_current,
    motor_torque,
    spin_up_time_constant,
)

KV = 96.3422
OHM = 0.10
FREE_AMPERE = 0.6
TORQUE_FACTOR = 2.34951e-7
INERTIA = 3e-5


def acceleration(volts, speed):
    torque = motor_torque(motor_current(volts, speed, KV, OHM), speed, KV, FREE_AMPERE)
    return (torque - TORQUE_FACTOR * speed**2) / INERTIA


def speed_after(volts, speed, duration, steps=400):
    """Integrate with the classical fourth-order Runge-Kutta rule."""
    dt = duration / steps
    for _ in range(steps):
        a = acceleration(volts, speed)
        b = acceleration(volts, speed + 0.5 * dt * a)
        c = acceleration(volts, speed + 0.5 * dt * b)
        d = acceleration(volts, speed + dt * c)
        speed += dt * (a + 2.0 * b + 2.0 * c + d) / 6.0
    return speed


def holding_voltage(speed):
    return equilibrium_voltage(speed, TORQUE_FACTOR * speed**2, KV, OHM, FREE_AMPERE)


@pytest.mark.parametrize(("speed", "milliseconds"), [(400.0, 23.709), (890.6, 20.055)])
def test_time_constant(speed, milliseconds):
    """Measured from a flight of the motor equation back to its balance, and in closed form."""
    offset = 1e-3 * speed
    duration = 0.02
    left = speed_after(holding_voltage(speed), speed + offset, duration) - speed
    measured = duration / math.log(offset / left)
    # The quadratic drag bends the decay by about k_Q offset / (damping): under 1e-3 here.
    assert measured == pytest.approx(1e-3 * milliseconds, rel=1e-3)
    closed = spin_up_time_constant(INERTIA, speed, KV, OHM, TORQUE_FACTOR)
    assert closed == pytest.approx(1e-3 * milliseconds, rel=5e-5)


def test_time_constant_falls_with_speed():
    """Drag stiffens with speed."""
    taus = [spin_up_time_constant(INERTIA, 100.0 * k, KV, OHM, TORQUE_FACTOR) for k in range(10)]
    assert all(later < earlier for earlier, later in itertools.pairwise(taus))


def test_slower_down_than_up():
    """Between the same two speeds, slowing takes longer than speeding up: its end is slow."""
    low, high = 400.0, 800.0
    up_left = high - speed_after(holding_voltage(high), low, 0.08)
    down_left = speed_after(holding_voltage(low), high, 0.08) - low
    # The last part of the way goes as exp(-t / tau) with tau of the speed at its end.
    assert 0.0 < up_left < down_left < high - low
