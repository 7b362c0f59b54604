"""Picture of other propellers: thrust margin against hover watts, with the efficient front."""

from __future__ import annotations

from matplotlib.figure import Figure

from sim.analysis.propeller_choice import PropellerChoice, PropellerOption
from sim.report.figure_style import BLUE, FAINT, GREEN, INK, RED, say
from sim.report.propeller_tables import propeller_name

_KINDS = (
    ("keeps all limits", "o", GREEN),
    ("overloads something", "x", RED),
    ("no room for its tips", "s", FAINT),
    ("too little thrust", "v", FAINT),
)


def _kind(option: PropellerOption, choice: PropellerChoice) -> int:
    if option.clearance_m < choice.rules.clearance_m:
        return 2
    if option.overloaded:
        return 1
    return 0 if option.keeps(choice.rules) else 3


def draw_propellers(choice: PropellerChoice) -> Figure:
    """Draw every propeller that holds the craft, the present one and the front by name.

    Parameters
    ----------
    choice : PropellerChoice

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(7.2, 3.8), layout="constrained")
    axes = figure.subplots()
    shown = [option for option in choice.options if option.hover_w is not None]
    for kind, (words, marker, colour) in enumerate(_KINDS):
        found = [option for option in shown if _kind(option, choice) == kind]
        if found:
            axes.plot(
                [option.hover_w or 0.0 for option in found],
                [100.0 * option.margin for option in found],
                marker=marker,
                color=colour,
                markersize=5,
                linestyle="none",
                label=words,
                markerfacecolor="none" if kind else colour,
            )
    line = (*choice.beyond, *choice.front)
    for options, style in ((choice.front, "-"), (line, ":")):
        ordered = sorted(options, key=lambda option: option.hover_w or 0.0)
        axes.plot(
            [option.hover_w or 0.0 for option in ordered],
            [100.0 * option.margin for option in ordered],
            color=BLUE,
            linestyle=style,
            linewidth=1.2,
        )
    ends = choice.beyond[:1] + choice.beyond[-1:]
    named = {propeller_name(option): option for option in (*ends, *choice.front, choice.present)}
    for name, option in named.items():
        if option.hover_w is None:
            continue
        place = (option.hover_w, 100.0 * option.margin)
        words = f"{name}, yours" if option.present else name
        if option.present:
            axes.plot(*place, marker="D", color=INK, markersize=7, linestyle="none")
        say(axes, place, words, shift=(6.0, -3.0), ha="left", va="top", fontsize=8.5)
    axes.axhline(0.0, color=RED, linestyle="--", linewidth=1.0)
    axes.set_xlabel("electric power in hover, W (fewer is better)")
    axes.set_ylabel("thrust margin, % (more is better)")
    axes.legend(loc="best", fontsize=8.5, frameon=False)
    return figure
