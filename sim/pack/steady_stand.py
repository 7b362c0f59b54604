"""The test stand's steady point found by Newton's method, for answers that need many of them."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from sim.pack.stand import STAND_HEIGHT_M, StandPoint, stand_point
from sim.params.record import FloatArray
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.step.stand import run_on_stand
from sim.step.steady_stand import settle_on_stand

FIRST_S: Final = 0.1
SLOWEST_SETTLE_S: Final = 40.0


def steady_stand_point(
    craft: Any, flight: Any, throttle: FloatArray, *, charge: float
) -> StandPoint:
    """Run the rotors at throttles [-] for a moment, then find the steady speeds at once.

    The moment on the stand chooses the side from which the steady point is met: from standstill, as
    `stand_point` does. Where Newton's method does not settle, the stand itself is waited for.

    Parameters
    ----------
    craft, flight : record
        As packed; the flight gives the air.
    throttle : ndarray, shape (rotors,)
        [-] 0 to 1.
    charge : float
        [-] Of the pack, kept while running.
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
    run_on_stand(craft, flights[0], state, works[0], round(FIRST_S / float(flight.step_s)))
    if not settle_on_stand(craft, flights[0], state, works[0]):
        return stand_point(craft, flight, throttle, charge=charge, settle_s=SLOWEST_SETTLE_S)
    spots = works["rotor"][0, :count]
    speed = states["rotor"]["speed_rad_s"][0, :count].copy()
    return StandPoint(
        thrust_n=spots["thrust_n"].copy(),
        speed_rad_s=speed,
        current_a=spots["current_a"].copy(),
        shaft_w=spots["torque_n_m"] * speed,
        torque_n_m=spots["torque_n_m"].copy(),
        induced_m_s=spots["induced_m_s"].copy(),
        bus_v=float(works[0].bus_v),
        pack_a=float(works[0].pack_a),
        at_limit=works["at_limit"][0].copy(),
    )
