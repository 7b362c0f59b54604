"""What happened in a flight and when: limits met, steps of the task, gusts, and its end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np

from sim.flight.outcome import LIMIT_WORDS, STOP_WORDS, first_limit
from sim.flight.results import Flight
from sim.params.flight_record import LAND, STAND
from sim.params.tally_record import Limit, Stop
from sim.report.number_text import capital, fixed
from sim.report.replay.trajectory import away_m

LEAST_RUN_S: Final = 0.1
MOST_EVENTS: Final = 40
_JOIN_S: Final = 0.5


@final
@dataclass(frozen=True)
class Event:
    """Something that happened.

    Attributes
    ----------
    time_s : float
        [s] When it began.
    words : str
        What it was.
    """

    time_s: float
    words: str


def _runs(met: Any, interval_s: float) -> list[tuple[float, float]]:
    """Give begin and length [s] of runs of true, joined across gaps shorter than half a second."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], met, [False]]).astype(np.int8)))
    runs: list[tuple[float, float]] = []
    for begin, end in edges.reshape(-1, 2) * interval_s:
        if runs and begin - sum(runs[-1]) < _JOIN_S:
            runs[-1] = (runs[-1][0], end - runs[-1][0])
        else:
            runs.append((float(begin), float(end - begin)))
    return [run for run in runs if run[1] >= LEAST_RUN_S]


def _limit_events(flight: Flight, interval_s: float) -> list[Event]:
    flags = np.nan_to_num(flight.channel("limits")).astype(np.int64)
    return [
        Event(begin, f"{LIMIT_WORDS[limit]}, for {fixed(length, 1)} s")
        for limit in Limit
        for begin, length in _runs((flags >> int(limit)) & 1 > 0, interval_s)
    ]


def _task_events(record: Any, until_s: float) -> list[Event]:
    events = []
    for command in record.command[: int(record.command_count)]:
        if float(command.time_s) > until_s:
            continue
        if command.kind == LAND:
            words = "told to land"
        elif command.kind == STAND:
            words = "told to stand"
        else:
            north, east, down = (float(value) for value in command.place_m)
            words = (
                f"told to go to {fixed(north, 1)} m north, {fixed(east, 1)} m east,"
                f" {fixed(-down, 1)} m up"
            )
        events.append(Event(float(command.time_s), words))
    return events


def events(flight: Flight, record: Any, interval_s: float) -> tuple[Event, ...]:
    """List what happened in a flight.

    Parameters
    ----------
    flight : Flight
        With its history.
    record : record
        The flight record: its task and limits.
    interval_s : float
        [s] Between rows of the history; limits met between rows are not seen.

    Returns
    -------
    tuple of Event
        In order of time: at most 40, the longest runs on limits first when there are more.
    """
    end_s = float(flight.tally.stop_s)
    found = _task_events(record, end_s)
    limits = _limit_events(flight, interval_s)
    room = MOST_EVENTS - len(found) - 3
    found += sorted(limits, key=lambda event: event.time_s)[: max(room, 0)]
    away, speed = (
        away_m(flight),
        np.hypot(flight.channel("wind_north"), flight.channel("wind_east")),
    )
    farthest, strongest = int(np.nanargmax(away)), int(np.nanargmax(speed))
    found.append(
        Event(
            farthest * interval_s, f"farthest from its place, {fixed(float(away[farthest]), 1)} m"
        )
    )
    if speed[strongest] > 0.0:
        words = f"strongest wind, {fixed(float(speed[strongest]), 1)} m/s"
        found.append(Event(strongest * interval_s, words))
    ended = STOP_WORDS[Stop(int(flight.tally.stop))]
    limit = first_limit(flight.tally, float(record.step_s))
    first = f"; the first limit before it: {LIMIT_WORDS[limit]}" if limit is not None else ""
    found.append(Event(end_s, f"the flight ends: it {ended}{first}"))
    ordered = sorted(found, key=lambda event: event.time_s)
    return tuple(Event(event.time_s, capital(event.words)) for event in ordered)
