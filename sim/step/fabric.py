"""All fabric in one step: threads pull, air pushes, particles move."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_body, to_earth
from sim.numerics.vector import Vector, add, cross, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.panel_air import panel_force
from sim.physics.drape.thread import thread_force
from sim.step.airflow import nearest_disc, write_point
from sim.step.rotors import accumulate, as_vector, write_vector

GROUND_GRIP_1_S = 100.0
NO_LENGTH = 1e-12


@compiled
def place_rim(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write place, velocity and tangent of every rim point, earth axes, and clear its force."""
    body = state.body
    position, velocity = as_vector(body.position_m), as_vector(body.velocity_m_s)
    rate = as_vector(body.rate_rad_s)
    for k in range(craft.drape.rim_count):
        rim = craft.drape.rim[k]
        place = as_vector(rim.place_m)
        write_vector(work.rim_m[k], add(position, to_earth(work.rotation, place)))
        write_vector(work.rim_m_s[k], add(velocity, to_earth(work.rotation, cross(rate, place))))
        write_vector(work.rim_along[k], to_earth(work.rotation, as_vector(rim.tangent)))
        write_vector(work.rim_force_n[k], (0.0, 0.0, 0.0))


@compiled
def place_of(state: StateRecord, work: WorkRecord, index: int) -> Vector:
    """Give the place [m] of a particle, or of rim point -1-index, earth axes."""
    if index < 0:
        return as_vector(work.rim_m[-1 - index])
    return as_vector(state.particle[index].position_m)


@compiled
def velocity_of(state: StateRecord, work: WorkRecord, index: int) -> Vector:
    """Give the velocity [m/s] of a particle, or of rim point -1-index, earth axes."""
    if index < 0:
        return as_vector(work.rim_m_s[-1 - index])
    return as_vector(state.particle[index].velocity_m_s)


@compiled
def pull_threads(craft: CraftRecord, state: StateRecord, work: WorkRecord, share: float) -> None:
    """Add the pull of every taut thread to both its ends, equal and opposite.

    The rim takes `share` [-] of it, the part of the step for which it acts, so that the impulse on
    the body is that on the particles.
    """
    for k in range(craft.drape.link_count):
        link = craft.drape.link[k]
        a, b = place_of(state, work, link.first), place_of(state, work, link.second)
        apart = (b[0] - a[0], b[1] - a[1], b[2] - a[2])
        square = apart[0] * apart[0] + apart[1] * apart[1] + apart[2] * apart[2]
        if square <= link.rest_m * link.rest_m:
            continue
        u, v = velocity_of(state, work, link.first), velocity_of(state, work, link.second)
        pull, strain = thread_force(link, apart, (v[0] - u[0], v[1] - u[1], v[2] - u[2]))
        work.stretch = max(work.stretch, strain)
        accumulate(work.thread_force_n[link.second], (-pull[0], -pull[1], -pull[2]))
        if link.first < 0:
            accumulate(work.rim_force_n[-1 - link.first], scale(pull, share))
        else:
            accumulate(work.thread_force_n[link.first], pull)


@compiled
def place_panels(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write middle, velocity and (not yet unit) normal of every panel, earth axes.

    The normal stands on the edges down and across; a strip without neighbours keeps the direction
    of its rim.
    """
    for k in range(craft.drape.panel_count):
        panel = craft.drape.panel[k]
        low, high = place_of(state, work, k), place_of(state, work, panel.above)
        vlow, vhigh = velocity_of(state, work, k), velocity_of(state, work, panel.above)
        write_point(work, k, scale(add(low, high), 0.5), scale(add(vlow, vhigh), 0.5))
        if panel.left == panel.right:
            width = as_vector(work.rim_along[panel.rim])
        else:
            left, right = place_of(state, work, panel.left), place_of(state, work, panel.right)
            width = subtract(right, left)
        normal = cross(subtract(low, high), width)
        for i in range(3):
            work.panel_normal[i, k] = normal[i]


@compiled
def push_panels(
    craft: CraftRecord, density_kg_m3: float, swing_m_s: float, work: WorkRecord
) -> None:
    """Write the air's force [N] on every panel, earth axes; a folded panel feels none face-on."""
    panels = craft.drape.panel
    nx, ny, nz = work.panel_normal[0], work.panel_normal[1], work.panel_normal[2]
    u, v, w = work.point_flow_m_s[0], work.point_flow_m_s[1], work.point_flow_m_s[2]
    fx, fy, fz = work.panel_force_n[0], work.panel_force_n[1], work.panel_force_n[2]
    for k in range(craft.drape.panel_count):
        long = 1.0 / (math.sqrt(nx[k] * nx[k] + ny[k] * ny[k] + nz[k] * nz[k]) + NO_LENGTH)
        normal = (nx[k] * long, ny[k] * long, nz[k] * long)
        force = panel_force(panels[k], normal, (u[k], v[k], w[k]), density_kg_m3, swing_m_s)
        fx[k], fy[k], fz[k] = force


@compiled
def load_fabric(craft: CraftRecord, gravity_m_s2: float, work: WorkRecord) -> None:
    """Write weight and the air's force [N] on every particle, half of a panel's on either end."""
    drape, force = craft.drape, work.panel_force_n
    for k in range(drape.panel_count):
        write_vector(work.particle_force_n[k], (0.0, 0.0, drape.panel[k].mass_kg * gravity_m_s2))
    for k in range(drape.panel_count):
        half = (0.5 * force[0, k], 0.5 * force[1, k], 0.5 * force[2, k])
        above = drape.panel[k].above
        accumulate(work.particle_force_n[k], half)
        if above < 0:
            accumulate(work.rim_force_n[-1 - above], half)
        else:
            accumulate(work.particle_force_n[above], half)


@compiled
def load_body_with_fabric(craft: CraftRecord, work: WorkRecord) -> None:
    """Add what every rim point feels to the body's force and moment, body axes."""
    for k in range(craft.drape.rim_count):
        earth = as_vector(work.rim_force_n[k])
        accumulate(work.drape_force_n, earth)
        force = to_body(work.rotation, earth)
        accumulate(work.force_n, force)
        accumulate(work.moment_n_m, cross(as_vector(craft.drape.rim[k].place_m), force))


@compiled
def rest_on_ground(position: FloatArray, velocity: FloatArray, step_s: float) -> None:
    """Keep a particle above the ground: it stops sinking and is slowed along it."""
    if position[2] > 0.0:
        position[2] = 0.0
        velocity[2] = min(velocity[2], 0.0)
        kept = math.exp(-GROUND_GRIP_1_S * step_s)
        velocity[0] *= kept
        velocity[1] *= kept


@compiled
def move_particles(
    craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float, settling_1_s: float
) -> None:
    """Move every particle semi-implicitly and the rim with its own velocity, a part of a step [s].

    The force of the threads is cleared for the next part. `settling_1_s` [1/s] damps the particles
    against the body, which hastens the way to a steady shape and does not change it.
    """
    body, slowing = state.body.velocity_m_s, settling_1_s * step_s
    for k in range(craft.drape.panel_count):
        particle, pull = state.particle[k], work.thread_force_n[k]
        outer = work.particle_force_n[k]
        share = step_s / craft.drape.panel[k].moved_mass_kg
        for i in range(3):
            speed = particle.velocity_m_s[i]
            particle.velocity_m_s[i] += share * (outer[i] + pull[i]) - slowing * (speed - body[i])
            particle.position_m[i] += step_s * particle.velocity_m_s[i]
            pull[i] = 0.0
        rest_on_ground(particle.position_m, particle.velocity_m_s, step_s)
    for k in range(craft.drape.rim_count):
        for i in range(3):
            work.rim_m[k, i] += step_s * work.rim_m_s[k, i]


@compiled
def place_fabric(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write rim and panels of this step, for the air that is to come."""
    if craft.drape.panel_count > 0:
        place_rim(craft, state, work)
        place_panels(craft, state, work)


@compiled
def move_fabric(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Move the fabric a step and load the body with it.

    The air's force is that of the step's start; threads pull in as many parts of the step as their
    stiffness asks for (`DrapeRecord.parts`).
    """
    work.stretch = 0.0
    if craft.drape.panel_count == 0:
        return
    push_panels(craft, flight.density_kg_m3, flight.swing_m_s, work)
    load_fabric(craft, flight.gravity_m_s2, work)
    parts = max(craft.drape.parts, 1)
    for _ in range(parts):
        pull_threads(craft, state, work, 1.0 / parts)
        move_particles(craft, state, work, flight.step_s / parts, flight.settling_1_s)
    load_body_with_fabric(craft, work)


@compiled
def measure_clearance(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write the least distance [m] of any particle to any rotor disc."""
    work.clearance_m = 1e9
    for k in range(craft.drape.panel_count):
        place = as_vector(state.particle[k].position_m)
        work.clearance_m = min(work.clearance_m, nearest_disc(work, craft.rotor_count, place))
