"""Question 1, will it lift: thrust at the pack's sag against weight and download."""

from __future__ import annotations

import math

import numpy as np

from sim.analysis.check_result import LiftAnswer
from sim.analysis.endurance import SourceOfPower, time_at_power
from sim.analysis.linearise import advanced
from sim.analysis.operating_point import observed
from sim.analysis.trim import Trim
from sim.pack.craft import PackedCraft
from sim.pack.flight import plain_flight
from sim.pack.stand import stand_point
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.physics.rotor.momentum import ideal_hover_power
from sim.spec.airframe import CraftSpec


def endurance_s(craft: CraftSpec, packed: PackedCraft, power_w: float) -> float:
    """Give the time [s] at constant electric power [W] from the charge at take-off to the reserve.

    Without the slow part of the sag; 0 when the pack starts below its reserve.
    """
    battery = packed.record.battery
    if craft.battery.charge <= craft.battery.reserve:
        return 0.0
    source = SourceOfPower(
        open_circuit_v=np.ascontiguousarray(battery.open_circuit_v),
        capacity_a_s=float(battery.capacity_a_s),
        resistance_ohm=float(battery.resistance_ohm),
        wiring_ohm=craft.battery.wiring_resistance_ohm.value,
        pair=None,
        charge=craft.battery.charge,
        reserve=craft.battery.reserve,
    )
    return time_at_power(source, power_w, least_bus_v=0.0).seconds


def _download_n(packed: PackedCraft, trim: Trim) -> float:
    """Give how much more [N] the rotors lift in hover than the craft weighs."""
    work = observed(trim)
    lift = sum(
        float(spot.thrust_n) * -float(spot.axis_earth[2])
        for spot in work.rotor[: int(packed.record.rotor_count)]
    )
    return lift - packed.whole_mass_kg * STANDARD_GRAVITY_M_S2


def _figure_of_merit(packed: PackedCraft) -> float:
    full, record = packed.full, packed.record
    ideal = sum(
        ideal_hover_power(
            float(full.thrust_n[i]),
            packed.air.density_kg_m3,
            math.pi * float(record.rotor[i].radius_m) ** 2,
        )
        for i in range(int(record.rotor_count))
    )
    return ideal / float(np.sum(full.shaft_w))


def _thrust_spread_n(craft: CraftSpec, packed: PackedCraft) -> float:
    """Give about two standard deviations [N] of the full thrust, from the propellers' factors.

    Rotors of one kind err together. At a given voltage a stronger propeller also turns slower, so
    this is rather too wide.
    """
    return float(
        sum(
            rotor.propeller.thrust_factor.plus_minus / rotor.propeller.thrust_factor.value * thrust
            for rotor, thrust in zip(craft.rotors, packed.full.thrust_n, strict=True)
        )
    )


def lift_answer(craft: CraftSpec, packed: PackedCraft, trim: Trim | None) -> LiftAnswer:
    """Answer question 1 for a craft, with its hover trim in still air where there is one."""
    full, record = packed.full, packed.record
    count = int(record.rotor_count)
    flight = plain_flight(packed.air)[0]
    kept = np.full(count, 1.0 - craft.controller.reserved)
    usable = stand_point(record, flight, kept, charge=packed.charge)
    weight = packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    download = 0.0 if trim is None else _download_n(packed, trim)
    burden = weight + max(download, 0.0)
    usable_n = float(np.sum(usable.thrust_n))
    full_n = float(np.sum(full.thrust_n))
    throttle = current = power = volts = seconds = None
    if trim is not None:
        work = observed(trim)
        # What the loops hold between their runs belongs to the state one period on.
        later = advanced(trim.crafts, trim.flights, trim.state)
        throttle = float(np.mean(later["rotor"]["throttle"][0, :count]))
        current, volts = float(work.pack_a), float(work.bus_v)
        power = current * volts
        seconds = endurance_s(craft, packed, power)
    limits = record["rotor"]["current_limit_a"][:count]
    return LiftAnswer(
        weight_n=weight,
        fabric_weight_n=packed.fabric_mass_kg * STANDARD_GRAVITY_M_S2,
        download_n=download,
        full_thrust_n=full_n,
        usable_thrust_n=usable_n,
        thrust_to_weight=full_n / burden,
        usable_thrust_to_weight=usable_n / burden,
        thrust_plus_minus_n=_thrust_spread_n(craft, packed),
        full_current_a=full.pack_a,
        full_bus_v=full.bus_v,
        full_power_w=full.pack_a * full.bus_v,
        can_lift=usable_n > burden,
        hover_throttle=throttle,
        hover_current_a=current,
        hover_power_w=power,
        hover_bus_v=volts,
        endurance_s=seconds,
        motor_current_share=float(np.max(full.current_a / limits)),
        pack_current_share=full.pack_a / float(record.battery.current_limit_a),
        tip_speed_m_s=float(np.max(full.speed_rad_s * record["rotor"]["radius_m"][:count])),
        figure_of_merit=_figure_of_merit(packed),
    )
