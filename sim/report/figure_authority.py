"""Pictures of authority: the set cut open along two axes, and what share of it wind takes."""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from sim.analysis.authority import AuthorityAnswer, Slice
from sim.analysis.authority_wind import SIDES, WindUse
from sim.report.figure_style import BLUE, CYAN, GREEN, INK, PURPLE, RED, say

_LABELS: Final = {
    "thrust": "thrust, N",
    "roll": "roll moment, N m (right +)",
    "pitch": "pitch moment, N m (nose up +)",
    "yaw": "yaw moment, N m (right +)",
}
_KEPT: Final = {
    ("roll", "pitch"): "thrust and yaw as in hover",
    ("roll", "yaw"): "thrust and pitch as in hover",
    ("pitch", "thrust"): "roll and yaw as in hover",
}
_AXES: Final = (
    ("thrust", BLUE, "o", "lift"),
    ("roll", GREEN, "s", "roll"),
    ("pitch", PURPLE, "^", "pitch"),
    ("yaw", RED, "D", "yaw"),
)
_PERCENT: Final = 100.0


def draw_authority(answer: AuthorityAnswer) -> Figure:
    """Draw each slice of the set, with the trim in it.

    Parameters
    ----------
    answer : AuthorityAnswer
        With slices.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    slices = answer.slices
    figure = Figure(figsize=(3.0 * max(len(slices), 1), 3.2), layout="constrained")
    plots = figure.subplots(1, max(len(slices), 1), squeeze=False)[0]
    for axes, one in zip(plots, slices, strict=False):
        _draw_slice(axes, one)
    return figure


def _draw_slice(axes: Axes, one: Slice) -> None:
    axes.add_patch(Polygon(one.edge, closed=True, facecolor=CYAN, alpha=0.35, lw=0))
    axes.add_patch(Polygon(one.edge, closed=True, facecolor="none", edgecolor=BLUE, lw=1.6))
    axes.add_patch(
        Polygon(one.hull_edge, closed=True, facecolor="none", edgecolor=INK, lw=0.8, ls="--")
    )
    axes.plot(*one.trim, marker="+", color=RED, markersize=10, markeredgewidth=2.2)
    say(axes, (float(one.trim[0]), float(one.trim[1])), "hover", shift=(6.0, 6.0), fontsize=8.5)
    both = np.concatenate([one.edge, one.hull_edge])
    room = 0.06 * np.ptp(both, axis=0)
    low, high = both.min(axis=0) - room, both.max(axis=0) + room
    axes.set_xlim(low[0], high[0])
    axes.set_ylim(low[1], high[1])
    axes.set_xlabel(_LABELS[one.across])
    axes.set_ylabel(_LABELS[one.upward])
    axes.set_title(_KEPT[one.across, one.upward], fontsize=8.5)


def draw_wind_use(winds: tuple[WindUse, ...]) -> Figure:
    """Draw the share of every axis that wind takes, from each side.

    Parameters
    ----------
    winds : tuple of WindUse
        As found.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(3.6 * len(SIDES), 3.2), layout="constrained")
    plots = figure.subplots(1, len(SIDES), sharey=True, squeeze=False)[0]
    fastest = max(use.forecast_m_s for use in winds)
    for axes, side in zip(plots, SIDES, strict=True):
        _draw_side(axes, [use for use in winds if use.side == side])
        axes.set_title(f"wind from {'the ' * (side != 'ahead')}{side}")
        axes.set_xlabel("mean wind of the forecast, m/s")
        axes.set_xlim(0.0, fastest)
        axes.set_ylim(0.0, 1.05 * _PERCENT)
        axes.axhline(_PERCENT, color=RED, linewidth=1.4, linestyle="--")
    plots[0].set_ylabel("taken, % of what there is")
    lines, words = next(
        (found for axes in plots if (found := axes.get_legend_handles_labels())[0]), ([], [])
    )
    if lines:
        figure.legend(lines, words, loc="outside upper center", ncols=len(lines), frameon=False)
    return figure


def _draw_side(axes: Axes, uses: list[WindUse]) -> None:
    held = [use for use in uses if use.holds]
    winds = np.array([use.forecast_m_s for use in held])
    for axis, colour, marker, word in _AXES:
        mean = np.array([_worst(use, axis, gusts=False) for use in held]) * _PERCENT
        busy = np.array([_worst(use, axis, gusts=True) for use in held]) * _PERCENT
        if not len(mean):
            continue
        axes.plot(winds, mean, color=colour, marker=marker, markersize=3.5, label=word)
        axes.plot(winds, busy, color=colour, linestyle=":", linewidth=1.2)
    lost = next((use for use in uses if not use.holds), None)
    if lost is not None:
        axes.axvline(lost.forecast_m_s, color=INK, linestyle="-.", linewidth=1.0)
        place = (lost.forecast_m_s, 0.9 * _PERCENT)
        say(axes, place, "not held", shift=(-3.0, 0.0), ha="right", fontsize=8.5)


def _worst(use: WindUse, axis: str, *, gusts: bool) -> float:
    pairs = zip(use.ways, use.busy_shares, strict=True)
    return max(busy if gusts else way.share for way, busy in pairs if way.axis == axis)
