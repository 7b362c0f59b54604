"""Bring a hover into a mean wind before the gusts begin, as a pilot waits before a hop."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.flight.run import fly
from sim.pack.wind import take_gusts_out
from sim.params.tally_record import Stop

ROUND_S = 10.0
RISING_SHARES = (0.25, 0.5, 0.75)
RISE_S = 2.0
UNJUDGED = (
    "drift_m",
    "height_loss_m",
    "saturation_s",
    "saturation_share",
    "current_s",
    "recovery_s",
    "touchdown_m_s",
)
MOST_ROUNDS = 6
NEAR_M = 0.3
SLOW_M_S = 0.3
BLOWN_AWAY_M = 1.0


def calm_flight(flight: Any, duration_s: float) -> Any:
    """Give a copy, in an array of one, in the mean wind alone: no noise, gusts, limits or emptying.

    Parameters
    ----------
    flight : record
        As packed; the copy holds the place of its first command.
    duration_s : float
        [s] Of the copy.
    """
    calm = np.array([flight], dtype=flight.dtype)
    calm["noise_factor"] = 0.0
    take_gusts_out(calm)
    calm["keeps_charge"] = 1
    calm["holds_position"] = 1
    calm["command_count"] = 1
    calm["duration_s"] = duration_s
    for name in UNJUDGED:
        calm["limit"][name] = 0.0
    return calm


def settled_in_wind(craft: Any, flight: Any, start: Any) -> Any:
    """Give the state after a while in the flight's mean wind alone, without noise and gusts.

    The wind rises in four steps, as a craft that lifts off in a lull meets it: all of it at once
    would whip the fabric into a rotor that it never reaches otherwise.

    Parameters
    ----------
    craft, flight : record
        As packed; position hold is on while settling.
    start : ndarray of one state record
        Hover, for instance in still air.

    Returns
    -------
    ndarray of one state record
        At tick 0, near its place and slow, or after a minute at most; the start itself when the
        craft cannot hold there, so that the flights to come show how it fails.
    """
    calm = calm_flight(flight, ROUND_S)
    state = start
    for share in RISING_SHARES:
        rising = calm.copy()
        rising["wind_m_s"] *= share
        rising["duration_s"] = RISE_S
        flown = fly(craft, rising[0], state, every_s=RISE_S)
        if flown.stop != Stop.TIME:
            return start
        state = flown.state
        state["tick"] = 0
    for _ in range(MOST_ROUNDS):
        flown = fly(craft, calm[0], state, every_s=ROUND_S)
        if flown.stop != Stop.TIME:
            return start
        state = flown.state
        state["tick"] = 0
        body = state[0].body
        away = float(np.max(np.abs(body.position_m - calm[0].command[0].place_m)))
        if away < NEAR_M and float(np.max(np.abs(body.velocity_m_s))) < SLOW_M_S:
            break
    return state


def start_in_wind(craft: Any, flight: Any, start: Any) -> Any:
    """Give the state that a flight begins with: settled in its mean wind, over its place.

    A craft that such a wind carries along is put back over its place as it then leans and moves,
    so that its flight shows how it is carried off from there.

    Parameters
    ----------
    craft, flight, start : see `settled_in_wind`

    Returns
    -------
    ndarray of one state record
    """
    settled = settled_in_wind(craft, flight, start)
    away = settled["body"]["position_m"][0, :2] - flight.command[0].place_m[:2]
    if float(np.hypot(*away)) <= BLOWN_AWAY_M:
        return settled
    settled = settled.copy()
    for part in ("body", "estimate", "particle"):
        settled[part]["position_m"][..., :2] -= away
    return settled
