"""A flight's end as a sentence, and the first thing that gave out before a failure."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.flight.results import GOOD_ENDS
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
    Limit.NECK_STOP: "head on the stop of its neck",
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


def first_limits(tallies: Any, step_s: float) -> NDArray[np.int64]:
    """Give for each of many flights the limit that came first before its end, -1 where none did.

    Of the limits met in the last 1.5 s in runs of at least 0.05 s, the one whose last run began
    earliest. `tallies` has shape (flights,), the answer too.
    """
    end = np.asarray(tallies["ticks"])[..., np.newaxis]
    last, run = np.asarray(tallies["last_tick"]), np.asarray(tallies["last_run"])
    recent = (last >= 0.0) & (end - last <= RECENT_S / step_s) & (run >= LONG_ENOUGH_S / step_s)
    began = np.where(recent, last - run, np.inf)
    first: NDArray[np.int64] = np.where(recent.any(axis=-1), np.argmin(began, axis=-1), -1)
    return first


def first_limit(tally: Any, step_s: float) -> Limit | None:
    """Give the limit that came first before a flight's end, None when none did."""
    first = int(first_limits(tally, step_s))
    return None if first < 0 else Limit(first)


def cause_words(stop: int, limit: int) -> str:
    """Say how a failed flight ended and what came first, from their codes (-1: no limit)."""
    ended = STOP_WORDS[Stop(stop)]
    return ended if limit < 0 else f"{ended}, after {LIMIT_WORDS[Limit(limit)]}"


def cause(tally: Any, step_s: float) -> str:
    """Give how a failed flight ended and, where one was met, the limit that came first."""
    return cause_words(int(tally.stop), int(first_limits(tally, step_s)))


def sentence(tally: Any, step_s: float, where: str = "") -> str:
    """Give a flight's end in words, with its time; of a failed one with what gave out first.

    `where` is what else is known of the place of the failure.
    """
    stop = Stop(int(tally.stop))
    words = STOP_WORDS[stop] if stop in GOOD_ENDS else cause(tally, step_s)
    place = f" ({where})" if where else ""
    return f"{words}{place}, at {float(tally.stop_s):.2f} s"
