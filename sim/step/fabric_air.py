"""The air on fabric in one step, on either half of every panel."""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.quaternion import to_earth
from sim.numerics.vector import add, cross, dot, scale, subtract
from sim.params.drape_record import DrapeRecord
from sim.params.flight_record import FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.grid import FIRST_HUNG, ONE, ROW
from sim.physics.drape.panel_air import (
    GAUSS,
    NO_SQUARE,
    least_speed,
    lost_square,
    rubbing,
    sheet_push,
    strand_push,
)
from sim.step.rotors import as_vector

FAINT = 1e-6


@compiled
def blow_on_nodes(drape: DrapeRecord, work: WorkRecord) -> None:
    """Write the flow past every panel at its lower node, with the wash as it was calibrated."""
    factor, node = drape.panel.wash_factor, drape.panel.node
    for i in range(3):
        wind, flow = work.fabric.wind_m_s[i], work.point_flow_m_s[i]
        there = work.fabric.scratch[i]
        if drape.is_calibrated > 0:
            for k in range(drape.panel_count):
                flow[k] = wind[k] + factor[k] * (flow[k] - wind[k])
        for k in range(drape.panel_count):
            there[np.uint64(node[k])] = flow[k]


@compiled_inside
def push_sheets(
    drape: DrapeRecord,
    state: StateRecord,
    flight: FlightRecord,
    work: WorkRecord,
    has_alone: bool,
) -> None:
    """Do what `push_panels` says, with strips that hang alone or without them.

    The pieces of `panel_force` stand here so that the compiler makes vector instructions of them,
    and all quotients come out of one division.
    """
    fabric, node = work.fabric, drape.node
    x, y, z = fabric.node_m[0], fabric.node_m[1], fabric.node_m[2]
    u, v, w = fabric.node_m_s[0], fabric.node_m_s[1], fabric.node_m_s[2]
    fx, fy, fz = fabric.scratch[0], fabric.scratch[1], fabric.scratch[2]
    gx, gy, gz = fabric.air_n[0], fabric.air_n[1], fabric.air_n[2]
    hx, hy, hz = fabric.scratch[3], fabric.scratch[4], fabric.scratch[5]
    tx, ty, tz = node.along[0], node.along[1], node.along[2]
    body, floor = as_vector(state.body.velocity_m_s), least_speed(flight.swing_m_s)
    half = 0.5 * flight.density_kg_m3
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b, c = n - ROW, n - ONE, n + ONE
        edge = (x[n] - x[a], y[n] - y[a], z[n] - z[a])
        to_right = (x[c] - x[n], y[c] - y[n], z[c] - z[n])
        to_left = (x[n] - x[b], y[n] - y[b], z[n] - z[b])
        if has_alone:
            rim = (tx[n], ty[n], tz[n])
            rim = to_earth(work.rotation, rim)
            to_right = add(scale(to_right, node.is_woven[n]), rim)
            to_left = add(scale(to_left, node.is_woven[n]), rim)
        its_right, its_left = cross(to_right, edge), cross(to_left, edge)
        normal = add(its_right, its_left)
        right = add(its_right, scale(its_left, FAINT))
        left = add(its_left, scale(its_right, FAINT))
        seen = (
            fx[n] + 0.5 * (u[n] + u[a]) - body[0],
            fy[n] + 0.5 * (v[n] + v[a]) - body[1],
            fz[n] + 0.5 * (w[n] + w[a]) - body[2],
        )
        faster = dot(seen, seen) + floor * floor
        rr, ll = dot(right, right) + NO_SQUARE, dot(left, left) + NO_SQUARE
        both, ahead = rr * ll, faster * (dot(normal, normal) + NO_SQUARE)
        each = 1.0 / (both * ahead)
        lost = lost_square(seen, normal, node.lost_outside[n], node.lost_inside[n]) * each * both
        flow = (fx[n] - lost * seen[0], fy[n] - lost * seen[1], fz[n] - lost * seen[2])
        turning = (u[a] - u[n], v[a] - v[n], w[a] - w[n])
        per_right, per_left = each * ahead * ll, each * ahead * rr
        area = half * node.area_m2[n]
        press, wipe = 0.25 * area * node.normal_coefficient[n], area * node.tangent_coefficient[n]
        push, more = sheet_push(flow, turning, right, per_right, press, floor)
        its_push, its_more = sheet_push(flow, turning, left, per_left, press, floor)
        push, more = add(push, its_push), add(more, its_more)
        across = add(
            scale(right, 0.5 * per_right * dot(flow, right)),
            scale(left, 0.5 * per_left * dot(flow, left)),
        )
        if has_alone:
            is_round, flat = node.is_round[n], 1.0 - node.is_round[n]
            down, up, beside = strand_push(flow, turning, edge, is_round, 2.0 * press, floor)
            push = add(scale(push, flat), add(down, up))
            more = add(scale(more, flat), subtract(down, up))
            across = add(scale(across, flat), beside)
        gx[n], gy[n], gz[n] = add(push, rubbing(flow, across, wipe, floor))
        hx[n], hy[n], hz[n] = scale(more, GAUSS)


@compiled
def push_panels(
    drape: DrapeRecord, state: StateRecord, flight: FlightRecord, work: WorkRecord
) -> None:
    """Write the air's force [N] on every panel, and what of it its lower edge bears beyond half.

    The flow past a panel is first slowed by what cloth before it takes. Then as `panel_force` on
    either half of the panel, which reach to the neighbouring strips and face each its own way,
    outward. In a pleat, or where cloth hangs over a rod, they face apart; a panel that faced the
    mean way would stand in the air with more cloth than is there. At the side of a banner the half
    without a neighbour faces as the other does; a strip that hangs alone keeps the direction of its
    rim.
    """
    # The compiler writes either loop for its own case: what only strands need costs a fifth.
    if drape.is_all_woven > 0:
        push_sheets(drape, state, flight, work, False)
    else:
        push_sheets(drape, state, flight, work, True)
