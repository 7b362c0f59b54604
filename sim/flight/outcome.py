"""A flight's end as a sentence, and the first thing that gave out before a failure."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.params.tally_record import Limit, Stop

LIMIT_WORDS: dict[Limit, str] = {
    Limit.THRUST_FULL: "a rotor at full thrust",
    Limit.THRUST_LEAST: "a rotor at its least thrust",
    Limit.TILT_TRAVEL: "rotor tilt at the end of its travel",
    Limit.TILT_SLEW: "tilt servo at its greatest speed",
    Limit.THRUST_RESERVE: "climb throttle at the levelling reserve",
    Limit.YAW_GIVEN_UP: "yaw given up for pitch",
    Limit.MOTOR_CURRENT: "motor current at its limit",
    Limit.PACK_CURRENT: "pack current at its limit",
    Limit.PACK_POWER: "pack cannot deliver the power",
}
STOP_WORDS: dict[Stop, str] = {
    Stop.NONE: "did not end",
    Stop.TIME: "flew its whole time",
    Stop.LANDED: "landed",
    Stop.TILT: "tilted over",
    Stop.DRIFT: "drifted too far from its place",
    Stop.HEIGHT: "lost too much height",
    Stop.GROUND_STRIKE: "struck the ground",
    Stop.FABRIC_IN_ROTOR: "got fabric into a rotor",
    Stop.NOT_FINITE: "left the numbers that can be computed",
    Stop.TIP_OVER: "tipped over on the ground",
    Stop.PACK_EMPTY: "emptied its pack",
    Stop.STAYED_DOWN: "never left the ground",
    Stop.SATURATED: "sat on a limit for too long",
    Stop.HARD_TOUCHDOWN: "touched down too fast",
    Stop.OVER_CURRENT: "drew too much current for too long",
    Stop.SLOW_RECOVERY: "took too long to recover",
    Stop.SATURATED_OFTEN: "sat on a limit for too much of its time",
}
RECENT_S = 1.5
LONG_ENOUGH_S = 0.05


def first_limit(tally: Any, step_s: float) -> Limit | None:
    """Give the limit that came first before a flight's end.

    Of the limits met in the last 1.5 s in runs of at least 0.05 s, the one whose last run began
    earliest; None when none was.
    """
    end = float(tally.ticks)
    last, run = np.asarray(tally.last_tick), np.asarray(tally.last_run)
    recent = (last >= 0.0) & (end - last <= RECENT_S / step_s) & (run >= LONG_ENOUGH_S / step_s)
    if not recent.any():
        return None
    began = np.where(recent, last - run, np.inf)
    return Limit(int(np.argmin(began)))


def cause(tally: Any, step_s: float) -> str:
    """Give how a failed flight ended and, where one was met, the limit that came first."""
    ended = STOP_WORDS[Stop(int(tally.stop))]
    limit = first_limit(tally, step_s)
    return ended if limit is None else f"{ended}, after {LIMIT_WORDS[limit]}"


def sentence(tally: Any, step_s: float) -> str:
    """Give a flight's end in words, with its time."""
    return f"{cause(tally, step_s)}, at {float(tally.stop_s):.2f} s"
