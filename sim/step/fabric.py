"""All fabric in one step: threads pull, cloth bends, air pushes, particles move."""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_body
from sim.numerics.vector import add, cross, dot
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import DrapeRecord
from sim.params.fabric_work_record import FabricWorkRecord
from sim.params.flight_record import FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.fold import bend
from sim.physics.drape.grid import FIRST, ROW
from sim.physics.drape.ground import lie_on_ground
from sim.physics.drape.thread import greatest_strain, pull_askew, pull_straight
from sim.step.fabric_air import blow_on_nodes, push_panels
from sim.step.fabric_contact import touch_craft
from sim.step.rotors import accumulate, as_vector, write_vector


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
    push_panels(drape, state, flight, work)
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
