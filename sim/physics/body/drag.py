"""Drag of a bluff part in its own local airflow."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled_inside
from sim.numerics.vector import Vector


@compiled_inside
def bluff_drag(drag_area_m2: Vector, density_kg_m3: float, flow: Vector) -> Vector:
    """Give the force [N] on a part in the relative flow [m/s], both in body axes.

    F_i = rho/2 (Cd A)_i |V| V_i, with the drag area [m2] along each axis: exact along an axis, a
    blend between axes (common practice, no source).
    """
    speed = math.sqrt(flow[0] * flow[0] + flow[1] * flow[1] + flow[2] * flow[2])
    pressure = 0.5 * density_kg_m3 * speed
    return (
        pressure * drag_area_m2[0] * flow[0],
        pressure * drag_area_m2[1] * flow[1],
        pressure * drag_area_m2[2] * flow[2],
    )
