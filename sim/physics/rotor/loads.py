"""Thrust, torque, in-plane force and hub moments of one rotor, read from its map."""

from __future__ import annotations

import math
from typing import NamedTuple

from sim.numerics.compile import compiled
from sim.params.craft_record import AXIAL_NODES, EDGE_NODES, RotorMapRecord

LEAST_SPEED_RAD_S = 10.0
FULL_DISC = math.pi


class RotorLoads(NamedTuple):
    """What the air does to one rotor.

    Attributes
    ----------
    thrust_n, torque_n_m, in_plane_n : float
        Thrust along the axis, torque against the turning, force along the edgewise flow.
    rolling_n_m, pitching_n_m : float
        Hub moments: about the upwind direction for a rotor that turns clockwise seen from above
        (downwind for the other sense), and the one that lifts the upwind edge of the disc.
    induced_m_s : float
        Induced velocity at the disc.
    off_map : float
        1 when the flow is outside the map and its edge was used.
    """

    thrust_n: float
    torque_n_m: float
    in_plane_n: float
    rolling_n_m: float
    pitching_n_m: float
    induced_m_s: float
    off_map: float


@compiled
def rotor_loads(
    chart: RotorMapRecord,
    radius_m: float,
    speed_rad_s: float,
    density_kg_m3: float,
    edge_m_s: float,
    axial_m_s: float,
) -> RotorLoads:
    """Give the loads of a rotor in a flow, bilinear between the nodes of its map.

    Parameters
    ----------
    chart : RotorMapRecord
        [-] Coefficients against axial and edgewise flow over tip speed.
    radius_m, speed_rad_s, density_kg_m3 : float
        [m], [rad/s], [kg/m3]
    edge_m_s, axial_m_s : float
        [m/s] Flow along the disc, not negative, and through it from above.

    Returns
    -------
    RotorLoads
        Force T = rho A (Omega R)^2 C_T and so on (rotor convention), with the coefficients' change
        with rotor speed (Reynolds number) as a straight line about the map's reference speed. In
        the first column thrust, torque and induced velocity go as the square of the edgewise flow,
        as their symmetry asks, so that hover has a derivative.
    """
    tip = max(speed_rad_s, LEAST_SPEED_RAD_S) * radius_m
    per_tip = 1.0 / tip
    along = (axial_m_s * per_tip - chart.axial_min) / chart.axial_step
    across = edge_m_s * per_tip / chart.edge_step
    off_map = 0.0
    if along < 0.0 or along > AXIAL_NODES - 1.0 or across > EDGE_NODES - 1.0:
        off_map = 1.0
        along = min(max(along, 0.0), AXIAL_NODES - 1.0)
        across = min(across, EDGE_NODES - 1.0)
    i = min(int(along), AXIAL_NODES - 2)
    j = min(int(across), EDGE_NODES - 2)
    u, v = along - i, across - j
    even = v * v if j == 0 else v
    e00, e01, e10, e11 = (1.0 - u) * (1.0 - even), (1.0 - u) * even, u * (1.0 - even), u * even
    w00, w01, w10, w11 = (1.0 - u) * (1.0 - v), (1.0 - u) * v, u * (1.0 - v), u * v
    a, b = chart.node[i, j], chart.node[i, j + 1]
    c, d = chart.node[i + 1, j], chart.node[i + 1, j + 1]
    change = min(max(speed_rad_s / chart.reference_speed_rad_s - 1.0, -0.6), 0.6)
    pressure = density_kg_m3 * FULL_DISC * radius_m * radius_m
    pressure *= (speed_rad_s * radius_m) * (speed_rad_s * radius_m)
    lift = pressure * (1.0 + chart.thrust_speed_slope * change)
    twist = pressure * radius_m * (1.0 + chart.torque_speed_slope * change)
    moment = lift * radius_m
    return RotorLoads(
        lift * (e00 * a.thrust + e01 * b.thrust + e10 * c.thrust + e11 * d.thrust),
        twist * (e00 * a.torque + e01 * b.torque + e10 * c.torque + e11 * d.torque),
        lift
        * (
            w00 * a.in_plane_force
            + w01 * b.in_plane_force
            + w10 * c.in_plane_force
            + w11 * d.in_plane_force
        ),
        moment
        * (
            w00 * a.rolling_moment
            + w01 * b.rolling_moment
            + w10 * c.rolling_moment
            + w11 * d.rolling_moment
        ),
        moment
        * (
            w00 * a.pitching_moment
            + w01 * b.pitching_moment
            + w10 * c.pitching_moment
            + w11 * d.pitching_moment
        ),
        speed_rad_s
        * radius_m
        * (e00 * a.induced + e01 * b.induced + e10 * c.induced + e11 * d.induced),
        off_map,
    )
