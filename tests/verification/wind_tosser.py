"""Synthetic craft: flights whose chance of success in a wind is known."""

from __future__ import annotations

import numpy as np

from sim.flight.rows import ROW_TYPE
from sim.params.tally_record import Limit, Stop


class Tosser:
    """Flights that succeed with a known probability, by wind.

    Every flight has one uniform number for all winds (the same gusts, scaled: `shared`), or a fresh
    one in each wind. `craft` shifts nothing but the curve.
    """

    def __init__(self, curve, seed, *, shared=True):
        self.curve, self.seed, self.shared = curve, seed, shared
        self.flown = {}

    def rows(self, wind, flights):
        """Give the rows of flights 0 to n - 1."""
        self.flown[wind] = max(self.flown.get(wind, 0), flights)
        key = [self.seed, 0 if self.shared else round(1e4 * wind.mean_m_s)]
        key += [] if self.shared else [round(1e6 * wind.from_rad)]
        luck = np.random.default_rng(key).random(2000)[:flights]
        rows = np.zeros(flights, dtype=ROW_TYPE)
        rows["flight"] = np.arange(flights)
        rows["wind_m_s"], rows["wind_from_rad"] = wind
        good = luck < self.curve(wind)
        rows["stop"] = np.where(good, int(Stop.TIME), int(Stop.DRIFT))
        rows["first_limit"] = np.where(good, -1, int(Limit.TILT_TRAVEL))
        rows["time_s"] = 1.0
        return rows


def logistic(middle_m_s, width_m_s):
    """Give a curve that falls from 1 to 0 about a wind."""

    def curve(wind):
        return 1.0 / (1.0 + np.exp((wind.mean_m_s - middle_m_s) / width_m_s))

    return curve
