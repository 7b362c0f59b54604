"""How far one gust pushes a hovering craft, for tests of the step and of what fabric meets."""

from __future__ import annotations

import numpy as np

from sim.analysis.trim import steady_craft
from sim.flight.run import fly
from sim.pack.flight import plain_flight
from sim.params.tally_record import Stop


def gust_drift_m(case, step_s, *, gust_m_s, seconds, touches=True, stiffer=1.0):
    """Give how far downwind [m] one gust has pushed a hovering craft, with steps of this length.

    The loops keep their period of 2 ms, so that only the integration changes. What fabric meets is
    so many times as stiff, or not there.
    """
    crafts = steady_craft(case.packed.record)
    flights = plain_flight(case.packed.air, duration_s=seconds)
    period_s = float(flights[0].step_s) * int(crafts[0].control.period_ticks)
    crafts["control"]["period_ticks"] = round(period_s / step_s)
    flights["step_s"] = step_s
    crafts["drape"]["panel"]["moved_mass_kg"] *= stiffer
    if not touches:
        crafts["drape"]["capsule_count"] = 0
    flights["gust_count"] = 1
    gust = flights[0].gust[0]
    gust.peak_m_s, gust.start_s, gust.length_s = gust_m_s, 0.0, seconds / 1.5
    flown = fly(crafts[0], flights[0], case.trim.state, every_s=0.5)
    assert flown.stop == Stop.TIME
    return -float(flown.state["body"]["position_m"][0, 0])


def gust_drifts_m(case, gusts_m_s, step_s=1e-3, **what):
    """Give the drift [m] after 3 s in each of several gusts."""
    return np.array(
        [gust_drift_m(case, step_s, gust_m_s=gust, seconds=3.0, **what) for gust in gusts_m_s]
    )
