"""Pictures of tuning: what can be had, and a step and a gusty flight before and after."""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.figure import Figure

from sim.analysis.tune import TuneResult
from sim.analysis.tune_flights import BeforeAfter
from sim.report.figure_style import BLUE, GREEN, INK, PURPLE, say

_CENTIMETRES: Final = 100.0
_OWN, _NEW = PURPLE, BLUE


def draw_front(result: TuneResult) -> Figure:
    """Draw the joint disk margin against the drift in gusts of the front, own and chosen gains."""
    figure = Figure(figsize=(5.4, 3.6), layout="constrained")
    axes = figure.subplots()
    drift = [one.figures.gust_m * _CENTIMETRES for one in result.front]
    disk = [one.figures.disk for one in result.front]
    axes.plot(drift, disk, linestyle="none", marker="o", markersize=4, color=BLUE)
    for words, one, colour in (("now", result.own, PURPLE), ("tuned", result.chosen, GREEN)):
        if one is None or not one.figures.stable:
            continue
        place = (one.figures.gust_m * _CENTIMETRES, one.figures.disk)
        axes.plot(*place, marker="D", markersize=7, color=colour)
        say(axes, place, words, shift=(6.0, 4.0))
    axes.set_xscale("log")
    ticks = [t for t in (5, 10, 20, 50, 100, 200, 500) if min(drift) * 0.8 < t < max(drift) * 1.2]
    axes.set_xticks(ticks, [str(t) for t in ticks])
    axes.set_xticks([], minor=True)
    axes.set_xlabel("drift in gusts, root mean square, cm")
    axes.set_ylabel("joint disk margin")
    return figure


def draw_flights(flown: BeforeAfter, *, step: bool) -> Figure:
    """Draw the way from the wanted place over time, before and after.

    Parameters
    ----------
    flown : BeforeAfter
    step : bool
        The step of one metre in still air, else the gusty flight.
    """
    figure = Figure(figsize=(5.4, 3.6), layout="constrained")
    axes = figure.subplots()
    pairs = flown.steps if step else flown.gusts
    for history, name, colour, style in zip(
        pairs, ("now", "tuned"), (_OWN, _NEW), ("--", "-"), strict=False
    ):
        if history is None:
            continue
        axes.plot(history[0], history[1], color=colour, linestyle=style, label=name)
    axes.axhline(0.0, color=INK, linewidth=0.8)
    axes.legend(frameon=False, fontsize=9.0)
    axes.set_xlabel("time, s")
    axes.set_ylabel("north of the wanted place, m" if step else "way from the wanted place, m")
    axes.set_xlim(0.0, float(max(np.max(h[0]) for h in pairs if h is not None)))
    return figure
