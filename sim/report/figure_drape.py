"""Pictures of the fabric: its load and room over wind, and its shape hung and blown."""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.analysis.drape_answer import DrapeAnswer, Shape
from sim.analysis.drape_load import drape_panels
from sim.report.figure_style import BLUE, CYAN, GREEN, INK, PURPLE, RED, YELLOW, say

_CENTIMETRES: Final = 100.0
_LINES: Final = ("-", "--", ":", "-.")
_COLOURS: Final = (BLUE, PURPLE, GREEN, YELLOW)
_SHAPE_COLOURS: Final = (CYAN, BLUE, PURPLE)


def draw_drape_in_wind(answer: DrapeAnswer) -> Figure:
    """Draw side force and download, and the least distance to each disc, over the wind.

    Parameters
    ----------
    answer : DrapeAnswer
        As found.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(7.2, 3.4), layout="constrained")
    left, right = figure.subplots(1, 2)
    winds = np.array([case.wind_m_s for case in answer.winds])
    _forces(left, answer, winds)
    for i, rotor in enumerate(answer.rotors):
        rooms = [case.whole.clearance_m[i] * _CENTIMETRES for case in answer.winds]
        right.plot(
            winds,
            rooms,
            color=_COLOURS[i % len(_COLOURS)],
            linestyle=_LINES[i % len(_LINES)],
            marker="o",
            markersize=3.5,
            label=f"to {rotor[:12]}",
        )
    right.axhline(answer.clearance_limit_m * _CENTIMETRES, color=RED, linestyle="--")
    place = (0.0, answer.clearance_limit_m * _CENTIMETRES)
    say(right, place, "counts as touching", shift=(4.0, 4.0), va="bottom", fontsize=8.5)
    # The names stand above the lines, not on them.
    right.set_ylim(0.0, right.get_ylim()[1] * (1.08 + 0.08 * len(answer.rotors)))
    right.legend(loc="upper right", fontsize=8.5, frameon=False)
    right.set_ylabel("fabric to disc, least, cm")
    for axes in (left, right):
        axes.set_xlabel("steady wind at flight height, m/s")
        axes.axvline(answer.day.wind_m_s, color=INK, linestyle="-.", linewidth=1.0)
    _shade_held(left, answer)
    _shade_held(right, answer)
    return figure


def _forces(axes: Axes, answer: DrapeAnswer, winds: np.ndarray) -> None:
    for values, colour, line, words in (
        ([case.whole.side_force_n for case in answer.winds], BLUE, "-", "aside"),
        ([case.whole.download_n for case in answer.winds], PURPLE, "--", "down"),
    ):
        axes.plot(winds, values, color=colour, linestyle=line, marker="o", markersize=3.5)
        say(axes, (winds[-1], values[-1]), words, shift=(-4.0, 6.0), ha="right")
    band = answer.bands.day_side_force
    day = answer.day.wind_m_s
    axes.errorbar(
        day,
        band.value,
        yerr=[[band.value - band.low], [band.high - band.value]],
        color=BLUE,
        capsize=4,
        marker="o",
        linestyle="none",
    )
    top = axes.get_ylim()[1]
    say(axes, (day, top), "the day", shift=(5.0, -2.0), ha="left", va="top", fontsize=8.5)
    axes.set_ylabel("force on all fabric, N")


def _shade_held(axes: Axes, answer: DrapeAnswer) -> None:
    """Shade the winds in which the body is held because it does not hold itself."""
    held = [case.wind_m_s for case in answer.winds if case.why_held]
    if not held:
        return
    axes.axvspan(held[0], max(held[-1], held[0] + 0.1), color=YELLOW, alpha=0.25, linewidth=0.0)
    _, top = axes.get_ylim()
    words = "body held"
    say(axes, (held[0], top), words, shift=(3.0, -3.0), va="top", fontsize=8.5)


def draw_drape_shapes(answer: DrapeAnswer) -> Figure:
    """Draw the fabric's mean shape from the side, the wind from the left, in each wind kept.

    Parameters
    ----------
    answer : DrapeAnswer
        As found.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    shapes = answer.shapes
    figure = Figure(figsize=(2.5 * len(shapes) + 0.5, 3.2), layout="constrained")
    every = np.concatenate([part for shape in shapes for part in (shape.place_m, shape.rim_m)])
    every *= _CENTIMETRES
    low, high = every.min(axis=0), every.max(axis=0)
    plots = figure.subplots(1, len(shapes), sharey=True, squeeze=False)[0]
    for axes, shape, colour in zip(plots, shapes, _SHAPE_COLOURS, strict=False):
        _draw_shape(axes, answer, shape, colour)
        axes.set_aspect("equal")
        axes.set_xlim(low[0] - 8.0, high[0] + 8.0)
        axes.set_ylim(-high[2] - 6.0, max(-low[2], 0.0) + 12.0)
        axes.plot(0.0, 0.0, marker="+", color=RED, markersize=9, markeredgewidth=2)
        title = "still air" if shape.wind_m_s <= 0.0 else f"{shape.wind_m_s:.1f} m/s"
        axes.set_title(title)
        axes.set_xlabel("downwind, cm")
    plots[0].set_ylabel("above the body's CG, cm")
    return figure


def _draw_shape(axes: Axes, answer: DrapeAnswer, shape: Shape, colour: str) -> None:
    craft = answer.craft.spec
    first = 0
    for drape, panels in zip(craft.drapes, drape_panels(craft), strict=True):
        rim = shape.rim_m[first : first + drape.strips, None] * _CENTIMETRES
        first += drape.strips
        hung = shape.place_m[panels].reshape(drape.strips, drape.rows, 3) * _CENTIMETRES
        for strip in np.concatenate([rim, hung], axis=1):
            axes.plot(
                strip[:, 0], -strip[:, 2], color=colour, marker="o", markersize=2.5, linewidth=1.2
            )
        for edge in (rim[:, 0], hung[:, -1]) if drape.is_sheet else ():
            line = np.vstack([edge, edge[:1]]) if drape.cut == "skirt" else edge
            axes.plot(line[:, 0], -line[:, 2], color=INK, linewidth=0.8)
