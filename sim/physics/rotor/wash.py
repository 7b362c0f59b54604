"""The wash of one rotor at a point: drawn in above the disc, contracting and skewed below it.

The flow follows from one stream function, so that no air is lost. With lengths over the tip radius,
depth z below the disc and distance r from the wake's middle it is psi = R^2 v_i / 2 times

- below the disc, F(s) with s = r^2 g, g = 1 + z / sqrt(1 + z^2): the vortex tube's growth on the
  axis (McCormick 1967), with the tube's radius from continuity;
- above it, (1 - g^2) (1 - 1 / sqrt(1 + 2 s)) + g^2 F(s): F at the disc, and far up a sink that
  draws evenly from the whole half space.

F(s) = 1 - 1 / (1 + s + s^2 + s^3 + c s^6) replaces the tube's sheet by a smooth edge. Its slope is
1 on the axis, F(infinity) = 1 gives the wake the disc's own mass flow at every depth, and c makes
the integral of its slope squared 1, so that far below the wake carries the momentum of the thrust.
The wash is then a quarter faster at three quarters of the wake's radius than on its middle.

Beside the wake and below the disc the vortex tube draws air in and up as above the disc. A real
wake contracts instead of taking in this air, but mixes with it; half of the tube's inflow is kept
far below, all of it at the disc. What the edge of the wake swallows is not added to the wake. How
much is drawn in beside a wake is therefore known to a factor of two.
"""

from __future__ import annotations

import math

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.vector import Vector

LEAST_AXIAL_SHARE = 0.15
BULGE = 17.096344956397548
NO_AREA = 1e-12


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
    per_down = 1.0 / max(down, LEAST_AXIAL_SHARE * speed)
    return (x * per_down, y * per_down, z * per_down)


@compiled_inside
def wake_edge(tube: float) -> tuple[float, float]:
    """Give 1 / (1 - F(s)) [-] and its slope [-].

    `tube` is s [-], the square of the distance from the middle over that of the wake's radius.
    """
    square = tube * tube
    cube = square * tube
    outer = BULGE * cube
    whole = (1.0 + tube) + (square + cube) + outer * cube
    return whole, (1.0 + 2.0 * tube) + square * (3.0 + 6.0 * outer)


@compiled_inside
def wake_face(tube: float) -> tuple[float, float]:
    """Give the wash over that on the middle, F'(s) [-], and 1 - F(s) [-], for s of `wake_edge`."""
    whole, rise = wake_edge(tube)
    left = 1.0 / whole
    return rise * (left * left), left


@compiled_inside
def drawn_in_beside(
    beside: float, upper: float, slope: float, tube: float, left: float, spread: float
) -> tuple[float, float]:
    """Give speed against the axis and inward flow r |v_r| [-] beside a wake, from r^2 [-].

    `upper` is 1 - z / sqrt(1 + z^2) at this depth, `slope` the derivative of the growth, `tube` and
    `left` are those of `wake_face`, `spread` is 1 / sqrt(1 + 2 r^2 upper). Stream function:
    (1 - upper^4) spread / 2, outside of the wake.
    """
    outside = 1.0 - math.sqrt(1.0 + 2.0 * tube) * left
    outside *= outside
    outside *= outside
    square = upper * upper
    steep = 0.5 * (1.0 - square * square) * (spread * spread * spread)
    inward = 2.0 * square * upper * slope * spread + steep * (beside * slope)
    return -outside * (steep * upper), outside * inward


@compiled_inside
def wash_parts(depth: float, beside: float) -> tuple[float, float]:
    """Give the wash of a rotor of unit radius and unit induced speed, far from the ground.

    Both sides of the disc are computed and one is taken: without branches a loop over points
    becomes vector instructions. Roots and divisions take most of the time; so three reciprocals
    come out of one division, and two out of another.

    Parameters
    ----------
    depth : float
        [-] Below the disc, along its axis.
    beside : float
        [-] Square of the distance from the wake's middle.

    Returns
    -------
    tuple of float
        [-] Speed against the axis, and outward speed over the distance from the wake's middle.
    """
    away = abs(depth)
    root = math.sqrt(1.0 + away * away)
    reach = root + away
    upper = 1.0 / (root * reach)
    inverse = upper * reach
    slope = inverse * inverse * inverse
    growth = 2.0 - upper if depth > 0.0 else upper
    tube = beside * growth
    whole, rise = wake_edge(tube)
    wide = math.sqrt(1.0 + 2.0 * beside * upper)
    area = beside + NO_AREA
    each = 1.0 / (whole * (wide * area))
    left, spread, per_area = each * (wide * area), each * (whole * area), each * (whole * wide)
    face = rise * (left * left)
    square, sloping = upper * upper, beside * slope
    mixed = (1.0 - square) * (spread * spread * spread) + square * face
    rising, drawn = drawn_in_beside(beside, upper, slope, tube, left, spread)
    if depth > 0.0:
        speed = growth * face + rising
        drawn = sloping * face + drawn
    else:
        speed = upper * mixed
        drawn = sloping * mixed + 2.0 * upper * slope * (spread - left)
    return speed, -0.5 * drawn * per_area


@compiled_inside
def wash_at(
    offset: Vector, axis: Vector, wake: Vector, radius_m: float, induced_m_s: float
) -> Vector:
    """Give the wash [m/s] at a point, far from the ground.

    `offset` [m] goes from the hub to the point; `wake` is `wake_direction`.
    """
    depth = -(offset[0] * axis[0] + offset[1] * axis[1] + offset[2] * axis[2])
    x = offset[0] - depth * wake[0]
    y = offset[1] - depth * wake[1]
    z = offset[2] - depth * wake[2]
    inverse = 1.0 / radius_m
    beside = (x * x + y * y + z * z) * (inverse * inverse)
    speed, outward = wash_parts(depth * inverse, beside)
    along, across = -induced_m_s * speed, induced_m_s * inverse * outward
    return (
        along * axis[0] + across * x,
        along * axis[1] + across * y,
        along * axis[2] + across * z,
    )


@compiled_inside
def square_from_disc(offset: Vector, axis: Vector, radius_m: float) -> float:
    """Give the square [m^2] of a point's distance from a disc.

    `offset` [m] goes from its middle to it.
    """
    depth = offset[0] * axis[0] + offset[1] * axis[1] + offset[2] * axis[2]
    square = offset[0] * offset[0] + offset[1] * offset[1] + offset[2] * offset[2]
    beside = max(math.sqrt(max(square - depth * depth, 0.0)) - radius_m, 0.0)
    return beside * beside + depth * depth


@compiled
def distance_from_disc(offset: Vector, axis: Vector, radius_m: float) -> float:
    """Give the distance [m] of a point from a disc, as `square_from_disc`."""
    return math.sqrt(square_from_disc(offset, axis, radius_m))
