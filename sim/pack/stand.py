"""Figures from the test stand: what the rotors give at a throttle, all of them or one alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.params.record import FloatArray
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.step.stand import run_on_stand

STAND_HEIGHT_M = 100.0
SETTLE_S = 3.0


@final
@dataclass(frozen=True)
class StandPoint:
    """Steady running on the stand, in still air.

    Attributes
    ----------
    thrust_n, speed_rad_s, current_a, shaft_w, torque_n_m, induced_m_s : ndarray, shape (rotors,)
        Of each rotor: thrust, shaft speed, motor current, shaft power, torque, induced velocity.
    bus_v, pack_a : float
        Volts at the speed controllers, current out of the pack.
    at_limit : ndarray, shape (LIMITS,)
        1 where a limit is met.
    """

    thrust_n: FloatArray
    speed_rad_s: FloatArray
    current_a: FloatArray
    shaft_w: FloatArray
    torque_n_m: FloatArray
    induced_m_s: FloatArray
    bus_v: float
    pack_a: float
    at_limit: FloatArray


def stand_point(
    craft: Any, flight: Any, throttle: FloatArray, *, charge: float, settle_s: float = SETTLE_S
) -> StandPoint:
    """Run the rotors at throttles [-] until they are steady.

    Parameters
    ----------
    craft, flight : record
        As packed; the flight gives the air.
    throttle : ndarray, shape (rotors,)
        [-] 0 to 1.
    charge : float
        [-] Of the pack, kept while running.
    settle_s : float
        [s] Time to settle, many time constants of a rotor.
    """
    flights, states, works = set_up(craft, flight, throttle, charge=charge)
    ticks = round(settle_s / float(flight.step_s))
    run_on_stand(craft, flights[0], states[0], works[0], ticks)
    return read_stand(states, works, int(craft.rotor_count))


def set_up(craft: Any, flight: Any, throttle: FloatArray, *, charge: float) -> tuple[Any, Any, Any]:
    """Give flight, state and work records, one each, of rotors about to start on the stand.

    In still air, far from the ground, with a pack that keeps its charge [-].
    """
    count = int(craft.rotor_count)
    flights = np.array([flight], dtype=flight.dtype)
    flights["keeps_charge"] = 1
    flights["wind_m_s"] = 0.0
    states, works = np.zeros(1, dtype=STATE_TYPE), np.zeros(1, dtype=WORK_TYPE)
    state = states[0]
    state.charge = charge
    state.body.attitude[0] = 1.0
    state.body.position_m[2] = -STAND_HEIGHT_M
    states["rotor"]["throttle"][0, :count] = throttle
    states["rotor"]["speed_rad_s"][0, :count] = 1.0
    return flights, states, works


def read_stand(states: Any, works: Any, count: int) -> StandPoint:
    """Give what the instruments of the stand show now, for `count` rotors."""
    spots, work = works["rotor"][0, :count], works[0]
    speed = states["rotor"]["speed_rad_s"][0, :count].copy()
    return StandPoint(
        thrust_n=spots["thrust_n"].copy(),
        speed_rad_s=speed,
        current_a=spots["current_a"].copy(),
        shaft_w=spots["torque_n_m"] * speed,
        torque_n_m=spots["torque_n_m"].copy(),
        induced_m_s=spots["induced_m_s"].copy(),
        bus_v=float(work.bus_v),
        pack_a=float(work.pack_a),
        at_limit=works["at_limit"][0].copy(),
    )
