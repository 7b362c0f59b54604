"""Cloth against a rounded rod of the craft: it is pushed off, damped and rubbed."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.vector import Vector, dot, scale, subtract

EASE_M = 0.002
STIFF_SHARE = 0.2
DAMPING_RATIO = 0.2
DAMPING = 2.0 * DAMPING_RATIO * math.sqrt(STIFF_SHARE)
PER_EASE_1_M = 1.0 / EASE_M
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
def nearest_on_triangle(
    place: Vector, first: Vector, second: Vector, third: Vector
) -> tuple[float, float]:
    """Give the shares [-] of a triangle's second and third corner in its point nearest to a place.

    All in [m]; the rest is the first corner's. As in Ericson, Real-Time Collision Detection (2005),
    5.1.5, from memory.
    """
    along, aside = subtract(second, first), subtract(third, first)
    apart = subtract(place, first)
    a, b = dot(along, apart), dot(aside, apart)
    if (a <= 0.0) & (b <= 0.0):
        return 0.0, 0.0
    apart = subtract(place, second)
    c, d = dot(along, apart), dot(aside, apart)
    if (c >= 0.0) & (d <= c):
        return 1.0, 0.0
    apart = subtract(place, third)
    e, f = dot(along, apart), dot(aside, apart)
    if (f >= 0.0) & (e <= f):
        return 0.0, 1.0
    of_third = a * d - c * b
    if (of_third <= 0.0) & (a >= 0.0) & (c <= 0.0):
        return within(a / (a - c + NO_SQUARE_M2)), 0.0
    of_second = e * b - a * f
    if (of_second <= 0.0) & (b >= 0.0) & (f <= 0.0):
        return 0.0, within(b / (b - f + NO_SQUARE_M2))
    of_first = c * f - e * d
    if (of_first <= 0.0) & (d - c >= 0.0) & (e - f >= 0.0):
        share = within((d - c) / ((d - c) + (e - f) + NO_SQUARE_M2))
        return 1.0 - share, share
    each = 1.0 / (of_first + of_second + of_third)
    return of_second * each, of_third * each


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
    per_step = 1.0 / step_s
    moved = mass_kg * per_step
    stiffness, damping = STIFF_SHARE * moved * per_step, DAMPING * moved
    eased = min(depth_m, EASE_M)
    share = eased * PER_EASE_1_M
    rising = dot(sliding, away)
    press = stiffness * (depth_m - eased + 0.5 * eased * share) - damping * share * rising
    press = max(press, 0.0)
    along = subtract(sliding, scale(away, rising))
    rub = friction * press / math.sqrt(dot(along, along) + SLOW_M_S * SLOW_M_S)
    rub = min(rub, MOST_RUB_SHARE * moved)
    return subtract(scale(away, press), scale(along, rub))
