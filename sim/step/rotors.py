"""All rotors in one step: where they point, what the air does to them, how they load the body."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_body, to_earth
from sim.numerics.vector import Vector, add, cross, dot, scale, subtract
from sim.params.craft_record import CraftRecord, RotorRecord
from sim.params.flight_record import FlightRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import RotorWorkRecord, WorkRecord
from sim.physics.rotor.ground_effect import ground_effect_ratio
from sim.physics.rotor.loads import rotor_loads
from sim.physics.rotor.wash import wake_direction
from sim.step.air_now import air_at

SMALLEST_SPEED_M_S = 1e-6
NO_SPEED_M_S = 1e-30
OWN_WAKE_SINK = 0.28


@compiled
def as_vector(values: FloatArray) -> Vector:
    """Give the first three numbers of an array as a vector."""
    return (values[0], values[1], values[2])


@compiled
def write_vector(target: FloatArray, v: Vector) -> None:
    """Write a vector into an array."""
    target[0] = v[0]
    target[1] = v[1]
    target[2] = v[2]


@compiled
def accumulate(target: FloatArray, v: Vector) -> None:
    """Add a vector to an array."""
    target[0] += v[0]
    target[1] += v[1]
    target[2] += v[2]


@compiled
def tilted_axis(rotor: RotorRecord, tilt_rad: float) -> Vector:
    """Give the thrust direction, body axes: straight up turned about the tilt axis."""
    up = (0.0, 0.0, -1.0)
    if rotor.tilts == 0:
        return up
    hinge = as_vector(rotor.tilt_axis)
    sine, cosine = math.sin(tilt_rad), math.cos(tilt_rad)
    along = scale(hinge, dot(hinge, up) * (1.0 - cosine))
    return add(add(scale(up, cosine), scale(cross(hinge, up), sine)), along)


@compiled
def place_rotors(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write hub and axis of each rotor, in body and earth axes."""
    position = as_vector(state.body.position_m)
    for i in range(craft.rotor_count):
        rotor, spot = craft.rotor[i], work.rotor[i]
        axis = tilted_axis(rotor, state.rotor[i].tilt_rad)
        hub = add(as_vector(rotor.pivot_m), scale(axis, rotor.hub_above_pivot_m))
        spot.radius_m = rotor.radius_m
        write_vector(spot.axis, axis)
        write_vector(spot.hub_m, hub)
        write_vector(spot.axis_earth, to_earth(work.rotation, axis))
        write_vector(spot.hub_earth_m, add(position, to_earth(work.rotation, hub)))


@compiled
def blow_on_rotor(
    rotor: RotorRecord,
    craft: CraftRecord,
    flight: FlightRecord,
    spot: RotorWorkRecord,
    work: WorkRecord,
    speed_rad_s: float,
    flow: Vector,
) -> None:
    """Write one rotor's loads for a relative flow [m/s] in body axes, and add them to the body."""
    axis, hub = as_vector(spot.axis), as_vector(spot.hub_m)
    through = -dot(flow, axis)
    edgewise = add(flow, scale(axis, through))
    edge = math.sqrt(dot(edgewise, edgewise))
    along = scale(edgewise, 1.0 / max(edge, NO_SPEED_M_S))
    loads = rotor_loads(
        craft.rotor_map[rotor.map_index],
        rotor.radius_m,
        speed_rad_s,
        flight.density_kg_m3,
        edge,
        through,
    )
    induced = loads.induced_m_s
    height = -spot.hub_earth_m[2]
    ground = ground_effect_ratio(
        height / rotor.radius_m, edge / (abs(induced) + SMALLEST_SPEED_M_S)
    )
    thrust = loads.thrust_n * rotor.thrust_factor * ground * (1.0 + rotor.blockage_change)
    spot.thrust_n = thrust
    spot.torque_n_m = loads.torque_n_m * rotor.torque_factor
    spot.induced_m_s = induced
    write_vector(spot.wake_earth, to_earth(work.rotation, wake_direction(axis, flow, abs(induced))))
    force = add(scale(axis, thrust), scale(along, loads.in_plane_n * rotor.thrust_factor))
    across = cross(axis, along)
    hub_moment = add(
        scale(along, -rotor.spin * loads.rolling_n_m), scale(across, loads.pitching_n_m)
    )
    accumulate(work.force_n, force)
    accumulate(work.moment_n_m, add(cross(hub, force), hub_moment))
    if loads.off_map > 0.0:
        work.off_map = 1.0
    if through < -OWN_WAKE_SINK * abs(induced) and speed_rad_s > 1.0:
        work.in_own_wake = 1.0


@compiled
def blow_on_rotors(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Write the loads of every rotor in its own airflow and add them to the body's force, moment.

    Rotors do not feel each other's wake (a simplification).
    """
    body = state.body
    velocity = to_body(work.rotation, as_vector(body.velocity_m_s))
    rate = as_vector(body.rate_rad_s)
    for i in range(craft.rotor_count):
        spot = work.rotor[i]
        away = subtract(as_vector(spot.hub_earth_m), as_vector(body.position_m))
        air = to_body(work.rotation, air_at(state.wind, away))
        moving = add(velocity, cross(rate, as_vector(spot.hub_m)))
        blow_on_rotor(
            craft.rotor[i],
            craft,
            flight,
            spot,
            work,
            state.rotor[i].speed_rad_s,
            subtract(air, moving),
        )


@compiled
def turn_rotors(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Spin every rotor a step further and add its reaction to the body's moment.

    The aerodynamic torque acts on craft and rotor together; what the rotor's own angular momentum
    H = -s J Omega a takes up, as it speeds up, tilts and is carried round, comes off the body's
    moment (Euler's equation with internal momentum).
    """
    rate = as_vector(state.body.rate_rad_s)
    for i in range(craft.rotor_count):
        rotor, spot, motion = craft.rotor[i], work.rotor[i], state.rotor[i]
        axis = as_vector(spot.axis)
        gain = (spot.motor_torque_n_m - spot.torque_n_m) / rotor.inertia_kg_m2
        faster = motion.speed_rad_s + flight.step_s * gain
        if faster < 0.0:
            gain = -motion.speed_rad_s / flight.step_s
            faster = 0.0
        momentum = rotor.spin * rotor.inertia_kg_m2
        sweep = scale(cross(as_vector(rotor.tilt_axis), axis), spot.tilt_rate_rad_s)
        change = add(scale(axis, -momentum * gain), scale(sweep, -momentum * motion.speed_rad_s))
        carried = cross(rate, scale(axis, -momentum * motion.speed_rad_s))
        reaction = scale(axis, rotor.spin * spot.torque_n_m)
        accumulate(work.moment_n_m, subtract(reaction, add(change, carried)))
        motion.speed_rad_s = faster
