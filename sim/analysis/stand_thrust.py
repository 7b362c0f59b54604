"""Throttles at which the test stand gives wanted thrusts, found on the stand itself."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

import numpy as np

from sim.pack.stand import StandPoint
from sim.pack.steady_stand import steady_stand_point
from sim.params.record import FloatArray

_ROUNDS: Final = 40
_SAME: Final = 1e-11
_LEAST_THROTTLE: Final = 1e-3
_LEAST_POWER: Final = 0.5
_MOST_POWER: Final = 4.0
_FIRST_POWER: Final = 1.7


class StandThrust(NamedTuple):
    """A point of the stand and the throttles that it runs at.

    Attributes
    ----------
    throttle : ndarray, shape (rotors,)
        [-] 0 to 1.
    point : StandPoint
    """

    throttle: FloatArray
    point: StandPoint


def stand_at_thrust(
    craft: Any, flight: Any, wanted_n: FloatArray, *, charge: float
) -> StandThrust | None:
    """Find the throttles at which every rotor gives its wanted thrust.

    Thrust goes with a power of throttle that each round measures anew (a secant in logarithms); the
    rotors feel each other only through the sag of the common pack.

    Parameters
    ----------
    craft, flight : record
        As packed; the flight gives the air.
    wanted_n : ndarray, shape (rotors,)
        [N] Each above zero.
    charge : float
        [-] Of the pack.

    Returns
    -------
    StandThrust or None
        None when full throttle does not reach them.
    """
    full = steady_stand_point(craft, flight, np.ones(len(wanted_n)), charge=charge)
    if np.any(full.thrust_n <= 0.0):
        return None
    throttle = np.ones(len(wanted_n))
    thrust = full.thrust_n
    power = np.full(len(wanted_n), _FIRST_POWER)
    for _ in range(_ROUNDS):
        following = throttle * (wanted_n / thrust) ** (1.0 / power)
        following = np.clip(following, _LEAST_THROTTLE, 1.0)
        point = steady_stand_point(craft, flight, following, charge=charge)
        if np.any(point.thrust_n <= 0.0):
            return None
        if np.all(np.abs(point.thrust_n - wanted_n) <= _SAME * wanted_n):
            return StandThrust(following, point)
        change = np.log(following / throttle)
        moved = np.abs(change) > _SAME
        if not np.any(moved):
            break
        slope = np.log(point.thrust_n / thrust) / np.where(moved, change, 1.0)
        power = np.where(moved, np.clip(slope, _LEAST_POWER, _MOST_POWER), power)
        throttle, thrust = following, point.thrust_n
    close = np.abs(point.thrust_n - wanted_n) <= 1e3 * _SAME * wanted_n
    return StandThrust(following, point) if np.all(close) else None
