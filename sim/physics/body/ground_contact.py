"""A foot on the ground: spring, damper that never pulls, and friction."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector

FRICTION_SPEED_M_S = 0.05


@compiled
def foot_force(
    depth_m: float, velocity: Vector, stiffness_n_m: float, damping_n_s_m: float, friction: float
) -> Vector:
    """Give the force [N] of the ground on a foot, earth axes (north, east, down).

    `depth_m` [m] is how far the foot is below the surface, `velocity` [m/s] its own. Friction is
    Coulomb's, made linear below 0.05 m/s so that a foot at rest has a defined force.
    """
    if depth_m <= 0.0:
        return (0.0, 0.0, 0.0)
    push = max(stiffness_n_m * depth_m + damping_n_s_m * velocity[2], 0.0)
    speed = math.sqrt(velocity[0] * velocity[0] + velocity[1] * velocity[1])
    share = -friction * push / max(speed, FRICTION_SPEED_M_S)
    return (share * velocity[0], share * velocity[1], -push)
