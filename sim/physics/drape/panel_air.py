"""Air on a fabric panel: pressure on its face, friction and flutter along it."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector

EQUIVALENT_SWING = 8.0 / (3.0 * math.pi)
LEAST_SPEED_M_S = 0.01
NO_SQUARE = 1e-24
TAYLOR_PEAK = 4.0
LEAST_STREAMING, MOST_STREAMING = 0.06, 0.15


@compiled
def panel_force(
    flow: Vector,
    normal: Vector,
    edge: Vector,
    is_round: float,
    normal_area_m2: float,
    tangent_area_m2: float,
    density_kg_m3: float,
    floor_m_s: float,
) -> Vector:
    """Give the force [N] on a panel in the relative flow [m/s], in the axes of the vectors.

    Only the part of the flow across a sheet presses on its face (independence principle, Hoerner
    1965, ch. 3; for screens the same as a loss coefficient that goes as the square of the cosine
    of incidence): rho/2 A Cn |Vn| Vn along `normal`, of any length and sign. A round strand along
    `edge` feels likewise the part across it. What runs along either drags with rho/2 A Ct |V| Vt.
    The areas [m2] come multiplied by their coefficients; `floor_m_s` stands in for speeds below it.
    A folded panel, whose normal is no vector, feels no pressure.
    """
    nn = normal[0] * normal[0] + normal[1] * normal[1] + normal[2] * normal[2]
    ee = edge[0] * edge[0] + edge[1] * edge[1] + edge[2] * edge[2]
    through = (flow[0] * normal[0] + flow[1] * normal[1] + flow[2] * normal[2]) / (nn + NO_SQUARE)
    beside = (flow[0] * edge[0] + flow[1] * edge[1] + flow[2] * edge[2]) / (ee + NO_SQUARE)
    sheet = (1.0 - is_round) * through
    px = sheet * normal[0] + is_round * (flow[0] - beside * edge[0])
    py = sheet * normal[1] + is_round * (flow[1] - beside * edge[1])
    pz = sheet * normal[2] + is_round * (flow[2] - beside * edge[2])
    least = floor_m_s * floor_m_s
    half = 0.5 * density_kg_m3
    face = half * normal_area_m2 * math.sqrt(px * px + py * py + pz * pz + least)
    square = flow[0] * flow[0] + flow[1] * flow[1] + flow[2] * flow[2]
    side = half * tangent_area_m2 * math.sqrt(square + least)
    more = face - side
    return (
        more * px + side * flow[0],
        more * py + side * flow[1],
        more * pz + side * flow[2],
    )


@compiled
def speed_lost(
    air: Vector, normal: Vector, lost_outside: float, lost_inside: float, floor_m_s: float
) -> float:
    """Give the share of the air's speed [-] that other cloth takes before it reaches a panel.

    `air` [m/s] is seen from the craft, `normal` points outward. What air loses that comes straight
    at the outer face, or straight at the inner one, it loses by the square of the cosine when it
    comes at an angle, as a screen's loss coefficient goes; edge-on it loses nothing.
    """
    nn = normal[0] * normal[0] + normal[1] * normal[1] + normal[2] * normal[2]
    square = air[0] * air[0] + air[1] * air[1] + air[2] * air[2] + floor_m_s * floor_m_s
    through = air[0] * normal[0] + air[1] * normal[1] + air[2] * normal[2]
    inward, outward = min(through, 0.0), max(through, 0.0)
    lost = lost_outside * inward * inward + lost_inside * outward * outward
    return lost / (square * (nn + NO_SQUARE))


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
