"""Pictures of thrust and watts over throttle, the share that levelling keeps back shaded."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.analysis.power_point import PowerPoint
from sim.report.figure_style import BLUE, INK, RED, YELLOW, say, spot
from sim.report.number_text import fixed, percent


def _withheld(axes: Axes, reserved: float, top: float) -> None:
    """Shade the throttle that levelling keeps back."""
    if reserved <= 0.0:
        return
    axes.axvspan(100.0 * (1.0 - reserved), 100.0, color=YELLOW, alpha=0.3, linewidth=0.0)
    place = (100.0 - 50.0 * reserved, 0.04 * top)
    say(axes, place, "kept back for levelling", rotation=90, ha="center", va="bottom", fontsize=8.5)


def draw_power_curves(
    curve: Sequence[PowerPoint], hover: PowerPoint | None, needed_n: float, reserved: float
) -> Figure:
    """Draw thrust of all rotors and electric watts over throttle, with hover marked.

    Parameters
    ----------
    curve : sequence of PowerPoint
        By rising throttle.
    hover : PowerPoint or None
    needed_n : float
        [N] What hover asks for.
    reserved : float
        [-] Share of the throttle that is kept back for levelling.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(7.2, 3.3), layout="constrained")
    left, right = figure.subplots(1, 2)
    throttles = [100.0 * point.throttle for point in curve]
    thrusts = [point.thrust_n for point in curve]
    watts = [point.pack_w for point in curve]
    for axes, values, name in ((left, thrusts, "thrust of all rotors, N"), (right, watts, "W")):
        top = 1.08 * max(*values, needed_n if axes is left else 0.0)
        axes.plot(throttles, values, color=BLUE)
        unit = "N of all rotors" if axes is left else "W"
        for throttle, value in zip(throttles, values, strict=True):
            spot(axes, (throttle, value), f"{fixed(throttle, 0)} %: {fixed(value, 1)} {unit}")
        _withheld(axes, reserved, top)
        axes.set_xlim(0.0, 100.0)
        axes.set_ylim(0.0, top)
        axes.set_xlabel("throttle, %")
        axes.set_ylabel(name if axes is left else "electric power, W")
    left.axhline(needed_n, color=RED, linestyle="--", linewidth=1.2)
    words = f"hover asks for {fixed(needed_n, 1)} N"
    say(left, (2.0, needed_n), words, shift=(0.0, 5.0), va="bottom", fontsize=8.5)
    if hover is not None:
        for axes, value in ((left, hover.thrust_n), (right, hover.pack_w)):
            axes.plot(100.0 * hover.throttle, value, marker="o", color=INK, linestyle="none")
        words = f"hover: {percent(hover.throttle)} %,\n{fixed(hover.pack_w, 0)} W"
        place = (100.0 * hover.throttle, hover.pack_w)
        say(right, place, words, shift=(-8.0, 6.0), ha="right", va="bottom", fontsize=8.5)
    return figure
