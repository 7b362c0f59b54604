"""The wash of one rotor at a point: contracting, skewed, felt above the disc too."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector

LEAST_SHARE = 1e-3
LEAST_AXIAL_SHARE = 0.15


@compiled
def wake_direction(axis: Vector, through: Vector, induced_m_s: float) -> Vector:
    """Give how far the wake's middle moves sideways per metre of depth, as a vector [-].

    `axis` is the unit thrust direction, `through` [m/s] the air relative to the disc without the
    induced velocity. The wake leaves along (through - induced axis); skew is held once the flow is
    steeper than the disc by LEAST_AXIAL_SHARE.
    """
    x = through[0] - induced_m_s * axis[0]
    y = through[1] - induced_m_s * axis[1]
    z = through[2] - induced_m_s * axis[2]
    speed = math.sqrt(x * x + y * y + z * z) + 1e-9
    down = -(x * axis[0] + y * axis[1] + z * axis[2])
    down = max(down, LEAST_AXIAL_SHARE * speed)
    return (x / down, y / down, z / down)


@compiled
def wash_at(
    offset: Vector, axis: Vector, wake: Vector, radius_m: float, induced_m_s: float
) -> float:
    """Give the wash speed [m/s] against `axis` at a point.

    `offset` [m] goes from the hub to the point. On the wake's middle the induced velocity is
    v_i (1 + z / sqrt(R^2 + z^2)) at depth z below the disc (vortex-tube result; McCormick 1967),
    which far below is twice that in the disc; the tube's radius follows from continuity, and a
    smooth edge replaces its sheet.
    """
    depth = -(offset[0] * axis[0] + offset[1] * axis[1] + offset[2] * axis[2])
    radius_square = radius_m * radius_m
    growth = max(1.0 + depth / math.sqrt(radius_square + depth * depth), LEAST_SHARE)
    x = offset[0] - depth * wake[0]
    y = offset[1] - depth * wake[1]
    z = offset[2] - depth * wake[2]
    ratio = (x * x + y * y + z * z) * growth / radius_square
    ratio *= ratio
    return induced_m_s * growth / (1.0 + ratio * ratio)


@compiled
def distance_from_disc(offset: Vector, axis: Vector, radius_m: float) -> float:
    """Give the distance [m] of a point from a disc; `offset` [m] goes from its middle to it."""
    depth = -(offset[0] * axis[0] + offset[1] * axis[1] + offset[2] * axis[2])
    square = offset[0] * offset[0] + offset[1] * offset[1] + offset[2] * offset[2]
    beside = math.sqrt(max(square - depth * depth, 0.0)) - radius_m
    if beside <= 0.0:
        return abs(depth)
    return math.sqrt(beside * beside + depth * depth)
