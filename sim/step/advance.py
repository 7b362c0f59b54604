"""The step that all computation goes through: sense, control, act, blow, move."""

from __future__ import annotations

from controllers.cascade import run_loops
from controllers.pilot import act
from sim.numerics.compile import compiled
from sim.numerics.quaternion import write_rotation
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import HUMAN, FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import LIMITS, Limit, WorkRecord
from sim.physics.body.tilt_servo import servo_step, through_play
from sim.sensing.sense import sense
from sim.sensing.sight import look
from sim.step.air_now import update_air
from sim.step.airflow import blow_on_points
from sim.step.body_motion import move_body, push_parts, stand_on_feet
from sim.step.electrics import drive_motors
from sim.step.fabric import move_fabric, place_fabric
from sim.step.neck import move_hinged, push_head
from sim.step.rotors import blow_on_rotors, place_rotors, turn_rotors, write_vector
from sim.step.target import place_target, present_command

TILT_SLEW = int(Limit.TILT_SLEW)


@compiled
def sense_and_control(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Run sensors and loops on the ticks that are theirs; commands are held between."""
    control = craft.control
    if state.tick % control.period_ticks == 0:
        period_s = control.period_ticks * flight.step_s
        for i in range(LIMITS):
            work.held_at_limit[i] = 0.0
        sense(craft.sensing, flight, state, work, period_s)
        time_s = state.tick * flight.step_s
        command = present_command(flight, time_s)
        place_target(command, time_s, work)
        if flight.holds_position == HUMAN and state.tick % flight.pilot.period_ticks == 0:
            look_s = flight.pilot.period_ticks * flight.step_s
            look(flight, state, look_s)
            speeds = (control.max_speed_m_s, control.max_climb_m_s, control.max_sink_m_s)
            act(flight, state, command, work, look_s, speeds)
        run_loops(craft, flight, state, command, work, period_s)
    for i in range(LIMITS):
        work.at_limit[i] = work.held_at_limit[i]


@compiled
def move_servos(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Turn every tilt servo and what hangs on it a step further."""
    for i in range(craft.rotor_count):
        rotor, motion = craft.rotor[i], state.rotor[i]
        work.rotor[i].tilt_rate_rad_s = 0.0
        if rotor.tilts == 0:
            continue
        angle, rate, slewing = servo_step(
            rotor,
            motion.servo_rad,
            motion.servo_rate_rad_s,
            motion.tilt_command_rad,
            flight.step_s,
        )
        tilt = through_play(motion.tilt_rad, angle, rotor.servo_slop_rad)
        work.rotor[i].tilt_rate_rad_s = (tilt - motion.tilt_rad) / flight.step_s
        motion.servo_rad, motion.servo_rate_rad_s, motion.tilt_rad = angle, rate, tilt
        if slewing > 0.0:
            work.at_limit[TILT_SLEW] = 1.0


@compiled
def advance(craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord) -> None:
    """Move a flight one step further, in place; nothing is allocated, nothing is raised.

    Between steps the fabric's particles stand at the nodes of the scratch: loops of steps begin
    with `take_particles` and end with `keep_particles`.
    """
    write_rotation(state.body.attitude, work.rotation)
    work.upright = work.rotation[2, 2]
    write_vector(work.force_n, (0.0, 0.0, 0.0))
    write_vector(work.moment_n_m, (0.0, 0.0, 0.0))
    write_vector(work.drape_force_n, (0.0, 0.0, 0.0))
    stand_on_feet(craft, state, work)
    sense_and_control(craft, flight, state, work)
    height_m = -state.body.position_m[2]
    update_air(flight, state.wind, work.kept, state.tick, height_m, craft.span_m)
    work.off_map = 0.0
    work.in_own_wake = 0.0
    place_rotors(craft, state, work)
    blow_on_rotors(craft, flight, state, work)
    drive_motors(craft, flight, state, work)
    move_servos(craft, flight, state, work)
    turn_rotors(craft, flight, state, work)
    place_fabric(craft, state, work)
    blow_on_points(craft, state, work)
    push_parts(craft, flight.density_kg_m3, work)
    if craft.neck.is_hinged > 0:
        push_head(craft, flight.density_kg_m3, work)
    move_fabric(craft, flight, state, work)
    if craft.neck.is_hinged > 0:
        move_hinged(craft, flight, state, work)
    else:
        move_body(craft, flight, state, work)
    state.tick += 1
