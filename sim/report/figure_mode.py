"""Pictures of how the fabric swings: the craft from the side or behind, strips at both ends."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from sim.analysis.mode_shape import ModeShape
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.report.figure_style import BLUE, FAINT, INK, RED, YELLOW, say
from sim.report.outline import LOOKING, Looking, part_outline, reach_m
from sim.spec.airframe import CraftSpec

_CENTIMETRES: Final = 100.0
_ROOM_CM: Final = 12.0
_WORDS: Final = {"side": "from the side", "behind": "from behind"}
_LABEL: Final = {"side": "forward, cm", "behind": "right, cm"}
_TURNS: Final = {"a": 1.0, "b": -1.0, "q": 1.0j}
"""Instants of a swing, as turns of its phase: one end, the other, and a quarter after the first."""
_STYLES: Final[dict[str, dict[str, Any]]] = {
    "a": {"color": BLUE, "linestyle": "-", "marker": "o", "markersize": 2.2},
    "b": {"color": RED, "linestyle": "--", "marker": "o", "markersize": 2.2},
    # Not seen in the picture; a script that moves the fabric asks for it.
    "q": {"color": FAINT, "alpha": 0.0},
}


def draw_modes(craft: CraftSpec, packed: PackedCraft, shapes: tuple[ModeShape, ...]) -> Figure:
    """Draw swings of the fabric, each at the two ends of its swing.

    Parameters
    ----------
    craft, packed : as written, as packed
    shapes : tuple of ModeShape
        One picture each.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    figure = Figure(figsize=(3.7 * max(len(shapes), 1), 4.0), layout="constrained")
    plots = figure.subplots(1, max(len(shapes), 1), squeeze=False)[0]
    for axes, shape in zip(plots, shapes, strict=False):
        draw_mode(axes, craft, packed, shape)
    return figure


def draw_mode(axes: Axes, craft: CraftSpec, packed: PackedCraft, shape: ModeShape) -> None:
    """Draw one swing into axes: solid one end, dashed the other.

    Parameters
    ----------
    axes : Axes
        Where.
    craft, packed, shape : see `draw_modes`
    """
    looking = LOOKING["side" if shape.view == "side" else "behind"]
    for part in craft.parts:
        _area(axes, part_outline(part, looking), FAINT, 0.35)
    if craft.head is not None:
        _area(axes, part_outline(craft.head, looking), YELLOW, 0.5)
    for rotor in craft.rotors:
        hub, radius = np.array(looking.at(rotor.place)), 0.5 * rotor.propeller.diameter_m
        ends = (
            np.array([hub + np.array([side * radius, 0.0]) for side in (-1.0, 1.0)]) * _CENTIMETRES
        )
        axes.plot(ends[:, 0], ends[:, 1], color=FAINT, linewidth=3.0)
    for instant in _TURNS:
        _draw_instant(axes, packed, shape, looking, instant)
    box = reach_m(craft) * _CENTIMETRES
    low, high = box[0] - _ROOM_CM, box[1] + _ROOM_CM
    axes.set_xlim(low[looking.across], high[looking.across])
    axes.set_ylim(low[looking.upward], high[looking.upward])
    axes.set_aspect("equal")
    mode = shape.mode
    axes.set_title(f"{mode.frequency_hz:.2g} Hz, {_WORDS[shape.view]}")
    axes.set_xlabel(_LABEL[shape.view])
    axes.set_ylabel("up, cm")
    place = (float(low[looking.across]), float(low[looking.upward]))
    half = f"halves in {mode.time_to_half_or_double_s:.2g} s"
    words = f"doubles in {mode.time_to_half_or_double_s:.2g} s" if mode.grows else half
    say(axes, place, words, shift=(4.0, 4.0), fontsize=8.5)


def _area(axes: Axes, corners_m: FloatArray, colour: str, alpha: float) -> None:
    if not len(corners_m):
        return
    corners = corners_m * _CENTIMETRES
    axes.add_patch(Polygon(corners, closed=True, facecolor=colour, alpha=alpha, lw=0))
    axes.add_patch(Polygon(corners, closed=True, facecolor="none", edgecolor=INK, lw=0.5))


def _seen(packed: PackedCraft, body_m: FloatArray, looking: Looking) -> FloatArray:
    """Give places in body axes from the CG [m] as they lie in the picture [cm], from the origin."""
    forward_right_down = body_m + np.asarray(packed.mass.centre_m)
    flipped = forward_right_down * (1.0, 1.0, -1.0)
    seen: FloatArray = flipped[:, [looking.across, looking.upward]] * _CENTIMETRES
    return seen


def _draw_instant(
    axes: Axes,
    packed: PackedCraft,
    shape: ModeShape,
    looking: Looking,
    instant: str,
) -> None:
    """Draw every strip from the rim down, at one instant of the swing.

    Each line has a name by which a script finds it and moves it: which strip, which instant, and
    how many thousandths of a hertz.
    """
    places = shape.rest_m + (shape.swing_m * _TURNS[instant]).real
    rate = round(1000.0 * shape.mode.frequency_hz)
    figure = axes.get_figure(root=True)
    view = 0 if figure is None else figure.axes.index(axes)
    for number, (strip, top) in enumerate(zip(shape.strips, shape.rim_m, strict=True)):
        points = _seen(packed, np.vstack([top, places[list(strip)]]), looking)
        name = f"swing_{view}_{number}_{instant}_{rate}"
        axes.plot(points[:, 0], points[:, 1], linewidth=1.3, gid=name, **_STYLES[instant])
