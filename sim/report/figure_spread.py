"""Pictures of a spread: which unknown matters, and what the headline figures may be."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.analysis.distribution import Distribution, values_of
from sim.analysis.spread_result import FigureImportance, SpreadAnswer
from sim.params.record import FloatArray
from sim.report.figure_style import BLUE, INK, RED, say
from sim.report.spread_words import figure_label, shown_as

_FIRST: Final = (
    "phase_margin_rad",
    "gain_margin_db",
    "disk_margin",
    "thrust_to_weight",
    "rotors_above_centre_m",
    "endurance_s",
)
_PANELS: Final = 4
_BARS: Final = 5
_BAR_HEIGHT: Final = 0.24
_COLUMNS: Final = 3
_BINS: Final = 16
_PERCENT: Final = 100.0


def drawn_importance(answer: SpreadAnswer) -> tuple[FigureImportance, ...]:
    """Give the figures whose dependence is drawn, the limiting one first."""
    by_key = {entry.figure.key: entry for entry in answer.importance}
    keys = [*([answer.limiting.key] if answer.limiting is not None else []), *_FIRST, *by_key]
    found = [by_key[key] for key in dict.fromkeys(keys) if key in by_key and by_key[key].told]
    return tuple(found[:_PANELS])


def draw_importance(answer: SpreadAnswer) -> Figure:
    """Draw the largest total Sobol indices of a few figures as bars with their intervals.

    Parameters
    ----------
    answer : SpreadAnswer
        With at least one figure whose dependence is told.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    entries = drawn_importance(answer)
    counts = [min(len(entry.told), _BARS) for entry in entries]
    height = 0.6 + sum(0.5 + _BAR_HEIGHT * count for count in counts)
    figure = Figure(figsize=(7.2, height), layout="constrained")
    panels = figure.subplots(
        len(entries), 1, squeeze=False, sharex=True, height_ratios=[count + 1 for count in counts]
    )
    for axes, entry in zip(panels[:, 0], entries, strict=True):
        _draw_bars(axes, entry)
    panels[-1, 0].set_xlabel("share of the variance, %")
    return figure


def _draw_bars(axes: Axes, entry: FigureImportance) -> None:
    told = entry.told[:_BARS]
    places = np.arange(len(told))
    totals = np.array([indices.total for _, indices in told])
    lower = np.array([min(indices.total_lower, indices.total) for _, indices in told])
    upper = np.array([max(indices.total_upper, indices.total) for _, indices in told])
    axes.barh(places, _PERCENT * totals, color=BLUE, height=0.7)
    axes.errorbar(
        _PERCENT * totals,
        places,
        xerr=_PERCENT * np.stack([totals - lower, upper - totals]),
        fmt="none",
        ecolor=INK,
        elinewidth=1.0,
        capsize=2.5,
    )
    axes.set_yticks(places, [figure.name for figure, _ in told], fontsize=8.5)
    axes.invert_yaxis()
    axes.set_xlim(0.0, 100.0)
    axes.grid(visible=False, axis="y")
    axes.set_title(entry.figure.name)


def draw_distributions(answer: SpreadAnswer) -> Figure:
    """Draw a histogram of every headline figure, with the craft as written and the limit.

    Parameters
    ----------
    answer : SpreadAnswer

    Returns
    -------
    Figure
        In the style that is in force.
    """
    shown = [entry for entry in answer.distributions if _is_drawn(entry, answer)]
    rows = max(math.ceil(len(shown) / _COLUMNS), 1)
    figure = Figure(figsize=(7.2, 0.3 + 1.65 * rows), layout="constrained")
    panels = figure.subplots(rows, _COLUMNS, squeeze=False)
    for axes in panels.flat[len(shown) :]:
        axes.set_visible(False)
    limits = {
        chance.gate.figure.key: chance.gate.limit
        for chance in answer.chances
        if chance.gate is not None and chance.gate.figure is not None
    }
    for axes, entry in zip(panels.flat, shown, strict=False):
        _draw_one(axes, entry, _finite(entry, answer), limits.get(entry.figure.key))
    return figure


def _finite(entry: Distribution, answer: SpreadAnswer) -> FloatArray:
    values = values_of(entry.figure, answer.headlines)
    return values[np.isfinite(values)]


def _is_drawn(entry: Distribution, answer: SpreadAnswer) -> bool:
    return entry.figure.is_shown and _finite(entry, answer).size > 1


def _draw_one(axes: Axes, entry: Distribution, values: FloatArray, limit: float | None) -> None:
    factor = shown_as(entry.figure).factor
    axes.hist(factor * values, bins=_BINS, color=BLUE)
    low, high = axes.get_xlim()
    if entry.as_written is not None and math.isfinite(entry.as_written):
        axes.axvline(factor * entry.as_written, color=INK, linewidth=1.2)
    if limit is not None and low - 2.0 * (high - low) < factor * limit < high + 2.0 * (high - low):
        axes.axvline(factor * limit, color=RED, linestyle="--", linewidth=1.2)
    if entry.missing:
        say(axes, (axes.get_xlim()[0], 0.0), f"{entry.missing} without", shift=(2.0, 60.0))
    axes.set_yticks([])
    axes.set_xlabel(figure_label(entry.figure), fontsize=8.5)
    axes.tick_params(labelsize=8)


SPREAD_PICTURES: Final[dict[str, Callable[[SpreadAnswer], Figure]]] = {
    "importance": draw_importance,
    "distributions": draw_distributions,
}
"""By the key of the picture."""
