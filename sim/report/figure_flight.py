"""Picture of one flight: height, lean, throttle, drift, wind and limits met over time."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from sim.analysis.check_result import CheckResult
from sim.flight.outcome import LIMIT_WORDS
from sim.flight.results import Flight
from sim.pack.flight import pack_flight
from sim.params.record import FloatArray
from sim.params.tally_record import Limit
from sim.report.figure_style import BLUE, GREEN, INK, PURPLE, RED, YELLOW, say

_PERCENT: Final = 100.0
_ROTOR_STYLES: Final = (
    (BLUE, "-"),
    (YELLOW, "--"),
    (PURPLE, "-."),
    (GREEN, ":"),
    (INK, "-"),
    (RED, "--"),
    (BLUE, "-."),
    (YELLOW, ":"),
)
_MOST_ROWS: Final = 4
_ROOM: Final = 1.12
_FARTHEST_LIMIT: Final = 6.0
_LOW_LIMIT: Final = 0.3


def asked_places_m(flight_record: Any, times_s: FloatArray) -> FloatArray:
    """Give the place asked for at each time.

    Parameters
    ----------
    flight_record : record
        As packed, with its commands.
    times_s : ndarray, shape (samples,)
        [s] Since the start.

    Returns
    -------
    ndarray, shape (samples, 3)
        [m] Earth axes: north, east, down.
    """
    commands = flight_record.command[: int(flight_record.command_count)]
    begun = np.searchsorted(np.asarray(commands["time_s"]), times_s, side="right") - 1
    places: FloatArray = np.asarray(commands["place_m"])[np.maximum(begun, 0)]
    return places


def draw_flight(result: CheckResult) -> Figure:
    """Draw the flight that the check kept.

    Parameters
    ----------
    result : CheckResult
        With a flight.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    flight, scenario = result.flight, result.scenario.spec
    if flight is None:
        message = "no flight was kept"
        raise ValueError(message)
    record = pack_flight(scenario, result.packed.air)[0]
    times = flight.channel("time")
    asked = asked_places_m(record, times)
    figure = Figure(figsize=(5.6, 8.8))
    figure.subplots_adjust(left=0.11, right=0.985, bottom=0.06, top=0.985, hspace=0.12)
    rows = _limits_met(flight)
    shares = (1.0, 1.0, 1.0, 1.0, 1.0, 0.25 + 0.2 * max(len(rows), 1))
    height, lean, throttle, drift, wind, met = figure.subplots(
        6, 1, sharex=True, height_ratios=shares
    )
    met.set_xlim(0.0, max(float(times[-1]), 0.1))
    _draw_height(height, flight, asked, scenario.limits.height_loss_m)
    tilt = np.degrees(
        np.arccos(
            np.clip(np.cos(flight.channel("roll")) * np.cos(flight.channel("pitch")), -1.0, 1.0)
        )
    )
    lean.plot(times, tilt, color=BLUE)
    _limit(lean, float(np.degrees(scenario.limits.tilt_rad)), float(tilt.max()), "deg")
    lean.set_ylabel("lean, deg")
    _draw_throttle(throttle, flight, result)
    north = flight.channel("north") - asked[:, 0]
    east = flight.channel("east") - asked[:, 1]
    away = np.hypot(north, east)
    drift.plot(times, away, color=BLUE)
    _limit(drift, scenario.limits.drift_m, float(away.max()), "m")
    drift.set_ylabel("drift, m")
    speed = np.hypot(flight.channel("wind_north"), flight.channel("wind_east"))
    wind.plot(times, speed, color=GREEN)
    wind.set_ylim(0.0, max(_ROOM * float(speed.max()), 0.1))
    wind.set_ylabel("wind, m/s")
    _draw_limits_met(met, flight, rows)
    met.set_xlabel("time, s")
    met.xaxis.set_major_locator(MaxNLocator(integer=True, steps=[1, 2, 5, 10]))
    figure.align_ylabels()
    return figure


def _limit(axes: Axes, limit: float, highest: float, unit: str) -> None:
    """Draw a limit; where it is far above the curve, only say where it is."""
    top = max(highest, 1e-3)
    if limit > _FARTHEST_LIMIT * top:
        axes.set_ylim(0.0, 1.5 * top)
        say(
            axes,
            (axes.get_xlim()[1], 1.45 * top),
            f"limit {limit:g} {unit}, far above",
            shift=(-3.0, 0.0),
            ha="right",
            va="top",
        )
        return
    axes.axhline(limit, color=RED, linestyle="--")
    axes.set_ylim(0.0, _ROOM * max(top, limit))
    is_low = limit < _LOW_LIMIT * top
    say(
        axes,
        (axes.get_xlim()[0], limit),
        f"limit {limit:g} {unit}",
        shift=(4.0, 3.0 if is_low else -3.0),
        ha="left",
        va="bottom" if is_low else "top",
    )


def _flags(flight: Flight) -> NDArray[np.int64]:
    return np.nan_to_num(flight.channel("limits")).astype(np.int64)


def _limits_met(flight: Flight) -> list[Limit]:
    flags = _flags(flight)
    return [limit for limit in Limit if np.any(flags >> int(limit) & 1)][:_MOST_ROWS]


def _draw_limits_met(axes: Axes, flight: Flight, rows: list[Limit]) -> None:
    """Draw a bar wherever a limit is met, a row for each limit, its name above its bars."""
    times, flags = flight.channel("time"), _flags(flight)
    step = float(times[1] - times[0]) if len(times) > 1 else 0.0
    for row, limit in enumerate(rows):
        met = np.concatenate([[False], (flags >> int(limit) & 1) > 0, [False]])
        edges = np.flatnonzero(np.diff(met.astype(np.int8))).reshape(-1, 2)
        spans = [(float(times[a]), step * float(b - a)) for a, b in edges]
        axes.broken_barh(spans, (-row - 0.3, 0.3), color=RED, linewidth=1.0)
        place = (float(times[0]), -row - 0.02)
        say(axes, place, LIMIT_WORDS[limit], shift=(3.0, 0.0), va="bottom", fontsize=8.5)
    if not rows:
        say(axes, (float(times[0]), -0.2), "none", shift=(3.0, 0.0), va="center", fontsize=8.5)
    axes.set_ylim(-max(len(rows), 1) + 0.55, 0.6)
    axes.set_yticks([])
    axes.grid(visible=False, axis="y")
    axes.set_ylabel("limits met")


def _draw_height(axes: Axes, flight: Flight, asked: FloatArray, loss_m: float) -> None:
    times, heights = flight.channel("time"), flight.channel("height")
    wanted = -asked[:, 2]
    axes.plot(times, heights, color=BLUE)
    axes.plot(times, wanted, color=INK, linestyle=":", linewidth=1.0)
    axes.plot(times, wanted - loss_m, color=RED, linestyle="--")
    end = float(times[-1])
    say(axes, (end, float(wanted[-1])), "asked", shift=(-3.0, 3.0), ha="right", va="bottom")
    place = (end, float(wanted[-1]) - loss_m)
    say(axes, place, f"limit {loss_m:g} m below", shift=(-3.0, 3.0), ha="right", va="bottom")
    low = min(float(heights.min()), float((wanted - loss_m).min()))
    high = max(float(heights.max()), float(wanted.max()))
    room = 0.15 * (high - low)
    axes.set_ylim(low - room, high + room)
    axes.set_ylabel("height, m")


def _draw_throttle(axes: Axes, flight: Flight, result: CheckResult) -> None:
    craft = result.craft.spec
    times = flight.channel("time")
    for index, rotor in enumerate(craft.rotors):
        colour, line = _ROTOR_STYLES[index]
        share = flight.rotor_channel(index, "throttle") * _PERCENT
        axes.plot(times, share, color=colour, linestyle=line, linewidth=1.3, label=rotor.name)
    axes.axhline(_PERCENT, color=RED, linestyle="--")
    kept = _PERCENT * (1.0 - craft.controller.reserved)
    axes.axhline(kept, color=INK, linestyle=":", linewidth=1.0)
    axes.set_ylim(0.0, 116.0)
    start = 0.0
    words = "kept for levelling above this"
    say(axes, (start, kept), words, shift=(4.0, -3.0), ha="left", va="top")
    axes.legend(
        loc="lower left", ncols=len(craft.rotors), frameon=False, handlelength=2.6, fontsize=9.0
    )
    axes.set_ylabel("throttle, %")
