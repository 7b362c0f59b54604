"""All fabric in one step: threads pull, cloth bends, air pushes, particles move."""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.quaternion import to_body
from sim.numerics.vector import Vector, add, cross, dot, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import BESIDE, DrapeRecord
from sim.params.fabric_work_record import FabricWorkRecord
from sim.params.flight_record import FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.fold import bend
from sim.physics.drape.grid import FIRST, FIRST_HUNG, ONE, ROW
from sim.physics.drape.ground import lie_on_ground
from sim.physics.drape.panel_air import (
    GAUSS,
    across_part,
    drag,
    least_speed,
    rubbing,
    speed_lost,
)
from sim.physics.drape.thread import greatest_strain, pull_askew, pull_straight
from sim.step.airflow import nearest_disc
from sim.step.fabric_contact import touch_craft
from sim.step.rotors import accumulate, as_vector, write_vector

FAINT = 1e-6


@compiled
def place_rim(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write place and velocity of every rim point, earth axes, and clear its force."""
    body, fabric = state.body, work.fabric
    rate = as_vector(body.rate_rad_s)
    for i in range(3):
        row = as_vector(work.rotation[i])
        turn = cross(row, rate)
        place, moving, force = fabric.node_m[i], fabric.node_m_s[i], fabric.rim_force_n[i]
        position, velocity = body.position_m[i], body.velocity_m_s[i]
        for k in range(craft.drape.rim_count):
            rim = craft.drape.rim[k]
            arm, n = as_vector(rim.place_m), np.uint64(rim.node)
            place[n] = position + dot(row, arm)
            moving[n] = velocity + dot(turn, arm)
            force[k] = 0.0


@compiled
def take_particles(drape: DrapeRecord, state: StateRecord, work: FabricWorkRecord) -> None:
    """Copy every particle to its node, before the first of some steps."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    for k in range(drape.panel_count):
        particle, n = state.particle[k], np.uint64(drape.panel.node[k])
        place, moving = particle.position_m, particle.velocity_m_s
        x[n], y[n], z[n] = place[0], place[1], place[2]
        u[n], v[n], w[n] = moving[0], moving[1], moving[2]


@compiled
def place_ghosts(drape: DrapeRecord, work: FabricWorkRecord) -> None:
    """Make every ghost the like of its node."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    for g in range(drape.ghost_count):
        n, of = np.uint64(drape.ghost.node[g]), np.uint64(drape.ghost.of[g])
        x[n], y[n], z[n] = x[of], y[of], z[of]
        u[n], v[n], w[n] = u[of], v[of], w[of]


@compiled
def place_panels(drape: DrapeRecord, work: WorkRecord) -> None:
    """Write the middle of every panel, earth axes, and minus its velocity as its first flow."""
    fabric, middle, flow, node = work.fabric, work.point_m, work.point_flow_m_s, drape.panel.node
    x, y, z = fabric.node_m[0], fabric.node_m[1], fabric.node_m[2]
    u, v, w = fabric.node_m_s[0], fabric.node_m_s[1], fabric.node_m_s[2]
    mx, my, mz = middle[0], middle[1], middle[2]
    fx, fy, fz = flow[0], flow[1], flow[2]
    for k in range(drape.panel_count):
        n = np.uint64(node[k])
        a = n - ROW
        mx[k], my[k], mz[k] = 0.5 * (x[n] + x[a]), 0.5 * (y[n] + y[a]), 0.5 * (z[n] + z[a])
        fx[k], fy[k], fz[k] = -0.5 * (u[n] + u[a]), -0.5 * (v[n] + v[a]), -0.5 * (w[n] + w[a])


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


@compiled
def face_panels(
    drape: DrapeRecord, state: StateRecord, flight: FlightRecord, work: WorkRecord
) -> None:
    """Write the normal of every panel, and slow the flow past it by what cloth before it takes.

    The normal stands on the panel's edges across and down and points outward; it is as long as the
    two are. A strip that hangs alone keeps the direction of its rim.
    """
    fabric, node = work.fabric, drape.node
    x, y, z = fabric.node_m[0], fabric.node_m[1], fabric.node_m[2]
    u, v, w = fabric.node_m_s[0], fabric.node_m_s[1], fabric.node_m_s[2]
    fx, fy, fz = fabric.scratch[0], fabric.scratch[1], fabric.scratch[2]
    nx, ny, nz = fabric.normal_m2[0], fabric.normal_m2[1], fabric.normal_m2[2]
    tx, ty, tz = node.along[0], node.along[1], node.along[2]
    spin = work.rotation
    r00, r01, r02 = spin[0, 0], spin[0, 1], spin[0, 2]
    r10, r11, r12 = spin[1, 0], spin[1, 1], spin[1, 2]
    r20, r21, r22 = spin[2, 0], spin[2, 1], spin[2, 2]
    body, floor = as_vector(state.body.velocity_m_s), least_speed(flight.swing_m_s)
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b, c = n - ROW, n - ONE, n + ONE
        woven = node.is_woven[n]
        edge = (x[n] - x[a], y[n] - y[a], z[n] - z[a])
        width = (
            woven * (x[c] - x[b]) + r00 * tx[n] + r01 * ty[n] + r02 * tz[n],
            woven * (y[c] - y[b]) + r10 * tx[n] + r11 * ty[n] + r12 * tz[n],
            woven * (z[c] - z[b]) + r20 * tx[n] + r21 * ty[n] + r22 * tz[n],
        )
        normal = cross(width, edge)
        nx[n], ny[n], nz[n] = normal
        seen = (
            fx[n] + 0.5 * (u[n] + u[a]) - body[0],
            fy[n] + 0.5 * (v[n] + v[a]) - body[1],
            fz[n] + 0.5 * (w[n] + w[a]) - body[2],
        )
        lost = speed_lost(seen, normal, node.lost_outside[n], node.lost_inside[n], floor)
        fx[n] -= lost * seen[0]
        fy[n] -= lost * seen[1]
        fz[n] -= lost * seen[2]


@compiled_inside
def facing(normal: Vector, beside: Vector, edge: Vector, is_woven: float) -> Vector:
    """Give which way the half of a panel faces whose strip's neighbour is `beside` [m].

    Where it has none, at the side of a banner, or hangs alone, it faces as the whole panel does.
    """
    keep = 1.0 - is_woven * (1.0 - FAINT)
    own = cross(scale(beside, is_woven), edge)
    return (own[0] + keep * normal[0], own[1] + keep * normal[1], own[2] + keep * normal[2])


@compiled
def push_panels(drape: DrapeRecord, flight: FlightRecord, work: FabricWorkRecord) -> None:
    """Write the air's force [N] on every panel, and what of it its lower edge bears beyond half.

    As `panel_force` on either half of a panel, which reach to the neighbouring strips and face each
    its own way. In a pleat, or where cloth hangs over a rod, they face apart; a panel that faced
    the mean way would stand in the air with more cloth than is there.
    The pieces stand here so that the compiler makes vector instructions of them.
    """
    node = drape.node
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    fx, fy, fz = work.scratch[0], work.scratch[1], work.scratch[2]
    gx, gy, gz = work.air_n[0], work.air_n[1], work.air_n[2]
    hx, hy, hz = work.scratch[3], work.scratch[4], work.scratch[5]
    nx, ny, nz = work.normal_m2[0], work.normal_m2[1], work.normal_m2[2]
    floor, half = least_speed(flight.swing_m_s), 0.5 * flight.density_kg_m3
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b, c = n - ROW, n - ONE, n + ONE
        area, is_round, is_woven = half * node.area_m2[n], node.is_round[n], node.is_woven[n]
        edge = (x[n] - x[a], y[n] - y[a], z[n] - z[a])
        normal, flow = (nx[n], ny[n], nz[n]), (fx[n], fy[n], fz[n])
        turning = (u[a] - u[n], v[a] - v[n], w[a] - w[n])
        to_right = (x[c] - x[n], y[c] - y[n], z[c] - z[n])
        to_left = (x[n] - x[b], y[n] - y[b], z[n] - z[b])
        right = facing(normal, to_right, edge, is_woven)
        left = facing(normal, to_left, edge, is_woven)
        press = 0.25 * area * node.normal_coefficient[n]
        across = across_part(flow, right, edge, is_round)
        apart = scale(across_part(turning, right, edge, is_round), GAUSS)
        low = drag(add(across, apart), press, floor)
        high = drag(subtract(across, apart), press, floor)
        its_across = across_part(flow, left, edge, is_round)
        apart = scale(across_part(turning, left, edge, is_round), GAUSS)
        low = add(low, drag(add(its_across, apart), press, floor))
        high = add(high, drag(subtract(its_across, apart), press, floor))
        across = scale(add(across, its_across), 0.5)
        rub = rubbing(flow, across, area * node.tangent_coefficient[n], floor)
        gx[n], gy[n], gz[n] = add(add(low, high), rub)
        hx[n], hy[n], hz[n] = scale(subtract(low, high), GAUSS)


@compiled
def load_nodes(drape: DrapeRecord, gravity_m_s2: float, work: FabricWorkRecord) -> None:
    """Write weight and air [N] on every node, about half of a panel's air on either end."""
    end, mass, down = np.uint64(drape.node_end), drape.node.mass_kg, work.outer_force_n[2]
    for i in range(3):
        force, air, more = work.outer_force_n[i], work.air_n[i], work.scratch[3 + i]
        for n in range(FIRST, end):
            force[n] = 0.5 * (air[n] + air[n + ROW]) + more[n] - more[n + ROW]
    for n in range(FIRST, end):
        down[n] += gravity_m_s2 * mass[n]


@compiled
def pull_threads(drape: DrapeRecord, work: FabricWorkRecord, share: float) -> None:
    """Write the force [N] on every node, that of a ghost on the node that it copies.

    `share` [-] of the outer force is in it.
    """
    pull_straight(drape, work, share)
    x, y, z = work.force_n[0], work.force_n[1], work.force_n[2]
    for g in range(drape.ghost_count):
        n, of = np.uint64(drape.ghost.node[g]), np.uint64(drape.ghost.of[g])
        x[of] += x[n]
        y[of] += y[n]
        z[of] += z[n]


@compiled
def load_rim(drape: DrapeRecord, state: StateRecord, work: FabricWorkRecord, share: float) -> None:
    """Add what the rim feels, times the part of the step for which it acts.

    The moment is about the CG of the step's start, with the arm that the rim has in this part, so
    that body and particles exchange angular momentum to the last bit.
    """
    at, moment = as_vector(state.body.position_m), as_vector(work.moment_n_m)
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    fx, fy, fz = work.force_n[0], work.force_n[1], work.force_n[2]
    u, v, w = work.rim_force_n[0], work.rim_force_n[1], work.rim_force_n[2]
    for k in range(drape.rim_count):
        n = np.uint64(drape.rim[k].node)
        force = (share * fx[n], share * fy[n], share * fz[n])
        u[k] += force[0]
        v[k] += force[1]
        w[k] += force[2]
        moment = add(moment, cross((x[n] - at[0], y[n] - at[1], z[n] - at[2]), force))
    write_vector(work.moment_n_m, moment)


@compiled
def move_nodes(
    drape: DrapeRecord, state: StateRecord, work: FabricWorkRecord, step_s: float, settling: float
) -> None:
    """Move every node semi-implicitly for a part of a step [s], the rim with its own velocity.

    `settling` [1/s] damps the particles against the body, which hastens the way to a steady shape
    and does not change it.
    """
    mass, free = drape.node.per_moved_mass_1_kg, drape.node.is_free
    slowing = settling * step_s
    for i in range(3):
        body = state.body.velocity_m_s[i]
        place, moving, force = work.node_m[i], work.node_m_s[i], work.force_n[i]
        for n in range(FIRST, np.uint64(drape.node_end)):
            speed = moving[n]
            speed += step_s * mass[n] * force[n] - slowing * free[n] * (speed - body)
            moving[n] = speed
            place[n] += step_s * speed
    if -state.body.position_m[2] < drape.reach_m:
        lie_on_ground(drape, work)


@compiled
def keep_particles(drape: DrapeRecord, state: StateRecord, work: FabricWorkRecord) -> None:
    """Copy every node back to its particle, after the last of some steps."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    for k in range(drape.panel_count):
        particle, n = state.particle[k], np.uint64(drape.panel.node[k])
        place, moving = particle.position_m, particle.velocity_m_s
        place[0], place[1], place[2] = x[n], y[n], z[n]
        moving[0], moving[1], moving[2] = u[n], v[n], w[n]


@compiled
def load_body_with_fabric(drape: DrapeRecord, work: WorkRecord) -> None:
    """Add what the rim feels to the body's force and moment, body axes."""
    total = work.drape_force_n
    for i in range(3):
        for k in range(drape.rim_count):
            total[i] += work.fabric.rim_force_n[i, k]
    accumulate(work.force_n, to_body(work.rotation, as_vector(total)))
    accumulate(work.moment_n_m, to_body(work.rotation, as_vector(work.fabric.moment_n_m)))


@compiled
def place_fabric(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write nodes and panels of this step, for the air that is to come."""
    if craft.drape.panel_count > 0:
        place_rim(craft, state, work)
        place_ghosts(craft.drape, work.fabric)
        place_panels(craft.drape, work)


@compiled
def move_fabric(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Move the fabric a step and load the body with it.

    Warp and weft pull in as many parts of the step as their stiffness asks for. Weight, air, shear,
    bending and contact are those of the step's start and act there, as one kick (multiple time
    steps; Tuckerman, Berne and Martyna 1992), so that what turns nothing there turns nothing.
    """
    drape, fabric = craft.drape, work.fabric
    work.stretch = 0.0
    if drape.panel_count == 0:
        return
    write_vector(fabric.moment_n_m, (0.0, 0.0, 0.0))
    work.neck.fabric_n_m[0] = 0.0
    work.neck.fabric_n_m[1] = 0.0
    blow_on_nodes(drape, work)
    face_panels(drape, state, flight, work)
    push_panels(drape, flight, fabric)
    load_nodes(drape, flight.gravity_m_s2, fabric)
    if drape.is_woven > 0:
        pull_askew(drape, fabric)
    if drape.bends > 0:
        bend(drape, fabric)
    touch_craft(craft, state, work, flight.step_s)
    parts = max(drape.parts, 1)
    for part in range(parts):
        if part > 0:
            place_ghosts(drape, fabric)
        pull_threads(drape, fabric, float(parts) if part == 0 else 0.0)
        load_rim(drape, state, fabric, 1.0 / parts)
        move_nodes(drape, state, fabric, flight.step_s / parts, flight.settling_1_s)
    work.stretch = greatest_strain(drape, fabric)
    load_body_with_fabric(drape, work)


@compiled
def middle_of(work: FabricWorkRecord, one: np.uint64, other: np.uint64) -> Vector:
    """Give the middle [m], earth axes, of the line from one node to another."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    return (0.5 * (x[one] + x[other]), 0.5 * (y[one] + y[other]), 0.5 * (z[one] + z[other]))


@compiled
def look_near(craft: CraftRecord, work: WorkRecord, k: int, place: Vector) -> float:
    """Give the distance [m] of a place on panel k to the nearest disc; note it if it is least."""
    distance, rotor = nearest_disc(work, craft.rotor_count, place)
    if distance < work.clearance_m:
        work.clearance_m, work.near_panel, work.near_rotor = distance, k, rotor
    return distance


@compiled
def measure_clearance(craft: CraftRecord, work: WorkRecord) -> None:
    """Write the least distance [m] of any particle, or middle between two, to any rotor disc.

    Middles are looked at only where they may be nearer than all particles. Panel and rotor are
    noted.
    """
    drape, fabric, far = craft.drape, work.fabric, work.fabric.scratch[0]
    weft, reach, work.clearance_m = drape.thread.stiffness_n_m[BESIDE], drape.node.reach_m, 1e9
    place_ghosts(drape, fabric)
    for k in range(drape.panel_count):
        n = np.uint64(drape.panel.node[k])
        far[n] = look_near(craft, work, k, middle_of(fabric, n, n))
    for k in range(drape.panel_count):
        n = np.uint64(drape.panel.node[k])
        if far[n] - reach[n] < work.clearance_m:
            look_near(craft, work, k, middle_of(fabric, n, n - ROW))
            if weft[n] > 0.0:
                look_near(craft, work, k, middle_of(fabric, n, n + ONE))
