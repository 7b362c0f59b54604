"""Air on a fabric panel: pressure on its face, friction and flutter along it."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.vector import Vector, add, dot, scale, subtract

EQUIVALENT_SWING = 8.0 / (3.0 * math.pi)
LEAST_SPEED_M_S = 0.01
NO_SQUARE = 1e-24
GAUSS = 0.5 / math.sqrt(3.0)
TAYLOR_PEAK = 4.0
LEAST_STREAMING, MOST_STREAMING = 0.06, 0.15


@compiled_inside
def across_strand(flow: Vector, edge: Vector, is_round: float, per_square: float) -> Vector:
    """Give the part of a flow [m/s] across a round strand; of a sheet nothing.

    `per_square` is `is_round` over the square of `edge`.
    """
    along = per_square * dot(flow, edge)
    return (
        is_round * flow[0] - along * edge[0],
        is_round * flow[1] - along * edge[1],
        is_round * flow[2] - along * edge[2],
    )


@compiled_inside
def drag(flow: Vector, area_kg_m: float, floor_m_s: float) -> Vector:
    """Give a force [N] as the square of a flow [m/s] and along it.

    `area_kg_m` [kg/m] is rho/2 times coefficient times area; `floor_m_s` stands in for less speed.
    """
    return scale(flow, area_kg_m * math.sqrt(dot(flow, flow) + floor_m_s * floor_m_s))


@compiled_inside
def square_of(through: float, per_square: float, floor_m_s: float) -> float:
    """Give what of a `drag` of unit area goes along a normal of any length, per its length.

    `through` is the flow's product with that normal [m/s], and `per_square` one over its square.
    """
    square = through * through * per_square
    return through * per_square * math.sqrt(square + floor_m_s * floor_m_s)


@compiled_inside
def sheet_push(
    flow: Vector,
    turning: Vector,
    normal: Vector,
    per_square: float,
    area_kg_m: float,
    floor_m_s: float,
) -> tuple[Vector, Vector]:
    """Give what presses [N] on cloth, and its lower less its upper part, as in `panel_force`.

    `normal` has any length, `per_square` is one over its square, and `area_kg_m` [kg/m] belongs to
    either of Gauss' points.
    """
    through, apart = dot(flow, normal), GAUSS * dot(turning, normal)
    low = area_kg_m * square_of(through + apart, per_square, floor_m_s)
    high = area_kg_m * square_of(through - apart, per_square, floor_m_s)
    return scale(normal, low + high), scale(normal, low - high)


@compiled_inside
def strand_push(
    flow: Vector,
    turning: Vector,
    edge: Vector,
    is_round: float,
    area_kg_m: float,
    floor_m_s: float,
) -> tuple[Vector, Vector, Vector]:
    """Give what presses [N] on a round strand's lower and upper part, and the flow across it.

    As in `sheet_push`; on cloth, where `is_round` is 0, nothing does.
    """
    per_square = is_round / (dot(edge, edge) + NO_SQUARE)
    across = across_strand(flow, edge, is_round, per_square)
    apart = scale(across_strand(turning, edge, is_round, per_square), GAUSS)
    low = drag(add(across, apart), area_kg_m, floor_m_s)
    return low, drag(subtract(across, apart), area_kg_m, floor_m_s), across


@compiled_inside
def rubbing(flow: Vector, across: Vector, area_kg_m: float, floor_m_s: float) -> Vector:
    """Give the drag [N] of a flow [m/s] along cloth: by its speed, along what is not `across`."""
    side = area_kg_m * math.sqrt(dot(flow, flow) + floor_m_s * floor_m_s)
    return scale(subtract(flow, across), side)


@compiled_inside
def panel_force(
    flow: Vector,
    turning: Vector,
    normal: Vector,
    edge: Vector,
    is_round: float,
    normal_area_kg_m: float,
    tangent_area_kg_m: float,
    floor_m_s: float,
) -> tuple[Vector, Vector]:
    """Give the force [N] on a panel, and how much more of it than half its lower edge bears [N].

    `flow` [m/s] is the air past its middle, `turning` [m/s] that past its lower edge less that past
    its upper edge. What presses does so with rho/2 A Cn |V| V, what runs along drags with
    rho/2 A Ct |V| Vt. The pressure is summed by Gauss' rule of two points along the panel, which is
    exact for one that swings about an edge.

    What presses on a sheet is the part of the flow along `normal`, on a round strand that across
    `edge`, vectors of any length and sign (independence principle, Hoerner 1965, ch. 3; for screens
    the same as a loss coefficient that goes as the square of the cosine of incidence). On a folded
    panel, whose normal is no vector, nothing presses.
    """
    flat, per_square = 1.0 - is_round, 1.0 / (dot(normal, normal) + NO_SQUARE)
    half = 0.5 * normal_area_kg_m
    push, more = sheet_push(flow, turning, normal, per_square, half, floor_m_s)
    low, high, beside = strand_push(flow, turning, edge, is_round, half, floor_m_s)
    across = add(scale(normal, flat * per_square * dot(flow, normal)), beside)
    push, more = add(scale(push, flat), add(low, high)), add(scale(more, flat), subtract(low, high))
    return add(push, rubbing(flow, across, tangent_area_kg_m, floor_m_s)), scale(more, GAUSS)


@compiled_inside
def lost_square(air: Vector, normal: Vector, lost_outside: float, lost_inside: float) -> float:
    """Give the share of the air's speed that other cloth takes before it reaches a panel.

    It is given times the squares of `air` [m/s], as seen from the craft, and of `normal`, which
    points outward and has any length. What air loses that comes straight at the outer face, or
    straight at the inner one, it loses by the square of the cosine when it comes at an angle, as a
    screen's loss coefficient goes; edge-on it loses nothing.
    """
    through = dot(air, normal)
    inward, outward = min(through, 0.0), max(through, 0.0)
    return lost_outside * inward * inward + lost_inside * outward * outward


@compiled
def least_speed(swing_m_s: float) -> float:
    """Give the speed [m/s] that stands in for slower flow.

    `swing_m_s` [m/s] is the amplitude of a swing at which the quadratic law is replaced by the
    linear one that takes the same energy from a cycle: (8 / 3 pi) times the amplitude (describing
    function of a square law).
    """
    return EQUIVALENT_SWING * swing_m_s + LEAST_SPEED_M_S


def normal_coefficient(loss_coefficient: float, solid_coefficient: float = 1.2) -> float:
    """Give the face-on force coefficient [-] of a porous sheet with pressure-loss coefficient K.

    K / (1 + K/4)^2 (Taylor 1944) up to its peak of 1 at K = 4. The relation would fall again
    beyond, where sheets do not: from there the value rises to the solid plate's (1.1 to 1.28;
    Hoerner 1965) as 4/K goes to zero, a blend without a source.
    """
    if loss_coefficient <= 0.0:
        return 0.0
    if loss_coefficient <= TAYLOR_PEAK:
        return loss_coefficient / (1.0 + loss_coefficient / TAYLOR_PEAK) ** 2
    return solid_coefficient - (solid_coefficient - 1.0) * TAYLOR_PEAK / loss_coefficient


def speed_behind(loss_coefficient: float, cosine: float = 1.0) -> float:
    """Give the speed of air behind a porous sheet over that before it [-].

    (1 - K/4) / (1 + K/4), of the same theory as its drag (Taylor 1944), where K falls with the
    square of the cosine of incidence as screens do. Behind cloth with more than K = 4 the air
    stands still; that it turns back behind a plate is left out.
    """
    across = loss_coefficient * cosine * cosine / TAYLOR_PEAK
    if not across < 1.0:
        return 0.0
    return (1.0 - across) / (1.0 + across)


def flag_coefficient(
    areal_kg_m2: float, density_kg_m3: float, width_m: float, length_m: float
) -> float:
    """Give the drag of cloth that streams edge-on, over q and one side's area [-].

    C = 0.05 + 0.7 (m / (rho c)) (A / c^2)^-1.25 of a free flag (AS 1170.2:2002, appendix F, second-
    hand), with m [kg/m2], c the width across the wind and A = c times the length along it; kept
    within the 0.06 to 0.15 that flags were measured at (Hoerner 1965 p. 3-25 after Fairthorne, ARC
    R&M 1345; Munson et al., 6th ed., fig. 9.30; both second-hand).
    """
    heavy = areal_kg_m2 / (density_kg_m3 * width_m)
    coefficient = 0.05 + 0.7 * heavy * (length_m / width_m) ** -1.25
    return float(min(max(coefficient, LEAST_STREAMING), MOST_STREAMING))
