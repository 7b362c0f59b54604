"""The wash of a rotor near the ground: it turns, stops at the ground and leaves as a wall jet.

The stream function is that of `sim.physics.rotor.wash` with s times B, which falls to zero at the
ground: no air goes through the ground and none is lost. With the height h of a point,

    B = T(b h) / T(b_0 H),  T(y) = 1 - (1 - y/3)^3 up to y = 3 and 1 above,
    b(r) = b_0 / sqrt(1 + (r / r_1)^4),  b_0 = 0.9 / a,  r_1 = 2.14 a,

H being the height of the hub and a = R / sqrt(g(H)) the radius of the free wake at the ground.

- On the middle the flow is that against a wall: near the ground it falls as the height and spreads
  at 0.9 U r / (2 a) for a round jet of speed U (from memory of Scholtz and Trass, AIChE Journal
  16, 1970; a few per cent).
- Outside the stream along the ground slows as 1.03 U (2 a / r) (from memory of Rajaratnam,
  Turbulent Jets, 1976); Glauert's similar solution (Journal of Fluid Mechanics 1, 1956) has the
  power -1.1 instead of -1 (from memory). Its layer keeps its thickness here, while a real wall jet
  takes in air and grows as r: away from the rotor the blown layer is too thin.
- Dividing by T(b_0 H) keeps the disc's mass flow when it stands low. The flow under a low rotor
  is then guessed rather than known: by a half at half a radius.

Air thrown up between two rotors, and sucked through the discs again, is not modelled.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.vector import Vector
from sim.physics.rotor.wash import NO_AREA, drawn_in_beside, wake_face, wash_parts

# Above this height over the tip radius a point does not feel the ground: there B is 1 to 1e-6.
FELT_UP_TO = 4.0
STAGNATION = 0.9
WALL_JET_START = 2.14
LAYER = 3.0
LAYER_INVERSE = 1.0 / LAYER
LEAST_UPRIGHT = 0.3
LEAST_HUB_HEIGHT = 0.25


class Ground(NamedTuple):
    """The ground below one rotor, lengths over its tip radius and along its axis.

    Attributes
    ----------
    hub : float
        [-] Height of the hub.
    stagnation : float
        [-] b_0 R.
    jet_inverse : float
        [-] (R / r_1)^2.
    passing_inverse : float
        [-] 1 / T(b_0 H).
    upright : float
        [-] Upward component of the rotor's axis.
    """

    hub: float
    stagnation: float
    jet_inverse: float
    passing_inverse: float
    upright: float


@compiled_inside
def layer(y: float) -> tuple[float, float]:
    """Give T(y) [-] and its slope [-]."""
    left = max(1.0 - y * LAYER_INVERSE, 0.0)
    return 1.0 - left * left * left, left * left


@compiled
def ground_below(height_m: float, upright: float, radius_m: float) -> Ground:
    """Give the ground below a hub at a height [m], for an axis with this upward component [-]."""
    rising = max(upright, LEAST_UPRIGHT)
    hub = max(height_m / (rising * radius_m), LEAST_HUB_HEIGHT)
    growth = 1.0 + hub / math.sqrt(1.0 + hub * hub)
    stagnation = STAGNATION * math.sqrt(growth)
    passing, _ = layer(stagnation * hub)
    jet_inverse = growth / (WALL_JET_START * WALL_JET_START)
    return Ground(hub, stagnation, jet_inverse, 1.0 / passing, rising)


@compiled_inside
def outwash_parts(
    depth: float, height: float, beside: float, ground: Ground
) -> tuple[float, float, float]:
    """Give the wash of a rotor of unit radius and unit induced speed near the ground.

    Parameters
    ----------
    depth : float
        [-] Below the disc, along its axis.
    height : float
        [-] Above the ground, along the axis.
    beside : float
        [-] Square of the distance from the wake's middle.
    ground : Ground
        [-] From `ground_below`.

    Returns
    -------
    tuple of float
        [-] Speed against the axis, outward speed over the distance from the wake's middle, and the
        share of a speed across the ground that is left at this height.
    """
    ratio = beside * ground.jet_inverse
    ratio *= ratio
    near = 1.0 / (1.0 + ratio)
    steep = ground.stagnation * math.sqrt(near)
    open_share, bend = layer(steep * height)
    root = math.sqrt(1.0 + depth * depth)
    reach = root + abs(depth)
    upper = 1.0 / (root * reach)
    inverse = upper * reach
    slope = inverse * inverse * inverse
    growth = 2.0 - upper
    share = open_share * ground.passing_inverse
    turning = bend * steep * ground.passing_inverse
    tube = beside * growth * share
    face, left = wake_face(tube)
    spread = 1.0 / math.sqrt(1.0 + 2.0 * beside * upper)
    rising, drawn = drawn_in_beside(beside, upper, slope, tube, left, spread)
    speed = growth * face * (share - turning * height * ratio * near) + open_share * rising
    outward = 0.5 * face * (growth * turning - slope * share)
    outward -= 0.5 * open_share * drawn / (beside + NO_AREA)
    speed_above, outward_above = wash_parts(depth, beside)
    speed = speed if depth > 0.0 else speed_above
    outward = outward if depth > 0.0 else outward_above
    return speed, outward, open_share


@compiled_inside
def outwash_at(
    offset: Vector,
    axis: Vector,
    wake: Vector,
    radius_m: float,
    induced_m_s: float,
    ground: Ground,
) -> Vector:
    """Give the wash [m/s], earth axes, at a point near level ground.

    `offset` [m] goes from the hub to the point; `wake` is that of `wake_direction`. Across a
    leaning rotor's axis the outward flow would meet the ground: its vertical part fades there.
    """
    depth = -(offset[0] * axis[0] + offset[1] * axis[1] + offset[2] * axis[2])
    x = offset[0] - depth * wake[0]
    y = offset[1] - depth * wake[1]
    z = offset[2] - depth * wake[2]
    inverse = 1.0 / radius_m
    beside = (x * x + y * y + z * z) * (inverse * inverse)
    height = max(ground.hub - offset[2] * (inverse / ground.upright), 0.0)
    speed, outward, open_share = outwash_parts(depth * inverse, height, beside, ground)
    along, across = -induced_m_s * speed, induced_m_s * inverse * outward
    return (
        along * axis[0] + across * x,
        along * axis[1] + across * y,
        along * axis[2] + open_share * across * z,
    )
