"""Fly one flight and keep its history."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.flight.results import Flight
from sim.flight.start import blank_tally, blank_works
from sim.step.batch import fly_one
from sim.step.channels import CHANNELS_PER_ROTOR, FIRST_ROTOR_CHANNEL


def fly(craft: Any, flight: Any, start: Any, *, every_s: float = 0.02) -> Flight:
    """Fly from a start state until the flight's own end.

    Parameters
    ----------
    craft, flight : record
        As packed.
    start : ndarray of one state record
        Copied, not changed.
    every_s : float
        [s] Interval of the history, rounded to whole steps.
    """
    every = max(round(every_s / float(flight.step_s)), 1)
    rows = int(float(flight.duration_s) / (every * float(flight.step_s))) + 2
    history = np.zeros((rows, FIRST_ROTOR_CHANNEL + CHANNELS_PER_ROTOR * craft.rotor_count))
    fabric = np.zeros((rows, craft.drape.panel_count, 3))
    state, tally, works = start.copy(), blank_tally(), blank_works()
    written = fly_one(craft, flight, state[0], works[0], tally[0], history, every, fabric)
    return Flight(history[:written], fabric[:written], tally[0], state)
