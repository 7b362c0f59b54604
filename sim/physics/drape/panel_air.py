"""Air on a fabric panel: pressure on its face, friction and flutter along it."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.craft_record import PanelRecord

EQUIVALENT_SWING = 8.0 / (3.0 * math.pi)
LEAST_SPEED_M_S = 0.01
TAYLOR_PEAK = 4.0


@compiled
def panel_force(
    panel: PanelRecord, normal: Vector, flow: Vector, density_kg_m3: float, swing_m_s: float
) -> Vector:
    """Give the force [N] on a panel in the relative flow [m/s], in the axes of both vectors.

    The face-on part follows the independence principle, rho/2 A Cn |Vn| Vn (Hoerner 1965, ch. 3);
    the part along the sheet is rho/2 A Ct |V| Vt, with Ct from flag measurements. `normal` is a
    unit vector; its sign does not matter.

    `swing_m_s` [m/s] is the amplitude of a swing at which the quadratic law is replaced by the
    linear one that takes the same energy from a cycle: (8 / 3 pi) times the amplitude stands in
    for the speed where the flow itself is slower (describing function of a square law).
    """
    across = flow[0] * normal[0] + flow[1] * normal[1] + flow[2] * normal[2]
    tx = flow[0] - across * normal[0]
    ty = flow[1] - across * normal[1]
    tz = flow[2] - across * normal[2]
    floor = EQUIVALENT_SWING * swing_m_s + LEAST_SPEED_M_S
    face = math.sqrt(across * across + floor * floor)
    speed = math.sqrt(across * across + tx * tx + ty * ty + tz * tz + floor * floor)
    half = 0.5 * density_kg_m3 * panel.area_m2
    pressure = half * panel.normal_coefficient * face * across
    friction = half * panel.tangent_coefficient * speed
    return (
        pressure * normal[0] + friction * tx,
        pressure * normal[1] + friction * ty,
        pressure * normal[2] + friction * tz,
    )


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
