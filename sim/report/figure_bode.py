"""A loop as gain and phase over frequency, with its margins marked where they are taken up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.analysis.loop_margins import LoopMargins, Margin, decibel
from sim.analysis.required_margins import RequiredMargins
from sim.params.record import FloatArray
from sim.report.figure_nichols import LINE_COLOURS, LINE_STYLES, RAD_S_PER_HZ, LoopLine
from sim.report.figure_style import INK, RED, say

_HIGHEST_DB: Final = 60.0
_CRITICAL_DEG: Final = -180.0
_LOWEST_DEG: Final = -720.0
_STEP_DEG: Final = 180.0
_TICKS_HZ: Final = (0.01, 0.1, 1.0, 10.0, 100.0)
_TURN_DEG: Final = 360.0


def phase_over_frequency_deg(line: LoopLine) -> FloatArray:
    """Give the phase [deg] of a loop as one line, between -360 and 0 where its gain is last one.

    Parameters
    ----------
    line : LoopLine

    Returns
    -------
    ndarray, shape (m,)
        [deg]
    """
    phase = np.degrees(np.unwrap(np.angle(line.values)))
    above = np.flatnonzero(np.abs(line.values) >= 1.0)
    anchor = phase[above[-1]] if above.size else phase[0]
    turned: FloatArray = phase - _TURN_DEG * np.ceil(anchor / _TURN_DEG)
    return turned


def draw_bode(axis: str, lines: Sequence[LoopLine], required: RequiredMargins) -> Figure:
    """Draw gain and phase of a loop in one or two conditions.

    Parameters
    ----------
    axis : str
        Name of the loop.
    lines : sequence of LoopLine
        One or two; the margins of the first are marked.
    required : RequiredMargins
        The bands that the curves should not enter together.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(3.5, 4.6), layout="constrained")
    above, below = figure.subplots(2, 1, sharex=True)
    for line, colour, style in zip(lines, LINE_COLOURS, LINE_STYLES, strict=False):
        hertz = line.frequencies_rad_s / RAD_S_PER_HZ
        with np.errstate(divide="ignore"):
            gain = 20.0 * np.log10(np.abs(line.values))
        above.plot(hertz, gain, color=colour, linestyle=style, label=line.name or None)
        below.plot(hertz, phase_over_frequency_deg(line), color=colour, linestyle=style)
    bound = float(np.degrees(required.phase_rad))
    for axes, middle, half in (
        (above, 0.0, required.gain_db),
        (below, _CRITICAL_DEG, bound),
    ):
        axes.axhspan(middle - half, middle + half, color=RED, alpha=0.15, linewidth=0.0)
        axes.axhline(middle, color=INK, linewidth=0.8)
        axes.set_xscale("log")
    _mark(above, below, lines[0].margins)
    if len(lines) > 1:
        above.legend(loc="lower left", fontsize=8.0, frameon=False)
    above.set_title(axis)
    above.set_ylim(-_HIGHEST_DB, _HIGHEST_DB)
    above.set_ylabel("gain of the loop, dB")
    below.set_ylim(_LOWEST_DEG, 0.0)
    below.set_yticks(np.arange(_LOWEST_DEG, 1.0, _STEP_DEG))
    below.set_ylabel("phase of the loop, deg")
    below.set_xlabel("frequency, Hz")
    low, high = below.get_xlim()
    ticks = [tick for tick in _TICKS_HZ if low <= tick <= high]
    below.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    below.set_xticks([], minor=True)
    return figure


def _mark(above: Axes, below: Axes, margins: LoopMargins) -> None:
    """Draw the gain margins as bars in the gain, the phase margin as a bar in the phase."""
    for margin in (margins.gain_up, margins.gain_down):
        place = _place_hz(margin)
        if margin is None or place is None:
            continue
        height = -decibel(margin.value)
        above.plot([place, place], [0.0, height], color=INK, linewidth=2.0)
        say(above, (place, height), f"{abs(height):.1f} dB", shift=(4.0, 0.0), fontsize=8.0)
    place = _place_hz(margins.phase_rad)
    if margins.phase_rad is None or place is None:
        return
    turn = float(np.degrees(margins.phase_rad.value))
    below.plot([place, place], [_CRITICAL_DEG, _CRITICAL_DEG + turn], color=INK, linewidth=2.0)
    words = f"{abs(turn):.0f} deg"
    say(below, (place, _CRITICAL_DEG + turn), words, shift=(4.0, 2.0), fontsize=8.0)


def _place_hz(margin: Margin | None) -> float | None:
    """Give the frequency [Hz] at which a margin is taken up, if there is one to draw."""
    if margin is None or not margin.frequency_rad_s:
        return None
    return margin.frequency_rad_s / RAD_S_PER_HZ
