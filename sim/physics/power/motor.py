"""A brushless motor as a direct-current motor of first order, alone and with a propeller.

Speed constants are in rad/(s V), never in turns per minute. Torque per ampere is 1 / Kv.
Source of the motor equations: Drela, First-Order DC Electric Motor Model, MIT, 2007 (from memory).
"""

from __future__ import annotations

import math

from sim.numerics.compile import compiled


@compiled
def motor_current(
    voltage_v: float, speed_rad_s: float, speed_constant_rad_s_v: float, resistance_ohm: float
) -> float:
    """Give the winding current, i = (V - Omega / Kv) / R.

    Parameters
    ----------
    voltage_v : float
        [V] At the motor, duty times bus voltage.
    speed_rad_s : float
        [rad/s] Shaft speed.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R, winding and speed controller.

    Returns
    -------
    float
        [A] Negative when the motor brakes into the bus.
    """
    return (voltage_v - speed_rad_s / speed_constant_rad_s_v) / resistance_ohm


@compiled
def motor_torque(
    current_a: float, speed_rad_s: float, speed_constant_rad_s_v: float, no_load_current_a: float
) -> float:
    """Give the shaft torque, Q = (i - i0) / Kv; at standstill friction only resists.

    Parameters
    ----------
    current_a : float
        [A] i.
    speed_rad_s : float
        [rad/s] Shaft speed, zero or forwards.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    no_load_current_a : float
        [A] i0, which stands for friction and iron loss.

    Returns
    -------
    float
        [N m] Torque on the shaft.
    """
    driving = current_a - no_load_current_a
    if speed_rad_s <= 0.0 and driving < 0.0:
        driving = min(current_a + no_load_current_a, 0.0)
    return driving / speed_constant_rad_s_v


@compiled
def motor_efficiency(
    current_a: float,
    speed_rad_s: float,
    speed_constant_rad_s_v: float,
    resistance_ohm: float,
    no_load_current_a: float,
) -> float:
    r"""Give shaft power over electrical power.

    .. math:: \eta = (1 - i_0/i) / (1 + i R K_v / \Omega)

    Parameters
    ----------
    current_a : float
        [A] i, above zero.
    speed_rad_s : float
        [rad/s] Omega, above zero.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R.
    no_load_current_a : float
        [A] i0.

    Returns
    -------
    float
        [-] Efficiency.
    """
    loss = 1.0 + current_a * resistance_ohm * speed_constant_rad_s_v / speed_rad_s
    return (1.0 - no_load_current_a / current_a) / loss


@compiled
def no_load_speed(
    voltage_v: float,
    speed_constant_rad_s_v: float,
    resistance_ohm: float,
    no_load_current_a: float,
) -> float:
    """Give the speed of a free shaft, Kv (V - i0 R).

    Parameters
    ----------
    voltage_v : float
        [V] At the motor.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R.
    no_load_current_a : float
        [A] i0.

    Returns
    -------
    float
        [rad/s] Speed, zero if the voltage does not overcome friction.
    """
    return max(speed_constant_rad_s_v * (voltage_v - no_load_current_a * resistance_ohm), 0.0)


@compiled
def best_efficiency_current(
    voltage_v: float, resistance_ohm: float, no_load_current_a: float
) -> float:
    """Give the current at which efficiency is highest, sqrt(i0 V / R).

    Parameters
    ----------
    voltage_v : float
        [V] At the motor.
    resistance_ohm : float
        [ohm] R.
    no_load_current_a : float
        [A] i0.

    Returns
    -------
    float
        [A] Current.
    """
    return math.sqrt(no_load_current_a * voltage_v / resistance_ohm)


@compiled
def best_efficiency(voltage_v: float, resistance_ohm: float, no_load_current_a: float) -> float:
    """Give the highest efficiency at a voltage, (1 - sqrt(i0 R / V))^2.

    Parameters
    ----------
    voltage_v : float
        [V] At the motor.
    resistance_ohm : float
        [ohm] R.
    no_load_current_a : float
        [A] i0.

    Returns
    -------
    float
        [-] Efficiency.
    """
    root = 1.0 - math.sqrt(no_load_current_a * resistance_ohm / voltage_v)
    return root * root


@compiled
def equilibrium_speed(
    voltage_v: float,
    speed_constant_rad_s_v: float,
    resistance_ohm: float,
    no_load_current_a: float,
    torque_factor_n_m_s2: float,
) -> float:
    r"""Give the speed at which motor and propeller torque agree.

    The positive root of
    :math:`k_Q \Omega^2 + \Omega / (K_v^2 R) - (V/R - i_0) / K_v = 0`, in the form that loses no
    digits when k_Q is small.

    Parameters
    ----------
    voltage_v : float
        [V] At the motor.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R.
    no_load_current_a : float
        [A] i0.
    torque_factor_n_m_s2 : float
        [N m s2] k_Q, propeller torque over speed squared.

    Returns
    -------
    float
        [rad/s] Speed, zero if the voltage does not overcome friction.
    """
    drive = (voltage_v / resistance_ohm - no_load_current_a) / speed_constant_rad_s_v
    if drive <= 0.0:
        return 0.0
    drag = 1.0 / (speed_constant_rad_s_v * speed_constant_rad_s_v * resistance_ohm)
    return 2.0 * drive / (drag + math.sqrt(drag * drag + 4.0 * torque_factor_n_m_s2 * drive))


@compiled
def equilibrium_voltage(
    speed_rad_s: float,
    torque_n_m: float,
    speed_constant_rad_s_v: float,
    resistance_ohm: float,
    no_load_current_a: float,
) -> float:
    """Give the voltage that holds a speed against a torque, the inverse of `equilibrium_speed`.

    Parameters
    ----------
    speed_rad_s : float
        [rad/s] Shaft speed.
    torque_n_m : float
        [N m] Torque that the propeller takes.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R.
    no_load_current_a : float
        [A] i0.

    Returns
    -------
    float
        [V] At the motor.
    """
    current = torque_n_m * speed_constant_rad_s_v + no_load_current_a
    return speed_rad_s / speed_constant_rad_s_v + current * resistance_ohm


@compiled
def spin_up_time_constant(
    inertia_kg_m2: float,
    speed_rad_s: float,
    speed_constant_rad_s_v: float,
    resistance_ohm: float,
    torque_factor_n_m_s2: float,
) -> float:
    r"""Give the time constant of small speed changes of motor and propeller.

    .. math:: \tau = J / (1/(K_v^2 R) + 2 k_Q \Omega_0)

    Parameters
    ----------
    inertia_kg_m2 : float
        [kg m2] J, blades and motor bell.
    speed_rad_s : float
        [rad/s] Omega_0.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R.
    torque_factor_n_m_s2 : float
        [N m s2] k_Q, propeller torque over speed squared.

    Returns
    -------
    float
        [s] Time constant at a stiff bus voltage.
    """
    drag = 1.0 / (speed_constant_rad_s_v * speed_constant_rad_s_v * resistance_ohm)
    return inertia_kg_m2 / (drag + 2.0 * torque_factor_n_m_s2 * speed_rad_s)
