"""From command to the voltage that the motor sees, within the current limit.

The controller is an ideal averaging bridge: motor voltage = duty times bus voltage, and bus current
= duty times motor current, also when the motor brakes (its own loss is in the motor resistance).
"""

from __future__ import annotations

from sim.numerics.compile import compiled


@compiled
def duty_of_command(command: float, full_command: float) -> float:
    """Give the share of bus voltage for a command.

    Parameters
    ----------
    command : float
        [-] 0 to 1; values outside are taken as the nearest end.
    full_command : float
        [-] Share of bus voltage delivered at full command; 1 when the end points are calibrated.

    Returns
    -------
    float
        [-] Duty, linear in command.
    """
    return full_command * min(max(command, 0.0), 1.0)


@compiled
def bus_conductance(duty: float, resistance_ohm: float) -> float:
    """Give a motor's share of G in `bus_voltage`, d^2 / R.

    Parameters
    ----------
    duty : float
        [-] d.
    resistance_ohm : float
        [ohm] R, winding and speed controller.

    Returns
    -------
    float
        [S] Conductance seen from the bus.
    """
    return duty * duty / resistance_ohm


@compiled
def bus_back_current(
    duty: float, speed_rad_s: float, speed_constant_rad_s_v: float, resistance_ohm: float
) -> float:
    """Give a motor's share of J_0 in `bus_voltage`, d Omega / (Kv R).

    Parameters
    ----------
    duty : float
        [-] d.
    speed_rad_s : float
        [rad/s] Omega.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R, winding and speed controller.

    Returns
    -------
    float
        [A] Current that the motor's own voltage sends back.
    """
    return duty * speed_rad_s / (speed_constant_rad_s_v * resistance_ohm)


@compiled
def limited_current(current_a: float, current_limit_a: float) -> tuple[float, bool]:
    """Hold a motor current within the limit, driving or braking.

    Parameters
    ----------
    current_a : float
        [A] That the wanted duty would give.
    current_limit_a : float
        [A] The lesser of motor and speed controller, above zero.

    Returns
    -------
    current : float
        [A] Within plus or minus the limit.
    limited : bool
        [-] True when the limit acts.
    """
    if current_a > current_limit_a:
        return current_limit_a, True
    if current_a < -current_limit_a:
        return -current_limit_a, True
    return current_a, False


@compiled
def power_at_current(
    current_a: float, speed_rad_s: float, speed_constant_rad_s_v: float, resistance_ohm: float
) -> float:
    """Give the bus power of a motor held at a current, i (Omega / Kv + i R).

    At the limit the controller lowers its duty so that the current stays; the bus then sees a load
    of constant power, which enters `bus_voltage` as such.

    Parameters
    ----------
    current_a : float
        [A] Held motor current.
    speed_rad_s : float
        [rad/s] Shaft speed.
    speed_constant_rad_s_v : float
        [rad/(s V)] Kv.
    resistance_ohm : float
        [ohm] R, winding and speed controller.

    Returns
    -------
    float
        [W] Negative when it brakes into the bus.
    """
    return current_a * (speed_rad_s / speed_constant_rad_s_v + current_a * resistance_ohm)
