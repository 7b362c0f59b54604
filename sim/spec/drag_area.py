"""Drag areas of simple shapes, for parts whose builder gave none.

Coefficients are round figures for bluff bodies below the drag crisis, as collected in
S. F. Hoerner, Fluid-Dynamic Drag (1965), chapter 3; quoted from memory, so treat them as good to a
quarter. A measured drag area always replaces them.
"""

from __future__ import annotations

import math
from typing import Final

DragArea = tuple[float, float, float]
"""[m2] Drag coefficient times area, for air along forward, right, up."""

ACROSS_CYLINDER: Final = 1.2
ALONG_CYLINDER: Final = 0.82
FACE_OF_PLATE: Final = 1.17
EDGE_OF_PLATE: Final = 0.02  # on the plate's area: friction of both sides
FACE_OF_BOX: Final = 1.05
SPHERE: Final = 0.47
HEMISPHERE_OPEN: Final = 1.42
HEMISPHERE_ROUND: Final = 0.38
HEMISPHERE_SIDE: Final = 0.6  # on the half disc; common practice, no source


def bluff_drag_area_m2(
    shape: str,
    along: str,
    *,
    length_m: float,
    radius_m: float,
    width_m: float,
    sides_m: tuple[float, float, float],
) -> DragArea:
    """Give the drag areas that a shape implies.

    Parameters
    ----------
    shape : str
        Name of the shape, as in a craft file.
    along : str
        Axis of the shape: forward, right or up.
    length_m, radius_m, width_m : float
        [m] Sizes; those that the shape does not have are not read.
    sides_m : tuple of float
        [m] Sides of a box along forward, right, up.

    Returns
    -------
    tuple of float
        [m2] For air along forward, right, up. A point has none.
    """
    if shape == "box":
        forward, right, up = sides_m
        return (
            FACE_OF_BOX * right * up,
            FACE_OF_BOX * forward * up,
            FACE_OF_BOX * forward * right,
        )
    axial, across = _axial_and_across(shape, length_m, radius_m, width_m)
    return (
        axial if along == "forward" else across,
        axial if along == "right" else across,
        axial if along == "up" else across,
    )


def _axial_and_across(
    shape: str, length_m: float, radius_m: float, width_m: float
) -> tuple[float, float]:
    """Give the drag areas [m2] for air along and across the shape's axis."""
    disc = math.pi * radius_m * radius_m
    side = 2.0 * radius_m * length_m
    plate = length_m * width_m
    match shape:
        case "rod" | "tube" | "cylinder":
            return (ALONG_CYLINDER * disc, ACROSS_CYLINDER * side)
        case "disc":
            return (FACE_OF_PLATE * disc, EDGE_OF_PLATE * disc)
        case "panel":
            return (FACE_OF_PLATE * plate, EDGE_OF_PLATE * plate)
        case "sphere" | "spherical_shell":
            return (SPHERE * disc, SPHERE * disc)
        case "hemispherical_shell":
            # Along its axis the wind may come from either side: the mean of round and open side.
            mean = 0.5 * (HEMISPHERE_OPEN + HEMISPHERE_ROUND)
            return (mean * disc, HEMISPHERE_SIDE * disc)
        case _:
            return (0.0, 0.0)
