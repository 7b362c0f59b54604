"""Picture of question 5: how far each unknown moves each figure, as bars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from matplotlib.figure import Figure

from sim.analysis.check_result import Unknown
from sim.report.figure_style import BLUE, INK, say, spot
from sim.report.number_text import capital, digits

MOST_BARS: Final = 8
_ROOM: Final = 1.35
_LONGEST: Final = 48


def draw_unsure(unknowns: Sequence[Unknown]) -> Figure:
    """Draw a bar for each unknown, those that move the same figure on one scale.

    Parameters
    ----------
    unknowns : sequence of Unknown
        Largest effect first; the first eight are drawn.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    groups: dict[tuple[str, str], list[Unknown]] = {}
    for unknown in unknowns[:MOST_BARS]:
        groups.setdefault((unknown.effect_on, unknown.unit), []).append(unknown)
    counts = [len(group) for group in groups.values()]
    height = 0.55 * len(groups) + 0.32 * sum(counts) + 0.15
    figure = Figure(figsize=(5.6, height), layout="constrained")
    plots = figure.subplots(len(groups), 1, squeeze=False, height_ratios=counts)[:, 0]
    for axes, ((effect_on, unit), group) in zip(plots, groups.items(), strict=True):
        sizes = [abs(unknown.effect) for unknown in group]
        places = list(range(len(group)))[::-1]
        axes.barh(places, sizes, 0.62, color=BLUE, edgecolor=INK, linewidth=0.8)
        for unknown, size, place in zip(group, sizes, places, strict=True):
            words = f"{digits(size, 2)} {unit}".rstrip()
            say(axes, (size, place), words, shift=(4.0, 0.0), ha="left", va="center")
            told = f"{capital(unknown.name)}, {unknown.plus_minus}: {effect_on} by {words}"
            spot(axes, (0.5 * size, place), told)
        axes.set_yticks(places, [_short(unknown.name) for unknown in group], fontsize=9.0)
        axes.set_ylim(-0.6, len(group) - 0.4)
        axes.set_xlim(0.0, _ROOM * max(*sizes, 1e-12))
        axes.set_xlabel(f"moves {effect_on} by" + (f", {unit}" if unit else ""))
        axes.grid(visible=False, axis="y")
    return figure


def _short(name: str) -> str:
    """Cut a name that would leave no room for its bar."""
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 3].rstrip()}..."
