"""A craft whose head hangs on a hinge, in one step: where the head is, and how both move.

The momenta of craft and head together (their common motion, their rotation, the two hinges) are
kicked by all forces of the step; then they turn freely. Free turning takes the mean of the speeds
before and after (Heun), and reads the speeds at its end from the momenta, so that without outside
forces the whole craft keeps its momentum and its angular momentum to rounding.
"""

from __future__ import annotations

from sim.numerics.cholesky import solve_in_place
from sim.numerics.compile import compiled
from sim.numerics.quaternion import Quaternion, to_body, to_earth, turned, write_rotation
from sim.numerics.vector import Vector, add, cross, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.neck_record import NeckRecord, NeckWorkRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import Limit, WorkRecord
from sim.physics.body.drag import bluff_drag
from sim.physics.body.hinged_head import (
    ROLL_AXIS,
    energy_slopes,
    hinge_loads,
    neck_moment,
    pitch_axis_of,
    write_head_rotation,
    write_mass_matrix,
    write_turned_inertia,
)
from sim.step.rotors import accumulate, as_vector, write_vector

NECK_STOP = int(Limit.NECK_STOP)


@compiled
def bend(neck: NeckRecord, roll_rad: float, pitch_rad: float, spot: NeckWorkRecord) -> None:
    """Write arm, pitch axis and inertia of the head, body axes, at angles [rad] of the neck."""
    write_head_rotation(roll_rad, pitch_rad, spot.head_rotation)
    write_vector(spot.arm_m, to_earth(spot.head_rotation, as_vector(neck.head_centre_m)))
    write_vector(spot.pitch_axis, pitch_axis_of(roll_rad))
    write_turned_inertia(neck.head_inertia_kg_m2, spot.head_rotation, spot.head_inertia_kg_m2)


@compiled
def place_head(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write the head's place and speed as they are now, over those of a head that is fixed."""
    neck, spot, body = craft.neck, work.neck, state.body
    bend(neck, state.neck.angle_rad[0], state.neck.angle_rad[1], spot)
    if neck.body_index < 0:
        return
    arm = as_vector(spot.arm_m)
    place = add(as_vector(neck.pivot_m), arm)
    sweep = cross(hinge_rate(spot, state.neck.rate_rad_s[0], state.neck.rate_rad_s[1]), arm)
    moving = add(cross(as_vector(body.rate_rad_s), place), sweep)
    past = add(as_vector(body.velocity_m_s), to_earth(work.rotation, moving))
    point = add(as_vector(body.position_m), to_earth(work.rotation, place))
    k = craft.drape.panel_count + neck.body_index
    for i in range(3):
        work.point_m[i, k] = point[i]
        work.point_flow_m_s[i, k] = -past[i]


@compiled
def hinge_rate(spot: NeckWorkRecord, roll_rate: float, pitch_rate: float) -> Vector:
    """Give the head's rate [rad/s] against the craft, body axes."""
    return add(scale(ROLL_AXIS, roll_rate), scale(as_vector(spot.pitch_axis), pitch_rate))


@compiled
def push_head(craft: CraftRecord, density_kg_m3: float, work: WorkRecord) -> None:
    """Note the drag of the head, and move its moment to where the head is now."""
    neck, spot, flow = craft.neck, work.neck, work.point_flow_m_s
    write_vector(spot.drag_n, (0.0, 0.0, 0.0))
    if neck.body_index < 0:
        return
    part, k = neck.body_index, craft.drape.panel_count + neck.body_index
    area, at = craft.body.drag_area_m2, craft.body.place_m
    past = to_body(work.rotation, (flow[0, k], flow[1, k], flow[2, k]))
    areas = (area[0, part], area[1, part], area[2, part])
    drag = bluff_drag(areas, density_kg_m3, past)
    write_vector(spot.drag_n, drag)
    place = add(as_vector(neck.pivot_m), as_vector(spot.arm_m))
    fixed = (at[0, part], at[1, part], at[2, part])
    accumulate(work.moment_n_m, cross(subtract(place, fixed), drag))


@compiled
def write_rates(
    craft: CraftRecord, spot: NeckWorkRecord, reduced_kg: float, held: bool, rates: FloatArray
) -> None:
    """Overwrite momenta (5,) with the rates [rad/s] that have them in the pose of `spot`."""
    write_pose_matrix(craft, spot, reduced_kg, held)
    solve_in_place(spot.matrix, rates)


@compiled
def write_pose_matrix(
    craft: CraftRecord, spot: NeckWorkRecord, reduced_kg: float, held: bool
) -> None:
    """Write the mass matrix in the pose of `spot`; a craft that is held does not turn."""
    write_mass_matrix(
        craft.neck.main_inertia_kg_m2,
        spot.head_inertia_kg_m2,
        reduced_kg,
        head_from_main(craft.neck, spot),
        as_vector(spot.arm_m),
        as_vector(spot.pitch_axis),
        spot.matrix,
    )
    if held:
        for i in range(3):
            for j in range(5):
                spot.matrix[i, j] = 1.0 if i == j else 0.0
                spot.matrix[j, i] = spot.matrix[i, j]


@compiled
def head_from_main(neck: NeckRecord, spot: NeckWorkRecord) -> Vector:
    """Give the head's CG [m] from that of the craft without it, body axes."""
    place = add(as_vector(neck.pivot_m), as_vector(spot.arm_m))
    return subtract(place, as_vector(neck.main_centre_m))


@compiled
def slopes(neck: NeckRecord, spot: NeckWorkRecord, reduced_kg: float) -> tuple[float, float]:
    """Give how kinetic energy changes with the neck's angles [N m] in the pose of `spot`."""
    return energy_slopes(
        spot.head_inertia_kg_m2,
        reduced_kg,
        head_from_main(neck, spot),
        as_vector(spot.arm_m),
        as_vector(spot.pitch_axis),
        spot.rates,
    )


@compiled
def centre_motion(
    craft: CraftRecord, spot: NeckWorkRecord, rates: FloatArray
) -> tuple[Vector, Vector]:
    """Give place [m] and speed [m/s] of the common CG from the reference point, body axes."""
    arm, share = as_vector(spot.arm_m), craft.neck.head_mass_kg / craft.mass_kg
    offset = scale(subtract(arm, as_vector(craft.neck.head_centre_m)), share)
    sweep = scale(cross(hinge_rate(spot, rates[3], rates[4]), arm), share)
    return offset, add(cross((rates[0], rates[1], rates[2]), offset), sweep)


@compiled
def kick_hinge(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord, carried: Vector
) -> None:
    """Add to the hinge momenta what neck, drag and the force [N] carried with the head do."""
    neck, spot, motion = craft.neck, work.neck, state.neck
    load = add(as_vector(spot.drag_n), carried)
    by_force = hinge_loads(as_vector(spot.arm_m), as_vector(spot.pitch_axis), load)
    for i in range(2):
        angle, rate = motion.angle_rad[i], motion.rate_rad_s[i]
        moment = (
            spot.fabric_n_m[i]
            + by_force[i]
            + neck_moment(
                angle,
                rate,
                neck.stiffness_n_m_rad[i],
                neck.damping_n_m_s_rad[i] + flight.settling_1_s * spot.matrix[3 + i, 3 + i],
                neck.stop_rad[i],
                neck.stop_stiffness_n_m_rad[i],
                neck.stop_damping_n_m_s_rad[i],
            )
        )
        spot.momentum[3 + i] += flight.step_s * moment
        if abs(angle) > neck.stop_rad[i]:
            work.at_limit[NECK_STOP] = 1.0


@compiled
def turn_ahead(
    craft: CraftRecord,
    state: StateRecord,
    spot: NeckWorkRecord,
    spin_earth: Vector,
    hinge_momenta: tuple[float, float],
    reduced_kg: float,
    held: bool,
    step_s: float,
) -> Quaternion:
    """Bend and turn a step ahead with `spot.rates`; write the rates found there into `momentum`.

    `spin_earth` [N m s] is the angular momentum, earth axes. Gives the attitude there; the state is
    not changed, so that a second call with better rates starts from the same pose.
    """
    angle, rates, attitude = state.neck.angle_rad, spot.rates, state.body.attitude
    bend(craft.neck, angle[0] + step_s * rates[3], angle[1] + step_s * rates[4], spot)
    old = (attitude[0], attitude[1], attitude[2], attitude[3])
    new = turned(old, (step_s * rates[0], step_s * rates[1], step_s * rates[2]))
    for i in range(4):
        spot.attitude[i] = new[i]
    write_rotation(spot.attitude, spot.rotation)
    spin = to_body(spot.rotation, spin_earth)
    for i in range(3):
        spot.momentum[i] = spin[i]
    spot.momentum[3], spot.momentum[4] = hinge_momenta
    write_rates(craft, spot, reduced_kg, held, spot.momentum)
    return new


@compiled
def turn_freely(
    craft: CraftRecord,
    state: StateRecord,
    work: WorkRecord,
    reduced_kg: float,
    held: bool,
    step_s: float,
) -> None:
    """Turn craft and head a step with the momenta of `work.neck`, and write their new rates."""
    neck, spot, body, motion = craft.neck, work.neck, state.body, state.neck
    momentum, rates = spot.momentum, spot.rates
    spin_earth = to_earth(work.rotation, (momentum[0], momentum[1], momentum[2]))
    hinges = (momentum[3], momentum[4])
    for i in range(5):
        rates[i] = momentum[i]
    solve_in_place(spot.matrix, rates)
    roll_before, pitch_before = slopes(neck, spot, reduced_kg)
    ahead = (hinges[0] + step_s * roll_before, hinges[1] + step_s * pitch_before)
    turn_ahead(craft, state, spot, spin_earth, ahead, reduced_kg, held, step_s)
    for i in range(5):
        first = rates[i]
        rates[i] = momentum[i]
        momentum[i] = 0.5 * (first + rates[i])
    roll_after, pitch_after = slopes(neck, spot, reduced_kg)
    for i in range(5):
        rates[i] = momentum[i]
    half = 0.5 * step_s
    ahead = (
        hinges[0] + half * (roll_before + roll_after),
        hinges[1] + half * (pitch_before + pitch_after),
    )
    new = turn_ahead(craft, state, spot, spin_earth, ahead, reduced_kg, held, step_s)
    for i in range(2):
        motion.angle_rad[i] += step_s * rates[3 + i]
        motion.rate_rad_s[i] = momentum[3 + i]
    for i in range(5):
        rates[i] = momentum[i]
    if held:
        return
    for i in range(4):
        body.attitude[i] = new[i]
    write_vector(body.rate_rad_s, (rates[0], rates[1], rates[2]))


@compiled
def move_hinged(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Move craft and head a step; a clamped craft only feels, while its head moves."""
    neck, spot, body, step_s = craft.neck, work.neck, state.body, flight.step_s
    held = flight.is_held > 0
    force = as_vector(work.force_n)
    felt = scale(force, 1.0 / craft.mass_kg)
    for i in range(3):
        spot.rates[i] = 0.0 if held else body.rate_rad_s[i]
    for i in range(2):
        spot.rates[3 + i] = state.neck.rate_rad_s[i]
    reduced_kg = neck.head_mass_kg
    carried = scale(to_body(work.rotation, (0.0, 0.0, flight.gravity_m_s2)), neck.head_mass_kg)
    if not held:
        reduced_kg *= neck.main_mass_kg / craft.mass_kg
        carried = scale(felt, -neck.head_mass_kg)
    write_pose_matrix(craft, spot, reduced_kg, held)
    for i in range(5):
        total = 0.0
        for j in range(5):
            total += spot.matrix[i, j] * spot.rates[j]
        spot.momentum[i] = total
    offset, drift = centre_motion(craft, spot, spot.rates)
    if not held:
        moment = subtract(as_vector(work.moment_n_m), cross(offset, force))
        for i in range(3):
            spot.momentum[i] += step_s * moment[i]
    kick_hinge(craft, flight, state, work, carried)
    turn_freely(craft, state, work, reduced_kg, held, step_s)
    if held:
        write_vector(body.specific_force_m_s2, felt)
        return
    fall = (0.0, 0.0, flight.gravity_m_s2)
    velocity = add(as_vector(body.velocity_m_s), to_earth(work.rotation, drift))
    velocity = add(velocity, scale(add(to_earth(work.rotation, felt), fall), step_s))
    centre = add(as_vector(body.position_m), to_earth(work.rotation, offset))
    centre = add(centre, scale(velocity, step_s))
    offset, drift = centre_motion(craft, spot, spot.rates)
    new = subtract(velocity, to_earth(spot.rotation, drift))
    change = scale(subtract(new, as_vector(body.velocity_m_s)), 1.0 / step_s)
    write_vector(body.specific_force_m_s2, to_body(work.rotation, subtract(change, fall)))
    write_vector(body.velocity_m_s, new)
    write_vector(body.position_m, subtract(centre, to_earth(spot.rotation, offset)))
