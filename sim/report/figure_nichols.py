"""A loop as gain against phase, with the region that the margins asked for keep it out of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from sim.analysis.disk_margin import DiskMargin
from sim.analysis.loop_margins import LoopMargins
from sim.analysis.required_margins import RequiredMargins
from sim.params.record import FloatArray
from sim.report.figure_style import BLUE, FAINT, INK, PURPLE, RED, say, spot

LINE_COLOURS: Final = (BLUE, PURPLE)
LINE_STYLES: Final = ("-", "--")
RAD_S_PER_HZ: Final = 2.0 * np.pi
_TURN_DEG: Final = 360.0
_CRITICAL_DEG: Final = -180.0
_JUMP_DEG: Final = 180.0
_HIGHEST_DB: Final = 40.0
_EDGE_POINTS: Final = 361
_READINGS: Final = 60


@final
@dataclass(frozen=True)
class LoopLine:
    """One loop to be drawn.

    Attributes
    ----------
    name : str
        Such as "still air"; empty when it stands alone.
    frequencies_rad_s : ndarray, shape (m,)
        [rad/s]
    values : ndarray of complex, shape (m,)
        [-] For negative feedback.
    margins : LoopMargins
        Of it.
    """

    name: str
    frequencies_rad_s: FloatArray
    values: NDArray[np.complex128]
    margins: LoopMargins


def wrapped_curve(values: NDArray[np.complex128]) -> tuple[FloatArray, FloatArray]:
    """Give phase and gain of a loop for a chart that is one turn wide.

    Parameters
    ----------
    values : ndarray of complex, shape (frequencies,)
        [-] The loop, for negative feedback.

    Returns
    -------
    phase_deg, gain_db : ndarray
        [deg] from -360 to 0 and [dB], with a gap (nan) where the curve leaves one edge and comes
        in at the other.
    """
    with np.errstate(divide="ignore"):
        gain = 20.0 * np.log10(np.abs(values))
    phase = np.degrees(np.angle(values)) % _TURN_DEG - _TURN_DEG
    edges = np.flatnonzero(np.abs(np.diff(phase)) > _JUMP_DEG) + 1
    return np.insert(phase, edges, np.nan), np.insert(gain, edges, np.nan)


def disk_edge(disk: DiskMargin) -> NDArray[np.complex128]:
    """Give the loops -1/f that some factor f on the edge of a disk brings to -1.

    Parameters
    ----------
    disk : DiskMargin

    Returns
    -------
    ndarray of complex
        [-] A closed line; a loop with this disk margin stays outside and touches it.
    """
    delta = disk.alpha * np.exp(1j * np.linspace(-np.pi, np.pi, _EDGE_POINTS))
    with np.errstate(divide="ignore", invalid="ignore"):
        factor = (1.0 + 0.5 * (1.0 - disk.sigma) * delta) / (1.0 - 0.5 * (1.0 + disk.sigma) * delta)
        edge: NDArray[np.complex128] = -1.0 / factor
    return edge


def draw_nichols(axis: str, lines: Sequence[LoopLine], required: RequiredMargins) -> Figure:
    """Draw a loop in one or two conditions; it must not cross the bars around the cross.

    Parameters
    ----------
    axis : str
        Name of the loop.
    lines : sequence of LoopLine
        One or two.
    required : RequiredMargins
        The bars.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(3.5, 3.4), layout="constrained")
    axes = figure.subplots()
    bound = float(np.degrees(required.phase_rad))
    up = required.gain_db
    axes.plot([_CRITICAL_DEG - bound, _CRITICAL_DEG + bound], [0.0, 0.0], color=RED, linewidth=4.0)
    axes.plot([_CRITICAL_DEG, _CRITICAL_DEG], [-up, up], color=RED, linewidth=4.0)
    axes.plot(_CRITICAL_DEG, 0.0, marker="x", color=INK, markersize=8, markeredgewidth=2)
    # Between the bars, where words cover neither the curve nor the thin line.
    cross = (_CRITICAL_DEG, 0.0)
    say(axes, cross, "keep", shift=(-5.0, 3.0), ha="right", va="bottom", fontsize=7.5)
    say(axes, cross, "clear", shift=(-5.0, -3.0), ha="right", va="top", fontsize=7.5)
    for line, colour, style in zip(lines, LINE_COLOURS, LINE_STYLES, strict=False):
        phase, gain = wrapped_curve(line.values)
        axes.plot(phase, gain, color=colour, linestyle=style, label=line.name or None)
        _mark_crossing(axes, line, colour)
        for hertz, at, high in _readings(line):
            words = f"{hertz:.2g} Hz: gain {high:.1f} dB, phase {at:.0f} deg"
            if abs(high) < _HIGHEST_DB:
                spot(axes, (at, high), f"{line.name} {words}".strip())
    disk = lines[0].margins.disk
    if disk is not None:
        phase, gain = wrapped_curve(disk_edge(disk))
        axes.plot(phase, gain, color=FAINT, linewidth=1.2)
    if len(lines) > 1:
        axes.legend(loc="upper right", fontsize=8.0, frameon=False)
    axes.set_title(axis)
    axes.set_xlim(-_TURN_DEG, 0.0)
    axes.set_xticks(np.arange(-_TURN_DEG, 1.0, 90.0))
    axes.set_ylim(-_HIGHEST_DB, _HIGHEST_DB)
    axes.set_xlabel("phase of the loop, deg")
    axes.set_ylabel("gain of the loop, dB")
    return figure


def _readings(line: LoopLine) -> list[tuple[float, float, float]]:
    """Give [Hz], [deg] and [dB] at a few frequencies along a loop, evenly apart by ratio."""
    grid = line.frequencies_rad_s
    wanted = np.geomspace(grid[0], grid[-1], _READINGS)
    picked = np.unique(np.searchsorted(grid, wanted).clip(max=len(grid) - 1))
    values = line.values[picked]
    with np.errstate(divide="ignore"):
        gain = 20.0 * np.log10(np.abs(values))
    phase = np.degrees(np.angle(values)) % _TURN_DEG - _TURN_DEG
    hertz = grid[picked] / RAD_S_PER_HZ
    return list(zip(hertz.tolist(), phase.tolist(), gain.tolist(), strict=True))


def _mark_crossing(axes: Axes, line: LoopLine, colour: str) -> None:
    """Mark where the gain is one for the last time, with its frequency."""
    crossing = line.margins.gain_crossings
    if not crossing or crossing[-1].frequency_rad_s is None:
        return
    lag = float(np.degrees(crossing[-1].value)) % _TURN_DEG
    place = (lag + _CRITICAL_DEG) % -_TURN_DEG
    axes.plot(place, 0.0, marker="o", color=colour, markersize=6, markeredgecolor=INK)
    words = f"{crossing[-1].frequency_rad_s / RAD_S_PER_HZ:.1f} Hz"
    below = -13.0 if colour == LINE_COLOURS[0] else 8.0
    say(axes, (place, 0.0), words, shift=(8.0, below))
