"""One steady running of all rotors with everything that a builder measures or worries about."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.analysis.power_flow import PowerFlow, RotorPower
from sim.pack.craft import PackedCraft
from sim.pack.stand import StandPoint
from sim.params.record import FloatArray
from sim.params.tally_record import Limit
from sim.physics.power.battery import open_circuit_voltage
from sim.physics.power.pack_resistance import resistance_factor
from sim.physics.rotor.momentum import ideal_hover_power
from sim.spec.airframe import CraftSpec

SECONDS_PER_HOUR = 3600.0


@final
@dataclass(frozen=True)
class RotorPoint:
    """One rotor at an operating point.

    Attributes
    ----------
    name : str
    throttle, duty : float
        [-] Command, and the share of bus volts that the motor gets.
    speed_rad_s, thrust_n, torque_n_m : float
        [rad/s], [N], [N m] Of the propeller.
    motor_a, motor_v, bus_a : float
        [A], [V], [A] Winding current, volts behind the controller's resistance, bus current.
    motor_efficiency, controller_efficiency : float or None
        [-] Shaft over motor watts, motor over bus watts; None without current.
    figure_of_merit : float or None
        [-] Least power for the thrust over shaft power; None at standstill.
    tip_speed_m_s, tip_mach : float
        [m/s], [-]
    motor_limit_a, controller_limit_a : float
        [A] What motor and speed controller bear.
    power : RotorPower
    """

    name: str
    throttle: float
    duty: float
    speed_rad_s: float
    thrust_n: float
    torque_n_m: float
    motor_a: float
    motor_v: float
    bus_a: float
    motor_efficiency: float | None
    controller_efficiency: float | None
    figure_of_merit: float | None
    tip_speed_m_s: float
    tip_mach: float
    motor_limit_a: float
    controller_limit_a: float
    power: RotorPower


@final
@dataclass(frozen=True)
class PowerPoint:
    """All rotors, pack and wiring at an operating point.

    Attributes
    ----------
    name : str
        Such as "hover".
    rotors : tuple of RotorPoint
    thrust_n : float
        [N] Of all rotors.
    open_circuit_v, bus_v : float
        [V] Of the rested cells, and at the speed controllers.
    pack_a, pack_w : float
        [A], [W] Out of the pack; watts as a meter at the speed controllers would show them.
    c_rate_1_h : float
        [1/h] Pack current over capacity.
    deliverable : bool
        [-] False when the pack cannot deliver the power asked; then the flow does not close.
    flow : PowerFlow
    """

    name: str
    rotors: tuple[RotorPoint, ...]
    thrust_n: float
    open_circuit_v: float
    bus_v: float
    pack_a: float
    pack_w: float
    c_rate_1_h: float
    deliverable: bool
    flow: PowerFlow

    @property
    def throttle(self) -> float:
        """Mean throttle [-]."""
        return sum(rotor.throttle for rotor in self.rotors) / len(self.rotors)

    @property
    def most_motor_a(self) -> float:
        """Greatest winding current [A]."""
        return max(rotor.motor_a for rotor in self.rotors)


def pack_resistance_ohm(craft: CraftSpec) -> float:
    """Give the resistance [ohm] of the pack alone, at its temperature and age."""
    pack = craft.battery
    return pack.resistance_ohm.value * resistance_factor(pack.temperature_k, pack.age_factor)


def _rotor_point(
    craft: CraftSpec, packed: PackedCraft, index: int, throttle: float, point: StandPoint
) -> RotorPoint:
    spec, record = craft.rotors[index], packed.record.rotor[index]
    current, speed = float(point.current_a[index]), float(point.speed_rad_s[index])
    thrust, shaft = float(point.thrust_n[index]), float(point.shaft_w[index])
    own_v = speed / float(record.speed_constant_rad_s_v)
    winding_heat = current**2 * spec.motor.resistance_ohm.value
    controller_heat = current**2 * spec.speed_controller.resistance_ohm
    motor_w = current * own_v + winding_heat
    bus_w = motor_w + controller_heat
    disc = math.pi * float(record.radius_m) ** 2
    ideal = ideal_hover_power(thrust, packed.air.density_kg_m3, disc) if thrust > 0.0 else 0.0
    free_running = float(record.no_load_current_a) * own_v
    tip = speed * float(record.radius_m)
    return RotorPoint(
        name=spec.name,
        throttle=throttle,
        duty=bus_w / (current * point.bus_v) if current > 0.0 else throttle * record.full_command,
        speed_rad_s=speed,
        thrust_n=thrust,
        torque_n_m=float(point.torque_n_m[index]),
        motor_a=current,
        motor_v=own_v + current * spec.motor.resistance_ohm.value,
        bus_a=bus_w / point.bus_v,
        motor_efficiency=shaft / motor_w if motor_w > 0.0 else None,
        controller_efficiency=motor_w / bus_w if bus_w > 0.0 else None,
        figure_of_merit=ideal / shaft if shaft > 0.0 else None,
        tip_speed_m_s=tip,
        tip_mach=tip / packed.air.speed_of_sound_m_s,
        motor_limit_a=spec.motor.current_limit_a,
        controller_limit_a=spec.speed_controller.current_limit_a,
        power=RotorPower(bus_w, controller_heat, winding_heat, free_running, shaft, ideal),
    )


def power_point(
    craft: CraftSpec,
    packed: PackedCraft,
    name: str,
    throttle: FloatArray,
    point: StandPoint,
    *,
    charge: float,
) -> PowerPoint:
    """Work out everything about a steady point of the stand.

    Parameters
    ----------
    craft, packed : what runs
    name : str
        What the point is called.
    throttle : ndarray, shape (rotors,)
        [-] That the point was run with.
    point : StandPoint
    charge : float
        [-] Of the pack.
    """
    battery: Any = packed.record.battery
    rotors = tuple(
        _rotor_point(craft, packed, i, float(throttle[i]), point) for i in range(len(craft.rotors))
    )
    table: FloatArray = np.ascontiguousarray(battery.open_circuit_v)
    volts = float(open_circuit_voltage(table, charge))
    current = point.pack_a
    flow = PowerFlow(
        source_w=volts * current,
        pack_heat_w=current**2 * pack_resistance_ohm(craft),
        wiring_heat_w=current**2 * craft.battery.wiring_resistance_ohm.value,
        electronics_w=float(battery.electronics_w),
        rotors=tuple(rotor.power for rotor in rotors),
    )
    return PowerPoint(
        name=name,
        rotors=rotors,
        thrust_n=float(np.sum(point.thrust_n)),
        open_circuit_v=volts,
        bus_v=point.bus_v,
        pack_a=current,
        pack_w=point.bus_v * current,
        c_rate_1_h=current * SECONDS_PER_HOUR / float(battery.capacity_a_s),
        deliverable=not bool(point.at_limit[int(Limit.PACK_POWER)]),
        flow=flow,
    )
