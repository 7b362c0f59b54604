"""The craft as a solid in one step: wind on its parts, ground under its feet, and its motion."""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_body, to_earth, turned, write_rotation
from sim.numerics.vector import add, cross, scale, times
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.body.drag import bluff_drag
from sim.physics.body.ground_contact import foot_force
from sim.physics.body.rigid_body import free_rotation, free_turn
from sim.step.rotors import accumulate, as_vector, write_vector


@compiled
def push_parts(craft: CraftRecord, density_kg_m3: float, work: WorkRecord) -> None:
    """Add the drag of every part, each in wind, wash and motion at its own place."""
    u, v, w = work.point_flow_m_s[0], work.point_flow_m_s[1], work.point_flow_m_s[2]
    fx, fy, fz = work.part_force_n[0], work.part_force_n[1], work.part_force_n[2]
    area, place = craft.body.drag_area_m2, craft.body.place_m
    ax, ay, az, x, y, z = area[0], area[1], area[2], place[0], place[1], place[2]
    first, second, third = (
        as_vector(work.rotation[0]),
        as_vector(work.rotation[1]),
        as_vector(work.rotation[2]),
    )
    behind = np.uint64(craft.drape.panel_count)
    for i in range(np.uint64(0), np.uint64(craft.body_count)):
        k = behind + i
        past = add(add(scale(first, u[k]), scale(second, v[k])), scale(third, w[k]))
        fx[i], fy[i], fz[i] = bluff_drag((ax[i], ay[i], az[i]), density_kg_m3, past)
    force, moment = as_vector(work.force_n), as_vector(work.moment_n_m)
    for i in range(craft.body_count):
        push = (fx[i], fy[i], fz[i])
        force = add(force, push)
        moment = add(moment, cross((x[i], y[i], z[i]), push))
    write_vector(work.force_n, force)
    write_vector(work.moment_n_m, moment)


@compiled
def stand_on_feet(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Add the ground's push on every foot that is below the surface."""
    body = state.body
    rate = as_vector(body.rate_rad_s)
    velocity = as_vector(body.velocity_m_s)
    work.on_ground = 0.0
    for i in range(craft.foot_count):
        place = as_vector(craft.foot[i].place_m)
        depth = body.position_m[2] + to_earth(work.rotation, place)[2]
        if depth <= 0.0:
            continue
        work.on_ground = 1.0
        moving = add(velocity, to_earth(work.rotation, cross(rate, place)))
        push = foot_force(
            depth, moving, craft.foot_stiffness_n_m, craft.foot_damping_n_s_m, craft.foot_friction
        )
        force = to_body(work.rotation, push)
        accumulate(work.force_n, force)
        accumulate(work.moment_n_m, cross(place, force))


@compiled
def move_body(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Move the craft a step: velocity then place; kick, free turn, then attitude.

    The rate at the end is read from the angular momentum, which free turning leaves alone, so that
    what craft and fabric exchange is kept to rounding. A clamped body only feels.
    """
    body, step_s = state.body, flight.step_s
    felt = scale(as_vector(work.force_n), 1.0 / craft.mass_kg)
    write_vector(body.specific_force_m_s2, felt)
    if flight.is_held > 0:
        return
    push = to_earth(work.rotation, felt)
    accumulate(body.velocity_m_s, scale(push, step_s))
    body.velocity_m_s[2] += step_s * flight.gravity_m_s2
    accumulate(body.position_m, scale(as_vector(body.velocity_m_s), step_s))
    kick = scale(times(craft.inertia_inverse, as_vector(work.moment_n_m)), step_s)
    kicked = add(as_vector(body.rate_rad_s), kick)
    rate = free_turn(craft.inertia_kg_m2, craft.inertia_inverse, kicked, step_s)
    turn = free_rotation(craft.inertia_kg_m2, craft.inertia_inverse, kicked, rate, step_s)
    spin = to_earth(work.rotation, times(craft.inertia_kg_m2, kicked))
    attitude = body.attitude
    new = turned((attitude[0], attitude[1], attitude[2], attitude[3]), turn)
    for i in range(4):
        attitude[i] = new[i]
    ahead = work.neck.rotation
    write_rotation(attitude, ahead)
    write_vector(body.rate_rad_s, times(craft.inertia_inverse, to_body(ahead, spin)))
