"""All fabric in one step: threads pull, air pushes, particles move."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_body, to_earth
from sim.numerics.vector import Vector, add, cross, scale
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.panel_air import panel_force
from sim.physics.drape.thread import thread_force
from sim.step.air_now import air_at
from sim.step.rotors import accumulate, as_vector, write_vector
from sim.step.wash_now import nearest_disc, wash_of_all

GROUND_GRIP_1_S = 100.0


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
def push(work: WorkRecord, index: int, force: Vector) -> None:
    """Add a force [N], earth axes, to a particle or to rim point -1-index."""
    if index < 0:
        accumulate(work.rim_force_n[-1 - index], force)
    else:
        accumulate(work.particle_force_n[index], force)


@compiled
def pull_threads(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Add the pull of every taut thread to both its ends; equal and opposite, so momentum stays."""
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
        push(work, link.first, pull)
        push(work, link.second, (-pull[0], -pull[1], -pull[2]))


@compiled
def unit_normal(warp: Vector, width: Vector) -> Vector:
    """Give the unit normal of a panel from its downward and sideways edges; zero when folded."""
    n = cross(warp, width)
    length = math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2])
    return scale(n, 1.0 / (length + 1e-12))


@compiled
def blow_on_fabric(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Add the air's force on every panel, half to its upper and half to its lower end."""
    down = state.body.position_m[2]
    for k in range(craft.drape.panel_count):
        panel = craft.drape.panel[k]
        low, high = place_of(state, work, k), place_of(state, work, panel.above)
        vlow, vhigh = velocity_of(state, work, k), velocity_of(state, work, panel.above)
        warp = (low[0] - high[0], low[1] - high[1], low[2] - high[2])
        if panel.left == panel.right:
            width = as_vector(work.rim_along[panel.rim])
        else:
            left, right = place_of(state, work, panel.left), place_of(state, work, panel.right)
            width = (right[0] - left[0], right[1] - left[1], right[2] - left[2])
        x, y, z = 0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1]), 0.5 * (low[2] + high[2])
        wash = wash_of_all(work, craft.rotor_count, (x, y, z))
        air = air_at(state.wind, down - z)
        flow = (
            air[0] + wash[0] - 0.5 * (vlow[0] + vhigh[0]),
            air[1] + wash[1] - 0.5 * (vlow[1] + vhigh[1]),
            air[2] + wash[2] - 0.5 * (vlow[2] + vhigh[2]),
        )
        force = panel_force(
            panel, unit_normal(warp, width), flow, flight.density_kg_m3, flight.swing_m_s
        )
        half = scale(force, 0.5)
        push(work, k, half)
        push(work, panel.above, half)


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
def move_fabric(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Move every particle a step, semi-implicitly; the force scratch is cleared for the next."""
    step_s = flight.step_s
    for k in range(craft.drape.panel_count):
        panel, particle = craft.drape.panel[k], state.particle[k]
        force = work.particle_force_n[k]
        share = step_s / panel.moved_mass_kg
        weight = panel.mass_kg * flight.gravity_m_s2
        particle.velocity_m_s[0] += share * force[0]
        particle.velocity_m_s[1] += share * force[1]
        particle.velocity_m_s[2] += share * (force[2] + weight)
        for i in range(3):
            particle.position_m[i] += step_s * particle.velocity_m_s[i]
            force[i] = 0.0
        rest_on_ground(particle.position_m, particle.velocity_m_s, step_s)


@compiled
def pull_and_blow_fabric(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Gather all forces of the fabric on itself and on the body."""
    work.stretch = 0.0
    if craft.drape.panel_count == 0:
        return
    place_rim(craft, state, work)
    pull_threads(craft, state, work)
    blow_on_fabric(craft, flight, state, work)
    load_body_with_fabric(craft, work)


@compiled
def measure_clearance(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write the least distance [m] of any particle to any rotor disc."""
    work.clearance_m = 1e9
    for k in range(craft.drape.panel_count):
        place = as_vector(state.particle[k].position_m)
        work.clearance_m = min(work.clearance_m, nearest_disc(work, craft.rotor_count, place))
