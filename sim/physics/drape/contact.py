"""Cloth against a rounded rod of the craft: it is pushed off, damped and rubbed."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.vector import Vector, dot, scale, subtract

EASE_M = 0.002
STIFF_SHARE = 0.2
DAMPING_RATIO = 0.2
MOST_RUB_SHARE = 0.1
SLOW_M_S = 0.05
NO_SQUARE_M2 = 1e-18
PARALLEL = 1e-9


@compiled_inside
def from_axis(place: Vector, start: Vector, along: Vector, per_square_1_m2: float) -> Vector:
    """Give the way [m] to a place from the nearest point of a rod's axis.

    The axis goes from `start` [m] by `along` [m]; `per_square_1_m2` is one over its length
    squared, 0 for a ball.
    """
    apart = subtract(place, start)
    share = min(max(dot(apart, along) * per_square_1_m2, 0.0), 1.0)
    return subtract(apart, scale(along, share))


@compiled_inside
def within(share: float) -> float:
    """Give a share [-] held between 0 and 1."""
    return min(max(share, 0.0), 1.0)


@compiled
def nearest_shares(
    start: Vector, way: Vector, rod_start: Vector, rod_way: Vector
) -> tuple[float, float]:
    """Give how far along two straight lines [-] the points stand that are nearest to each other.

    Each line goes from its start [m] by its way [m]; the second may have no length. As in Ericson,
    Real-Time Collision Detection (2005), 5.1.9, from memory. Of parallel lines the first one's
    middle counts.
    """
    apart = subtract(start, rod_start)
    a, e, b = dot(way, way) + NO_SQUARE_M2, dot(rod_way, rod_way), dot(way, rod_way)
    c, f = dot(way, apart), dot(rod_way, apart)
    if e < NO_SQUARE_M2:
        return within(-c / a), 0.0
    apart_from_parallel = a * e - b * b
    share = 0.5
    if apart_from_parallel > PARALLEL * a * e:
        share = within((b * f - c * e) / apart_from_parallel)
    its_share = (b * share + f) / e
    if its_share < 0.0:
        return within(-c / a), 0.0
    if its_share > 1.0:
        return within((b - c) / a), 1.0
    return share, its_share


@compiled
def contact_push(
    depth_m: float,
    away: Vector,
    sliding: Vector,
    mass_kg: float,
    step_s: float,
    friction: float,
) -> Vector:
    """Give the force [N] on cloth that is `depth_m` [m] too near a rod.

    `away` is the unit vector that leads it out, `sliding` [m/s] its velocity seen from the rod. The
    penalty's stiffness is a share of the moved mass `mass_kg` [kg] over the square of the step [s]
    and sets in over EASE_M; its damper sets in likewise, and neither pulls. Friction is Coulomb's,
    made smooth below SLOW_M_S and no stronger than the step bears.
    """
    stiffness = STIFF_SHARE * mass_kg / (step_s * step_s)
    damping = 2.0 * DAMPING_RATIO * math.sqrt(stiffness * mass_kg)
    eased = min(depth_m, EASE_M)
    share = eased / EASE_M
    rising = dot(sliding, away)
    press = stiffness * (depth_m - eased + 0.5 * eased * share) - damping * share * rising
    press = max(press, 0.0)
    along = subtract(sliding, scale(away, rising))
    rub = friction * press / math.sqrt(dot(along, along) + SLOW_M_S * SLOW_M_S)
    rub = min(rub, MOST_RUB_SHARE * mass_kg / step_s)
    return subtract(scale(away, press), scale(along, rub))
