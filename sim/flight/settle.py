"""Bring a hover into a mean wind before the gusts begin, as a pilot waits before a hop."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.flight.run import fly
from sim.params.tally_record import Stop

SETTLE_S = 15.0


def settled_in_wind(craft: Any, flight: Any, start: Any, *, settle_s: float = SETTLE_S) -> Any:
    """Give the state after a while in the flight's mean wind alone, without noise and gusts.

    Parameters
    ----------
    craft, flight : record
        As packed; position hold is on while settling.
    start : ndarray of one state record
        Hover, for instance in still air.
    settle_s : float
        [s] How long.

    Returns
    -------
    ndarray of one state record
        Settled, at tick 0; the start itself when the craft cannot hold there, so that the flights
        to come show how it fails.
    """
    calm = np.array([flight], dtype=flight.dtype)
    calm["noise_factor"] = 0.0
    calm["turbulence_ticks"] = 0
    calm["gust"]["peak_m_s"] = 0.0
    calm["keeps_charge"] = 1
    calm["holds_position"] = 1
    calm["command_count"] = 1
    calm["duration_s"] = settle_s
    calm["limit"]["drift_m"] = 0.0
    calm["limit"]["height_loss_m"] = 0.0
    calm["limit"]["saturation_s"] = 0.0
    flown = fly(craft, calm[0], start, every_s=settle_s)
    if flown.stop != Stop.TIME:
        return start
    flown.state["tick"] = 0
    return flown.state
