"""Pictures of a comparison: success in the same gusts, and phase margins side by side."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from matplotlib.figure import Figure

from sim.analysis.compare import Comparison
from sim.analysis.paired_flights import PairedLimits
from sim.report.figure_style import BLUE, CYAN, GREEN, PURPLE, RED, YELLOW

_PERCENT: Final = 100.0
_COLOURS: Final = (BLUE, RED, GREEN, PURPLE, YELLOW, CYAN)
_LINES: Final = ("-", "--", "-.", ":")
_MARKERS: Final = "os^Dv*"
_LOOPS: Final = ("height", "roll", "pitch", "yaw")
_WIDTH: Final = 0.8


def draw_paired_winds(comparison: Comparison) -> Figure:
    """Draw the share of flights that succeed in each wind, one line a craft.

    Parameters
    ----------
    comparison : Comparison
        With at least one pair that was flown.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(5.4, 3.4), layout="constrained")
    axes = figure.subplots()
    flown: list[tuple[int, PairedLimits, tuple[int, ...]]] = []
    for number, pair in enumerate(comparison.pairs, 1):
        if pair is None:
            continue
        if not flown:
            flown.append((0, pair, pair.first_successes))
        flown.append((number, pair, pair.second_successes))
    for number, pair, successes in flown:
        axes.plot(
            pair.winds_m_s,
            _PERCENT * np.array(successes) / pair.flights,
            color=_COLOURS[number % len(_COLOURS)],
            linestyle=_LINES[number % len(_LINES)],
            marker=_MARKERS[number % len(_MARKERS)],
            markersize=4,
            label=comparison.results[number].craft.spec.name,
        )
    asked = _PERCENT * comparison.results[0].scenario.spec.limits.success
    axes.axhline(
        asked, color=RED, linewidth=0.9, linestyle=(0, (1, 1)), label=f"asked: {asked:.0f} %"
    )
    axes.set_xlabel("forecast mean wind, m/s")
    axes.set_ylabel("flights that succeed, %")
    axes.legend(fontsize=8)
    return figure


def draw_margins(comparison: Comparison) -> Figure:
    """Draw the phase margin of each loop, a group of bars a loop and a bar a craft.

    Parameters
    ----------
    comparison : Comparison
        With margins of at least one craft.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(5.4, 3.0), layout="constrained")
    axes = figure.subplots()
    count = len(comparison.results)
    each = _WIDTH / count
    for number, result in enumerate(comparison.results):
        heights = []
        for loop in _LOOPS:
            margins = result.stability.margins.get(loop)
            phase = None if margins is None else margins.phase_rad
            heights.append(0.0 if phase is None else math.degrees(phase.value))
        places = np.arange(len(_LOOPS)) + (number - 0.5 * (count - 1)) * each
        axes.bar(
            places,
            heights,
            0.9 * each,
            color=_COLOURS[number % len(_COLOURS)],
            hatch=("", "//", "..", "xx")[number % 4],
            alpha=0.75,
            label=result.craft.spec.name,
        )
    asked = math.degrees(comparison.results[0].stability.required_phase_rad)
    words = f"asked: {asked:.0f} deg"
    axes.axhline(asked, color=RED, linewidth=0.9, linestyle=(0, (1, 1)), label=words)
    axes.set_xticks(range(len(_LOOPS)), _LOOPS)
    axes.set_ylabel("phase margin, deg")
    # Names stand above the bars, not on them.
    axes.set_ylim(0.0, axes.get_ylim()[1] * (1.12 + 0.09 * (count + 1)))
    axes.legend(fontsize=8, loc="upper right")
    return figure
