"""Picture of the map of heads: what gives out first at each mass and height, with the exact lines.

Every region carries its name and a pattern of its own besides its colour.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from scipy.ndimage import label

from sim.analysis.head_gates import Gate
from sim.analysis.head_map import HeadMap
from sim.params.record import FloatArray
from sim.report.figure_style import BLUE, GREEN, INK, PURPLE, RED, YELLOW, say
from sim.report.head_words import CENTIMETRES, GATE_NAMES

_LOOK: Final[dict[Gate | None, tuple[str, str]]] = {
    None: (GREEN, ""),
    "lift": (BLUE, "////"),
    "authority": (RED, "...."),
    "margins": (YELLOW, "xxxx"),
    "wind": (PURPLE, "----"),
}
_WORDS: Final[dict[Gate | None, str]] = {None: "passes"} | {
    gate: f"{name}\ngives out first" for gate, name in GATE_NAMES.items()
}
_SPREAD: Final = 0.5


def _edges(nodes: FloatArray) -> FloatArray:
    """Give the borders of cells around nodes, midway between them."""
    if len(nodes) == 1:
        return np.array([nodes[0] - _SPREAD, nodes[0] + _SPREAD])
    middles = 0.5 * (nodes[:-1] + nodes[1:])
    first = max(nodes[0] - (middles[0] - nodes[0]), 0.0 if nodes[0] >= 0.0 else -np.inf)
    return np.array([first, *middles, nodes[-1] + (nodes[-1] - middles[-1])])


def _draw_cells(axes: Axes, answer: HeadMap, x: FloatArray, y: FloatArray) -> None:
    for j, row in enumerate(answer.figures):
        for i, figures in enumerate(row):
            colour, hatch = _LOOK[figures.failed]
            corner = (float(x[i]), float(y[j]))
            width, height = float(x[i + 1] - x[i]), float(y[j + 1] - y[j])
            axes.add_patch(
                Rectangle(corner, width, height, facecolor=colour, alpha=0.35, linewidth=0.0)
            )
            if hatch:
                axes.add_patch(
                    Rectangle(
                        corner,
                        width,
                        height,
                        facecolor="none",
                        edgecolor=colour,
                        hatch=hatch,
                        linewidth=0.0,
                    )
                )


def _name_regions(axes: Axes, answer: HeadMap, x: FloatArray, y: FloatArray) -> None:
    """Write the name of each connected region into it, at the cell nearest to its middle."""
    gates: tuple[Gate | None, ...] = (None, *GATE_NAMES)
    marked = int(np.searchsorted(y, CENTIMETRES * answer.up_m)) - 1
    for gate in gates:
        mine = np.array([[figures.failed == gate for figures in row] for row in answer.figures])
        marks, count = label(mine)
        for number in range(1, count + 1):
            rows, columns = np.nonzero(marks == number)
            middle = (rows.mean(), columns.mean())
            away = (rows - middle[0]) ** 2 + (columns - middle[1]) ** 2
            # This head and the heaviest one are marked and named in this row.
            k = int(np.argmin(away + np.where(rows == marked, float(len(mine)) ** 2, 0.0)))
            middle_kg = float(0.5 * (x[columns[k]] + x[columns[k] + 1]))
            low, high = float(y[rows[k]]), float(y[rows[k] + 1])
            if rows[k] == marked:
                words, place = _WORDS[gate].partition("\n")[0], (middle_kg, low)
                say(axes, place, words, shift=(0.0, 4.0), ha="center", va="bottom", fontsize=9)
            else:
                place = (middle_kg, 0.5 * (low + high))
                say(axes, place, _WORDS[gate], ha="center", va="center", fontsize=9)


def _draw_lines(axes: Axes, answer: HeadMap) -> None:
    """Draw where lift and pitch authority give out, exactly, and the height of the rotors."""
    lines = answer.borders
    up = CENTIMETRES * lines.up_m
    axes.plot(lines.lift_kg, up, color=BLUE, linestyle="--")
    axes.plot(lines.authority_kg, up, color=RED)
    _name_line(axes, lines.lift_kg, up, "lift")
    _name_line(axes, lines.authority_kg, up, "pitch authority")
    pivots = [rotor.place.up_m.value for rotor in answer.craft.spec.rotors]
    height = CENTIMETRES * float(np.mean(pivots))
    low, high = axes.get_ylim()
    if low < height < high:
        axes.axhline(height, color=INK, linestyle=":", linewidth=1.0)
        place = (axes.get_xlim()[1], height)
        say(axes, place, "rotors", shift=(-3.0, 2.0), ha="right", va="bottom", fontsize=8)


def _name_line(axes: Axes, masses_kg: FloatArray, up: FloatArray, name: str) -> None:
    """Write a line's name beside its highest point that is on the map."""
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    seen = (masses_kg > left) & (masses_kg < right) & (up > low) & (up < high)
    if seen.any():
        k = int(np.flatnonzero(seen)[-1])
        place = (float(masses_kg[k]), float(up[k]))
        say(axes, place, name, shift=(4.0, -3.0), ha="left", va="top", fontsize=8)


def draw_head_map(answer: HeadMap) -> Figure:
    """Draw the map, the lines of lift and authority, and this head in it.

    Parameters
    ----------
    answer : HeadMap

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(6.4, 4.4), layout="constrained")
    axes = figure.subplots()
    x = _edges(np.array(answer.masses_kg))
    y = _edges(CENTIMETRES * np.array(answer.heights_m))
    axes.set_xlim(float(x[0]), float(x[-1]))
    axes.set_ylim(float(y[0]), float(y[-1]))
    axes.grid(visible=False)
    _draw_cells(axes, answer, x, y)
    _draw_lines(axes, answer)
    _name_regions(axes, answer, x, y)
    nodes = np.meshgrid(answer.masses_kg, CENTIMETRES * np.array(answer.heights_m))
    axes.plot(nodes[0].ravel(), nodes[1].ravel(), ".", color=INK, markersize=2.0)
    up = CENTIMETRES * answer.up_m
    axes.plot([answer.mass_kg], [up], "D", color=INK, markersize=7)
    say(axes, (answer.mass_kg, up), "this head", shift=(0.0, -7.0), ha="center", va="top")
    if answer.heaviest_kg is not None:
        axes.plot([answer.heaviest_kg], [up], "|", color=INK, markersize=22, markeredgewidth=2.0)
        words = f"heaviest, {answer.heaviest_kg:.2f} kg"
        say(axes, (answer.heaviest_kg, up), words, shift=(0.0, 13.0), ha="center", va="bottom")
    axes.set_xlabel("mass of the head, kg")
    axes.set_ylabel("its place above the file's origin, cm")
    return figure
