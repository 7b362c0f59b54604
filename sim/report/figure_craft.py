"""Pictures of the craft to scale: from the side, from behind and from above."""

from __future__ import annotations

from dataclasses import dataclass, field
from textwrap import shorten
from typing import Final, final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from sim.analysis.check_result import CheckResult
from sim.mass.rim import strip_points_m
from sim.report.figure_style import BLUE, CYAN, FAINT, GREEN, INK, PAPER, PURPLE, RED, YELLOW, say
from sim.report.outline import (
    LOOKING,
    UP,
    FloatArray,
    Looking,
    View,
    circle,
    part_outline,
    reach_m,
    rim_outline,
)
from sim.spec.airframe import CraftSpec
from sim.spec.drape import DrapeSpec
from sim.spec.rotor import RotorSpec

_CENTIMETRES: Final = 100.0
_AXIS_WORDS: Final = ("forward, cm", "right, cm", "up, cm")
_LARGEST_IN: Final = 4.1
_MARGINS_IN: Final = (0.62, 0.5)
_LEAST_LABELS_IN: Final = 1.2
_LETTER_IN: Final = 0.072
_LEADER_IN: Final = 0.18
_LABEL_HEIGHT_IN: Final = 0.19
_LEAST_HEIGHT_IN: Final = 2.0
_ROOM: Final = 0.05
_ONE_POINT_CM: Final = 0.1
_LONG_NAME: Final = 24
_LONGEST_NAME: Final = 27


@final
@dataclass
class _Drawing:
    """What is drawn so far, in centimetres of the picture."""

    axes: Axes
    looking: Looking
    low: FloatArray
    high: FloatArray
    labels: list[tuple[float, float, str]] = field(default_factory=list)

    def area(self, corners_m: FloatArray, colour: str, *, alpha: float = 0.35) -> None:
        """Draw a filled outline [m]."""
        if len(corners_m) == 0:
            return
        corners = corners_m * _CENTIMETRES
        self.axes.add_patch(Polygon(corners, closed=True, facecolor=colour, alpha=alpha, lw=0))
        self.axes.add_patch(Polygon(corners, closed=True, facecolor="none", edgecolor=INK, lw=0.7))

    def label(self, point_m: FloatArray, words: str) -> None:
        """Note a name for a point, to be written beside the picture."""
        x, y = point_m * _CENTIMETRES
        self.note(float(x), float(y), words)

    def note(self, x: float, y: float, words: str) -> None:
        """Note a name for a point [cm]; short names for one point share a line."""
        for i, (there_x, there_y, before) in enumerate(self.labels):
            together = f"{before}, {words}"
            if abs(there_x - x) + abs(there_y - y) < _ONE_POINT_CM and len(together) < _LONG_NAME:
                self.labels[i] = (x, y, together)
                return
        self.labels.append((x, y, words))


def draw_view(result: CheckResult, view: View) -> Figure:
    """Draw the craft.

    Parameters
    ----------
    result : CheckResult
        With the craft and its mass properties.
    view : str
        "side", "behind" or "top".

    Returns
    -------
    Figure
        In the style that is in force.
    """
    craft, looking = result.craft.spec, LOOKING[view]
    figure = Figure()
    box = reach_m(craft) * _CENTIMETRES
    low, high = box[:, [looking.across, looking.upward]]
    drawing = _Drawing(figure.add_axes((0.1, 0.1, 0.8, 0.8)), looking, low, high)
    for drape in craft.drapes:
        _draw_drape(drawing, drape)
    for part in craft.parts:
        drawing.area(part_outline(part, looking), FAINT)
    if craft.head is not None:
        outline = part_outline(craft.head, looking)
        drawing.area(outline, YELLOW, alpha=0.6)
        drawing.label(np.array(looking.at(craft.head.place)), craft.head.name)
    for rotor in craft.rotors:
        _draw_rotor(drawing, rotor)
    _draw_boxes(drawing, craft)
    if looking.upward == UP:
        _draw_rotor_plane(drawing, result)
        _draw_ground(drawing, craft)
    else:
        _draw_feet(drawing, craft)
    _draw_centre(drawing, result)
    _frame(figure, drawing, float((box[1] - box[0]).max()))
    return figure


def _hub_m(rotor: RotorSpec, looking: Looking) -> FloatArray:
    hub = np.array(looking.at(rotor.place))
    if rotor.tilt is not None and looking.upward == UP:
        hub[1] += rotor.tilt.hub_above_pivot_m
    return hub


def _draw_rotor(drawing: _Drawing, rotor: RotorSpec) -> None:
    looking = drawing.looking
    hub, radius = _hub_m(rotor, looking), 0.5 * rotor.propeller.diameter_m
    if looking.upward == UP:
        reach = np.array([radius, 0.0])
        ends = np.array([hub - reach, hub + reach]) * _CENTIMETRES
        drawing.axes.plot(ends[:, 0], ends[:, 1], color=BLUE, linewidth=3.0, solid_capstyle="butt")
        pivot = np.array(looking.at(rotor.place)) * _CENTIMETRES
        if rotor.tilt is not None:
            drawing.axes.plot(*pivot, marker="^", color=BLUE, markersize=5, markeredgecolor=INK)
        if looking is LOOKING["behind"]:
            place = (float(ends[:, 0].mean()), float(ends[0, 1]))
            say(drawing.axes, place, rotor.name, shift=(0.0, 4.0), ha="center", va="bottom")
        else:
            drawing.label(hub, rotor.name)
        return
    corners = circle(hub, radius)
    drawing.area(corners, BLUE, alpha=0.18)
    words = f"{rotor.name}\n{rotor.turns}"
    say(drawing.axes, tuple(hub * _CENTIMETRES), words, ha="center", va="center", fontsize=9.0)


def _draw_drape(drawing: _Drawing, drape: DrapeSpec) -> None:
    """Draw the fabric hung straight down, or its rim from above."""
    looking = drawing.looking
    axes = [looking.across, looking.upward]
    if looking.upward != UP:
        rim = rim_outline(drape.rim)[:, axes]
        if drape.rim.is_closed:
            drawing.area(rim, CYAN, alpha=0.25)
        else:
            drawing.axes.plot(*(rim * _CENTIMETRES).T, color=CYAN, linewidth=3.0)
        drawing.label(rim[np.argmin(rim[:, 1])], f"rim of the {_cut_words(drape)}")
        return
    hem = np.array([0.0, drape.length_m.value])
    if drape.is_sheet:
        rim = rim_outline(drape.rim)[:, axes]
        strips = [(rim.min(axis=0), rim.max(axis=0))]
    else:
        half = np.array([0.5 * drape.width_m, 0.0])
        hung = (strip_points_m(drape) * (1.0, 1.0, -1.0))[:, axes]
        strips = [(point - half, point + half) for point in np.unique(hung.round(9), axis=0)]
    for left, right in strips:
        drawing.area(np.array([left, right, right - hem, left - hem]), CYAN, alpha=0.27)
    middle = 0.5 * (strips[0][0] + strips[-1][1])
    drawing.label(middle - 0.5 * hem, _cut_words(drape))


def _cut_words(drape: DrapeSpec) -> str:
    """Give what the fabric is called in the pictures."""
    return drape.cut if drape.name.split()[0] == "drape" else drape.name


def _draw_boxes(drawing: _Drawing, craft: CraftSpec) -> None:
    """Mark battery and electronics, whose sizes the craft file does not tell."""
    for name, place, colour, size in (
        ("battery", craft.battery.place, PURPLE, 10.0),
        ("electronics", craft.electronics.place, GREEN, 7.0),
    ):
        spot = np.array(drawing.looking.at(place))
        drawing.axes.plot(
            *(spot * _CENTIMETRES),
            marker="s",
            markersize=size,
            color=colour,
            markeredgecolor=INK,
            linestyle="none",
        )
        drawing.label(spot, name)


def _draw_rotor_plane(drawing: _Drawing, result: CheckResult) -> None:
    """Draw the line of the tilt pivots and how far the centre of gravity lies from it."""
    level = result.head.rotors_above_centre_m - float(result.mass.centre_m[2])
    centre = np.array([_centre_m(result, drawing.looking)])[0] * _CENTIMETRES
    level *= _CENTIMETRES
    drawing.axes.axhline(level, color=INK, linestyle="--", linewidth=0.9)
    drawing.axes.axhline(float(centre[1]), color=RED, linestyle=":", linewidth=0.9)
    reach = float(drawing.high[0])
    arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 1.0, "shrinkA": 0, "shrinkB": 0}
    drawing.axes.annotate("", (reach, level), (reach, float(centre[1])), arrowprops=arrow)
    above = result.head.rotors_above_centre_m * _CENTIMETRES
    drawing.note(reach, 0.5 * (level + float(centre[1])), f"{above:.1f} cm")
    name = "tilt pivots" if result.head.pitch_by_tilt else "rotors"
    drawing.note(reach, level, f"level of {name}")


def _draw_ground(drawing: _Drawing, craft: CraftSpec) -> None:
    if craft.legs is None:
        return
    feet = np.array([drawing.looking.at(foot) for foot in craft.legs.feet]) * _CENTIMETRES
    drawing.axes.plot(feet[:, 0], feet[:, 1], "o", color=INK, markersize=4)
    ground = float(feet[:, 1].min())
    drawing.axes.axhline(ground, color=INK, linewidth=1.6)
    drawing.note(float(drawing.high[0]), ground, "ground")


def _draw_feet(drawing: _Drawing, craft: CraftSpec) -> None:
    if craft.legs is None:
        return
    feet = np.array([drawing.looking.at(foot) for foot in craft.legs.feet]) * _CENTIMETRES
    drawing.axes.plot(feet[:, 0], feet[:, 1], "o", color=INK, markersize=4)
    drawing.note(float(feet[0, 0]), float(feet[0, 1]), "feet")


def _centre_m(result: CheckResult, looking: Looking) -> FloatArray:
    forward, right, down = (float(value) for value in result.mass.centre_m)
    place = np.array([forward, right, -down])
    return place[[looking.across, looking.upward]]


def _draw_centre(drawing: _Drawing, result: CheckResult) -> None:
    looking = drawing.looking
    spot = _centre_m(result, looking)
    spread = result.mass.centre_plus_minus_m[[looking.across, looking.upward]] * _CENTIMETRES
    x, y = spot * _CENTIMETRES
    drawing.axes.errorbar(x, y, yerr=spread[1], xerr=spread[0], color=RED, linewidth=1.5)
    drawing.axes.plot(x, y, "o", color=PAPER, markersize=11, markeredgecolor=RED, mew=2.2)
    drawing.axes.plot(x, y, "+", color=RED, markersize=9, markeredgewidth=2.2)
    drawing.label(spot, "centre of gravity")


def _frame(figure: Figure, drawing: _Drawing, longest: float) -> None:
    """Set the size so that a centimetre is the same everywhere, and write the names beside."""
    axes = drawing.axes
    room = _ROOM * longest
    low, high = drawing.low - room, drawing.high + room
    per_inch = (longest + 2.0 * room) / _LARGEST_IN
    wide, tall = (high - low) / per_inch
    left, bottom = _MARGINS_IN
    needed = _LABEL_HEIGHT_IN * len(drawing.labels)
    extra = max(needed, _LEAST_HEIGHT_IN) - float(tall)
    if extra > 0.0:
        low[1] -= 0.5 * extra * per_inch
        high[1] += 0.5 * extra * per_inch
        tall = tall + extra
    letters = max((len(_shown(words)) for _, _, words in drawing.labels), default=0)
    beside = max(_LEADER_IN + _LETTER_IN * letters, _LEAST_LABELS_IN)
    whole = (left + float(wide) + beside, bottom + float(tall) + 0.08)
    figure.set_size_inches(*whole)
    axes.set_position(
        (left / whole[0], bottom / whole[1], float(wide) / whole[0], float(tall) / whole[1])
    )
    axes.set_xlim(low[0], high[0])
    axes.set_ylim(low[1], high[1])
    axes.set_xlabel(_AXIS_WORDS[drawing.looking.across])
    axes.set_ylabel(_AXIS_WORDS[drawing.looking.upward])
    _write_labels(drawing, float(high[0]), per_inch, (float(low[1]), float(high[1])))


def spread_levels(wanted: list[float], gap: float, low: float, high: float) -> list[float]:
    """Move levels apart as little as keeps them in order, a gap apart and between two bounds.

    Parameters
    ----------
    wanted : list of float
        Ascending.
    gap, low, high : float
        Least distance of two, and bounds; the gap shrinks where they would not fit.

    Returns
    -------
    list of float
        Ascending.
    """
    if not wanted:
        return []
    gap = min(gap, (high - low) / max(len(wanted) - 1, 1))
    levels = list(wanted)
    levels[0] = max(levels[0], low)
    for i in range(1, len(levels)):
        levels[i] = max(levels[i], levels[i - 1] + gap)
    levels[-1] = min(levels[-1], high)
    for i in range(len(levels) - 2, -1, -1):
        levels[i] = min(levels[i], levels[i + 1] - gap)
    return levels


def _shown(words: str) -> str:
    """Give a label that is not too long to stand beside the picture."""
    return shorten(words, _LONGEST_NAME, placeholder="...")


def _write_labels(
    drawing: _Drawing, edge: float, per_inch: float, bounds: tuple[float, float]
) -> None:
    ordered = sorted(drawing.labels, key=lambda entry: (entry[1], entry[2]))
    half = 0.5 * _LABEL_HEIGHT_IN * per_inch
    levels = spread_levels(
        [y for _, y, _ in ordered], 2.0 * half, bounds[0] + half, bounds[1] - half
    )
    for (x, y, words), level in zip(ordered, levels, strict=True):
        drawing.axes.annotate(
            _shown(words),
            (x, y),
            (edge + _LEADER_IN * per_inch, level),
            va="center",
            ha="left",
            fontsize=9.5,
            annotation_clip=False,
            arrowprops={
                "arrowstyle": "-",
                "color": INK,
                "linewidth": 0.5,
                "shrinkB": 2,
                "relpos": (0.0, 0.5),
            },
        )
