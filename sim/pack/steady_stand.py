"""The test stand's steady point found by Newton's method, for answers that need many of them."""

from __future__ import annotations

from typing import Any, Final

from sim.pack.stand import StandPoint, read_stand, set_up, stand_point
from sim.params.record import FloatArray
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
    flights, states, works = set_up(craft, flight, throttle, charge=charge)
    ticks = round(FIRST_S / float(flight.step_s))
    run_on_stand(craft, flights[0], states[0], works[0], ticks)
    if not settle_on_stand(craft, flights[0], states[0], works[0]):
        return stand_point(craft, flight, throttle, charge=charge, settle_s=SLOWEST_SETTLE_S)
    return read_stand(states, works, int(craft.rotor_count))
