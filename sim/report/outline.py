"""Outlines of a craft's parts as seen from the side, from behind or from above."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal, final

import numpy as np
from numpy.typing import NDArray

from sim.mass.rim import rim_points_m
from sim.spec.airframe import CraftSpec
from sim.spec.place import Place
from sim.spec.rim import RimSpec
from sim.spec.structure import PartSpec

FloatArray = NDArray[np.float64]
View = Literal["side", "behind", "top"]

FORWARD: Final = 0
RIGHT: Final = 1
UP: Final = 2
_AXIS: Final = {"forward": FORWARD, "right": RIGHT, "up": UP}
_SHEET_M: Final = 0.004
_THINNEST_M: Final = 0.003
_ROUND: Final = 48


@final
@dataclass(frozen=True)
class Looking:
    """Which way one looks at the craft.

    Attributes
    ----------
    across, upward : int
        Direction of the craft (forward 0, right 1, up 2) that lies across and up the picture.
    """

    across: int
    upward: int

    @property
    def into(self) -> int:
        """Direction of the craft that lies along the line of sight."""
        return FORWARD + RIGHT + UP - self.across - self.upward

    def at(self, place: Place) -> tuple[float, float]:
        """Give where a point of the craft is in the picture [m]."""
        forward_right_up = (place.forward_m.value, place.right_m.value, place.up_m.value)
        return (forward_right_up[self.across], forward_right_up[self.upward])


LOOKING: Final[dict[View, Looking]] = {
    "side": Looking(FORWARD, UP),
    "behind": Looking(RIGHT, UP),
    "top": Looking(RIGHT, FORWARD),
}


def part_outline(part: PartSpec, looking: Looking) -> FloatArray:
    """Give the outline of a part.

    Parameters
    ----------
    part : PartSpec
        Shape, sizes and place.
    looking : Looking
        From where.

    Returns
    -------
    ndarray, shape (corners, 2)
        [m] Across and up the picture, from the origin of the craft file; empty for a point.
    """
    centre = np.array(looking.at(part.place))
    round_shapes = {"sphere", "spherical_shell"}
    if part.shape == "point":
        return np.empty((0, 2))
    if part.shape in round_shapes:
        return circle(centre, part.radius_m)
    if part.shape == "box":
        return _rectangle(centre, part.sides_m, looking)
    by_shape: dict[str, Callable[[], FloatArray]] = {
        "rod": lambda: _round_bar(part, looking, max(part.radius_m, _THINNEST_M)),
        "tube": lambda: _round_bar(part, looking, part.radius_m),
        "cylinder": lambda: _round_bar(part, looking, part.radius_m),
        "disc": lambda: _round_bar(part, looking, part.radius_m),
        "hemispherical_shell": lambda: _half_ball(part, looking),
        "panel": lambda: _sheet(part, looking),
    }
    return by_shape[part.shape]()


def circle(centre: FloatArray, radius_m: float) -> FloatArray:
    """Give a circle as a polygon.

    Parameters
    ----------
    centre : ndarray, shape (2,)
        [m] In the picture.
    radius_m : float
        [m] Radius.

    Returns
    -------
    ndarray, shape (corners, 2)
        [m] Corners.
    """
    angle = np.linspace(0.0, 2.0 * math.pi, _ROUND, endpoint=False)
    corners: FloatArray = centre + radius_m * np.column_stack([np.cos(angle), np.sin(angle)])
    return corners


def reach_m(craft: CraftSpec) -> FloatArray:
    """Give the box that holds a craft, so that every view can have the same scale.

    Parameters
    ----------
    craft : CraftSpec
        Parts, head, rotors, fabric, feet, battery and electronics count.

    Returns
    -------
    ndarray, shape (2, 3)
        [m] Least and greatest forward, right and up.
    """
    box = np.array([[np.inf] * 3, [-np.inf] * 3])
    parts = [*craft.parts, *([craft.head] if craft.head is not None else [])]
    for looking in LOOKING.values():
        axes = [looking.across, looking.upward]
        outlines = [part_outline(part, looking) for part in parts]
        outlines += [np.array([looking.at(place)]) for place in _bare_places(craft)]
        corners = np.concatenate(outlines)
        box[0, axes] = np.minimum(box[0, axes], corners.min(axis=0))
        box[1, axes] = np.maximum(box[1, axes], corners.max(axis=0))
    for rotor in craft.rotors:
        radius = 0.5 * rotor.propeller.diameter_m
        above = rotor.tilt.hub_above_pivot_m if rotor.tilt is not None else 0.0
        _stretch(box, rotor.place, radius, (0.0, above))
    for drape in craft.drapes:
        points = rim_outline(drape.rim)
        box[0] = np.minimum(box[0], points.min(axis=0) - (0.0, 0.0, drape.length_m.value))
        box[1] = np.maximum(box[1], points.max(axis=0))
    return box


def rim_outline(rim: RimSpec) -> FloatArray:
    """Give points along the rim of a drape.

    Parameters
    ----------
    rim : RimSpec
        Ring, oval, arc or rod.

    Returns
    -------
    ndarray, shape (points, 3)
        [m] Forward, right and up from the origin of the craft file.
    """
    points: FloatArray = rim_points_m(rim, np.linspace(0.0, 1.0, _ROUND + 1))
    return points * (1.0, 1.0, -1.0)


def _bare_places(craft: CraftSpec) -> list[Place]:
    feet = list(craft.legs.feet) if craft.legs is not None else []
    return [craft.battery.place, craft.electronics.place, *feet]


def _stretch(
    box: FloatArray, place: Place, radius_m: float, below_above_m: tuple[float, float]
) -> None:
    """Make a box hold a level ring and what reaches below and above it."""
    centre = np.array([place.forward_m.value, place.right_m.value, place.up_m.value])
    around = np.array([radius_m, radius_m, 0.0])
    box[0] = np.minimum(box[0], centre - around + (0.0, 0.0, below_above_m[0]))
    box[1] = np.maximum(box[1], centre + around + (0.0, 0.0, below_above_m[1]))


def _rectangle(
    centre: FloatArray, sides_m: tuple[float, float, float], looking: Looking
) -> FloatArray:
    half = 0.5 * np.array([sides_m[looking.across], sides_m[looking.upward]])
    corners = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
    placed: FloatArray = centre + half * corners
    return placed


def _round_bar(part: PartSpec, looking: Looking, radius_m: float) -> FloatArray:
    centre = np.array(looking.at(part.place))
    along = _AXIS[part.along]
    if along == looking.into:
        return circle(centre, radius_m)
    sides = [2.0 * radius_m] * 3
    sides[along] = part.length_m if part.shape != "disc" else _SHEET_M
    return _rectangle(centre, (sides[0], sides[1], sides[2]), looking)


def _half_ball(part: PartSpec, looking: Looking) -> FloatArray:
    """Give a bowl whose centre of mass stands half a radius above its rim plane."""
    centre = np.array(looking.at(part.place))
    along = _AXIS[part.along]
    if along == looking.into:
        return circle(centre, part.radius_m)
    angle = np.linspace(0.0, math.pi, _ROUND)
    wide, high = part.radius_m * np.cos(angle), part.radius_m * np.sin(angle)
    high = high - 0.5 * part.radius_m
    columns = [wide, high] if along == looking.upward else [high, wide]
    corners: FloatArray = centre + np.column_stack(columns)
    return corners


def _sheet(part: PartSpec, looking: Looking) -> FloatArray:
    """Give a panel, whose length runs along the first direction that is not its normal."""
    normal = _AXIS[part.along]
    first, second = (axis for axis in (FORWARD, RIGHT, UP) if axis != normal)
    sides = [_SHEET_M] * 3
    sides[first], sides[second] = part.length_m, part.width_m
    centre = np.array(looking.at(part.place))
    return _rectangle(centre, (sides[0], sides[1], sides[2]), looking)
