"""Picture of the watts: a band from the cells to the air that every loss takes its share of."""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from sim.analysis.power_flow import PowerFlow
from sim.report.figure_style import BLUE, CYAN, FAINT, INK, PURPLE, RED, YELLOW, say
from sim.report.number_text import fixed, percent

_LOSS_AT: Final = ((0,), (1,), (2,), (3,), (4, 5), (6,))
"""Losses that branch off behind each station, by their place in `PowerFlow.losses`."""
_COLOURS: Final = (RED, RED, CYAN, RED, YELLOW, PURPLE, PURPLE)
_LABELS: Final = (
    "pack",
    "wiring",
    "electronics",
    "controllers",
    "windings",
    "iron,\nfriction",
    "blade drag,\nswirl, tips",
)
_WIDE: Final = 0.9
"""Length along the axis that looks as wide as one of the band's full height."""

_EACH: Final = 1.05
"""Length along the axis from one loss to the next."""

_STEPS: Final = 24
_DEPTH: Final = (0.30, 0.52)
_LABEL_DROP: Final = 0.03


def _branch(axes: Axes, left: float, level: float, size: float, drop: float, colour: str) -> float:
    """Draw a loss that bends down from the band; give where it ends along the axis."""
    turn = np.linspace(0.0, 0.5 * np.pi, _STEPS)
    inner, outer = 0.05, 0.05 + size * _WIDE
    upper_x, upper_y = left + outer * np.sin(turn), level - (outer / _WIDE) * (1.0 - np.cos(turn))
    lower_x = left + inner * np.sin(turn)
    lower_y = level - size - (inner / _WIDE) * (1.0 - np.cos(turn))
    points = [
        *zip(upper_x, upper_y, strict=True),
        (float(upper_x[-1]), -drop),
        (0.5 * float(upper_x[-1] + lower_x[-1]), -drop - 0.02),
        (float(lower_x[-1]), -drop),
        *reversed(list(zip(lower_x, lower_y, strict=True))),
    ]
    axes.add_patch(Polygon(points, closed=True, facecolor=colour, edgecolor=INK, linewidth=0.6))
    return 0.5 * float(upper_x[-1] + lower_x[-1])


def flow_words(flow: PowerFlow) -> str:
    """Say what share of the watts pushes air down, and where most of the rest goes."""
    name, watts = max(flow.losses(), key=lambda loss: loss[1])
    return (
        f"Of {fixed(flow.source_w, 0)} W from the cells {percent(flow.ideal_w / flow.source_w)} %"
        f" push air down; the greatest loss is {name}, {fixed(watts, 0)} W."
    )


def draw_power_flow(flow: PowerFlow) -> Figure:
    """Draw the flow of one operating point.

    Parameters
    ----------
    flow : PowerFlow

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(7.4, 3.5), layout="constrained")
    axes = figure.subplots()
    axes.set_axis_off()
    losses = flow.losses()
    left, level = 0.0, 1.0
    height = 1.0
    place = 0
    for group in _LOSS_AT:
        for index in group:
            size = losses[index][1] / flow.source_w
            start, width = left, _EACH
            body = [
                (start, 1.0),
                (start + width, 1.0),
                (start + width, 1.0 - height + size),
                (start, 1.0 - height + size),
            ]
            axes.add_patch(Polygon(body, closed=True, facecolor=BLUE, edgecolor="none", alpha=0.55))
            level = 1.0 - height + size
            drop = _DEPTH[place % 2]
            end = _branch(axes, start + 0.12, level, size, drop, _COLOURS[index])
            axes.add_patch(
                Polygon(
                    [
                        (start, level),
                        (start + 0.12, level),
                        (start + 0.12, level - size),
                        (start, level - size),
                    ],
                    closed=True,
                    facecolor=_COLOURS[index],
                    edgecolor="none",
                )
            )
            words = f"{_LABELS[index]}\n{_watts(losses[index][1], flow.source_w)}"
            say(axes, (end, -drop - _LABEL_DROP), words, ha="center", va="top", fontsize=8.5)
            height -= size
            left += width
            place += 1
        if group != _LOSS_AT[-1]:
            axes.plot((left, left), (1.0 - height, 1.06), color=FAINT, linewidth=0.8)
    tip = left + 0.35
    points = [(left, 1.0), (tip, 1.0 - 0.5 * height), (left, 1.0 - height)]
    axes.add_patch(Polygon(points, closed=True, facecolor=BLUE, edgecolor="none", alpha=0.55))
    middle = 1.0 - 0.5 * height
    words = f"pushes air down\n{_watts(flow.ideal_w, flow.source_w)}"
    axes.text(tip + 0.06, middle, words, ha="left", va="center")
    cells, leads, bus, motors, shafts = (watts for _, watts in flow.stations()[:-1])
    controllers = sum(rotor.bus_w for rotor in flow.rotors)
    heads = (
        (0, "cells", cells),
        (1, "pack leads", leads),
        (2, "bus", bus),
        (3, "controllers", controllers),
        (4, "motors", motors),
        (6, "shafts", shafts),
    )
    for losses_before, head, watts in heads:
        start = losses_before * _EACH + 0.05
        axes.text(start, 1.08, f"{head}\n{fixed(watts, 0)} W", va="bottom", fontsize=8.5)
    axes.set_xlim(-0.1, tip + 1.5)
    axes.set_ylim(-0.85, 1.32)
    return figure


def _watts(watts: float, source_w: float) -> str:
    return f"{fixed(watts, 1)} W, {percent(watts / source_w, 1)} %"
