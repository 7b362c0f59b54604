"""Throttle to shaft torque: speed controllers, motors, wiring and pack, solved together."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import Limit, WorkRecord
from sim.physics.power.battery import bus_voltage, open_circuit_voltage

MOTOR_CURRENT = int(Limit.MOTOR_CURRENT)
PACK_CURRENT = int(Limit.PACK_CURRENT)
PACK_POWER = int(Limit.PACK_POWER)

DRIVES = 0
FREEWHEELS = 1
LIMITED = 2
MODES = 3
PASSES = 3
BUS_TOLERANCE = 1e-9
HALVINGS = 44


@compiled
def motor_mode(craft: CraftRecord, work: WorkRecord, i: int) -> int:
    """Tell whether motor i drives, freewheels (no braking) or sits on its current limit."""
    rotor, spot = craft.rotor[i], work.rotor[i]
    current = (spot.duty * work.bus_v - spot.back_v) / rotor.resistance_ohm
    if current <= 0.0:
        return FREEWHEELS
    if current > rotor.current_limit_a:
        return LIMITED
    return DRIVES


@compiled
def solve_bus(craft: CraftRecord, work: WorkRecord, source_v: float) -> None:
    """Write the bus voltage [V] for all motors at once, from a pack of open-circuit volts.

    A driving motor at duty d draws d (d V - Omega/Kv) / R from the bus, so that all of them
    together are a conductance and a source; a motor on its limit draws constant power, as the
    electronics do. The closed form is repeated while motors change between driving, freewheeling
    and limited, at most twice. The first time none is limited: sag alone may keep a motor below its
    limit, and with the limit's power a weak pack would seem unable to deliver.
    """
    battery = craft.battery
    work.bus_v = source_v
    modes_before = -1
    for k in range(PASSES):
        power, conductance, given = battery.electronics_w, 0.0, 0.0
        modes = 0
        for i in range(craft.rotor_count):
            rotor, duty, back = craft.rotor[i], work.rotor[i].duty, work.rotor[i].back_v
            mode = motor_mode(craft, work, i)
            if mode == LIMITED and k == 0:
                mode = DRIVES
            modes = MODES * modes + mode
            if mode == DRIVES:
                conductance += duty * duty / rotor.resistance_ohm
                given += duty * back / rotor.resistance_ohm
            elif mode == LIMITED:
                power += rotor.current_limit_a * (
                    rotor.current_limit_a * rotor.resistance_ohm + back
                )
        if modes == modes_before:
            break
        modes_before = modes
        work.bus_v, _ = bus_voltage(source_v, battery.resistance_ohm, power, given, conductance)


@compiled
def motor_current(craft: CraftRecord, work: WorkRecord, i: int) -> float:
    """Give the current [A] of motor i at the bus voltage, between none and its limit."""
    rotor, spot = craft.rotor[i], work.rotor[i]
    current = (spot.duty * work.bus_v - spot.back_v) / rotor.resistance_ohm
    return float(min(max(current, 0.0), rotor.current_limit_a))


@compiled
def bus_current(craft: CraftRecord, work: WorkRecord) -> float:
    """Give what motors and electronics draw [A] at the bus voltage."""
    power = craft.battery.electronics_w
    for i in range(craft.rotor_count):
        current = motor_current(craft, work, i)
        power += current * (current * craft.rotor[i].resistance_ohm + work.rotor[i].back_v)
    return float(power / work.bus_v)


@compiled
def find_bus(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write the bus voltage [V]: by closed form, or by halving where that does not settle.

    Below half its open-circuit volts a pack gives less power for more current; where it would have
    to go there it cannot deliver.
    """
    resistance = craft.battery.resistance_ohm
    source = open_circuit_voltage(craft.battery.open_circuit_v, state.charge)
    for i in range(craft.rotor_count):
        rotor, motion, spot = craft.rotor[i], state.rotor[i], work.rotor[i]
        spot.duty = motion.throttle * rotor.full_command
        spot.back_v = motion.speed_rad_s / rotor.speed_constant_rad_s_v
    solve_bus(craft, work, source)
    left = source - resistance * bus_current(craft, work) - work.bus_v
    if abs(left) <= BUS_TOLERANCE * source:
        work.at_limit[PACK_POWER] = 0.0
        return
    low, high = 0.5 * source, source
    work.bus_v = low
    if source - resistance * bus_current(craft, work) < low:
        work.at_limit[PACK_POWER] = 1.0
        return
    work.at_limit[PACK_POWER] = 0.0
    for _ in range(HALVINGS):
        work.bus_v = 0.5 * (low + high)
        if source - resistance * bus_current(craft, work) < work.bus_v:
            high = work.bus_v
        else:
            low = work.bus_v


@compiled
def drive_motors(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Write current [A] and shaft torque [N m] of every motor, and empty the pack.

    First-order motor: Q = (i - i0) / Kv (Drela 2007). A motor whose back voltage exceeds what it is
    given freewheels. When the pack cannot deliver, all motors get the same share of their current.
    """
    battery = craft.battery
    find_bus(craft, state, work)
    share, given = 1.0, math.inf
    if work.at_limit[PACK_POWER] > 0.0:
        given = work.bus_v / battery.resistance_ohm
        share = min(given / bus_current(craft, work), 1.0)
    drawn = battery.electronics_w / work.bus_v
    for i in range(craft.rotor_count):
        rotor, spot = craft.rotor[i], work.rotor[i]
        current = motor_current(craft, work, i)
        if current >= rotor.current_limit_a:
            work.at_limit[MOTOR_CURRENT] = 1.0
        current *= share
        spot.current_a = current
        spot.motor_torque_n_m = (current - rotor.no_load_current_a) / rotor.speed_constant_rad_s_v
        drawn += current * (current * rotor.resistance_ohm + spot.back_v) / work.bus_v
    drawn = min(drawn, given)
    work.pack_a = drawn
    if drawn > battery.current_limit_a:
        work.at_limit[PACK_CURRENT] = 1.0
    if flight.keeps_charge == 0:
        state.charge = max(state.charge - drawn * flight.step_s / battery.capacity_a_s, 0.0)
