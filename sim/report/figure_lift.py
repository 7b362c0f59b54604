"""Picture of question 1: thrust with its losses against weight with its download."""

from __future__ import annotations

from typing import Final

from matplotlib.figure import Figure

from sim.analysis.check_result import CheckResult
from sim.report.answer_lift import needed_n
from sim.report.figure_style import BLUE, CYAN, INK, PAPER, PURPLE, YELLOW, say

_ROOM: Final = 1.08
_NARROW: Final = 0.1
_BAR: Final = 0.5

_SPREAD_LEVEL: Final = -0.42

Piece = tuple[str, float, str]
"""Name, size [N], colour."""


def draw_lift(result: CheckResult) -> Figure:
    """Draw what hover asks for and what the rotors give, as two bars.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    lift = result.lift
    solid = lift.weight_n - lift.fabric_weight_n
    asked: list[Piece] = [
        ("craft", solid, PURPLE),
        ("fabric", lift.fabric_weight_n, CYAN),
        ("download", max(lift.download_n, 0.0), YELLOW),
    ]
    given: list[Piece] = [
        ("may lift", lift.usable_thrust_n, BLUE),
        ("reserve", lift.full_thrust_n - lift.usable_thrust_n, PAPER),
    ]
    need = needed_n(lift)
    widest = max(lift.full_thrust_n + lift.thrust_plus_minus_n, need) * _ROOM
    figure = Figure(figsize=(5.4, 2.4), layout="constrained")
    axes = figure.subplots()
    for level, pieces in ((1.0, asked), (0.0, given)):
        start = 0.0
        for name, size, colour in pieces:
            if size <= 0.0:
                continue
            axes.barh(level, size, _BAR, start, color=colour, edgecolor=INK, linewidth=0.8)
            if size > _NARROW * widest:
                words = f"{name}\n{size:.1f} N"
                say(axes, (start + 0.5 * size, level), words, ha="center", va="center")
            start += size
    axes.errorbar(
        lift.full_thrust_n,
        _SPREAD_LEVEL,
        xerr=lift.thrust_plus_minus_n,
        color=INK,
        capsize=4,
        linewidth=1.2,
        marker="|",
    )
    words = f"full thrust {lift.full_thrust_n:.1f} +/- {lift.thrust_plus_minus_n:.1f} N"
    low = lift.full_thrust_n - lift.thrust_plus_minus_n
    axes.axvline(need, color=INK, linestyle="--", linewidth=1.2)
    say(axes, (low, _SPREAD_LEVEL), words, shift=(-8.0, 0.0), ha="right", va="center")
    side, shift = ("right", -5.0) if need > 0.5 * widest else ("left", 5.0)
    words = f"hover asks for {need:.1f} N"
    say(axes, (need, 1.45), words, shift=(shift, 0.0), ha=side, va="center")
    axes.set_yticks([1.0, 0.0], ["weight", "thrust"])
    axes.set_ylim(-0.65, 1.65)
    axes.set_xlim(0.0, widest)
    axes.set_xlabel("force, N")
    axes.grid(visible=False, axis="y")
    return figure
