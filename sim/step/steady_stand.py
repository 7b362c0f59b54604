"""The steady point of the test stand, found at once instead of waited for."""

from __future__ import annotations

from typing import Any

from sim.numerics.compile import compiled
from sim.numerics.quaternion import write_rotation
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.step.electrics import DRIVES, LIMITED, motor_mode
from sim.step.stand import load_on_stand

MOST_PASSES = 200
SAME = 1e-12
LEAST_SLOPE = 1e-12


@compiled
def _motor_slope(craft: CraftRecord, i: int, mode: int) -> float:
    """Give by how much [N m/(rad/s)] torque is lost with speed at a given bus voltage.

    A motor that freewheels is taken to lose it like one that drives; the way back to where it
    drives only takes shorter steps by that.
    """
    if mode == LIMITED:
        return 0.0
    rotor = craft.rotor[i]
    return float(1.0 / (rotor.speed_constant_rad_s_v**2 * rotor.resistance_ohm))


@compiled
def _bus_share(craft: CraftRecord, work: WorkRecord, i: int, mode: int) -> float:
    """Give the torque [N m/V] that a driving motor gains with bus voltage."""
    if mode != DRIVES:
        return 0.0
    rotor = craft.rotor[i]
    return float(work.rotor[i].duty / (rotor.resistance_ohm * rotor.speed_constant_rad_s_v))


@compiled
def _newton_pass(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> bool:
    """Change every speed by one step of Newton's method; tell whether none changed any more.

    The bus couples the motors: a motor that turns faster draws less, so that the others get
    dV/dOmega_j = R_p b_j / (1 + R_p G) more volts, with b_j of `_bus_share`. The derivative is
    therefore diagonal less a product of two vectors, which Sherman and Morrison's formula inverts.
    """
    conductance, ahead, back = 0.0, 0.0, 0.0
    for i in range(craft.rotor_count):
        if motor_mode(craft, work, i) == DRIVES:
            conductance += work.rotor[i].duty ** 2 / craft.rotor[i].resistance_ohm
    resistance = craft.battery.resistance_ohm
    yielding = resistance / (1.0 + resistance * conductance)
    for i in range(craft.rotor_count):
        spot, mode = work.rotor[i], motor_mode(craft, work, i)
        share = _bus_share(craft, work, i, mode)
        slope = _motor_slope(craft, i, mode) + LEAST_SLOPE
        slope += 2.0 * max(spot.torque_n_m, 0.0) / max(state.rotor[i].speed_rad_s, 1.0)
        ahead += yielding * share * (spot.motor_torque_n_m - spot.torque_n_m) / slope
        back += yielding * share * share / slope
    rise = ahead / (1.0 - back)
    settled = True
    for i in range(craft.rotor_count):
        spot, motion, mode = work.rotor[i], state.rotor[i], motor_mode(craft, work, i)
        slope = _motor_slope(craft, i, mode) + LEAST_SLOPE
        slope += 2.0 * max(spot.torque_n_m, 0.0) / max(motion.speed_rad_s, 1.0)
        excess = spot.motor_torque_n_m - spot.torque_n_m
        change = (excess + _bus_share(craft, work, i, mode) * rise) / slope
        change = min(max(change, -0.5 * motion.speed_rad_s - 1.0), motion.speed_rad_s + 100.0)
        faster = max(motion.speed_rad_s + change, 0.0)
        if abs(faster - motion.speed_rad_s) > SAME * max(faster, 1.0):
            settled = False
        motion.speed_rad_s = faster
    return settled


@compiled
def settle_on_stand(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> bool:
    """Turn every rotor at the speed at which motor and air torque agree, in place.

    The loads are those of `load_on_stand`, the very functions of a step.

    Returns
    -------
    bool
        False when the speeds still change after 200 passes.
    """
    write_rotation(state.body.attitude, work.rotation)
    for _ in range(MOST_PASSES):
        load_on_stand(craft, flight, state, work)
        if _newton_pass(craft, state, work):
            return True
    return False


@compiled
def settle_points(
    crafts: Any, flights: Any, states: Any, works: Any, resistance_ohm: FloatArray
) -> bool:
    """Settle many operating points of one craft, each with its own pack and wiring [ohm].

    Parameters
    ----------
    crafts, flights : ndarray of records, shape (1,)
        The craft's battery resistance is overwritten by that of the point.
    states, works : ndarray of records, shape (points,)
        Speeds in the states are the first guess.
    resistance_ohm : ndarray, shape (points,)
        [ohm] Pack, wiring and connectors.

    Returns
    -------
    bool
        True when all are steady.
    """
    steady = True
    craft, flight = crafts[0], flights[0]
    for k in range(resistance_ohm.size):
        craft.battery.resistance_ohm = resistance_ohm[k]
        if not settle_on_stand(craft, flight, states[k], works[k]):
            steady = False
    return steady
