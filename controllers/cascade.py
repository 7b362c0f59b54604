"""All loops in their order, once per run: place, height, attitude, body rate, delay, mixer."""

from __future__ import annotations

import math

from controllers.height import climb_integral, climb_wanted
from controllers.level import attitude_for, level_rate
from controllers.mixer import mix_thrusts
from controllers.position import drift_integral, speed_wanted
from controllers.rate import rate_demand, rate_integral
from controllers.tilt_mixer import mix_tilts
from sim.numerics.angle import wrapped
from sim.numerics.compile import compiled
from sim.numerics.lag import kept_lag_factor
from sim.params.craft_record import BICOPTER, CraftRecord
from sim.params.flight_record import (
    HUMAN,
    LAND,
    POSITION_HOLD,
    STAND,
    CommandRecord,
    FlightRecord,
)
from sim.params.kept_record import SLOPE_LAG
from sim.params.record import FloatArray
from sim.params.state_record import EAST, NORTH, THRUST, StateRecord
from sim.params.tally_record import WorkRecord

MOST_CLIMB_INTEGRAL = 5.0
MOST_DRIFT_INTEGRAL = 8.0
LEAST_LEVEL_COSINE = 0.5
LANDING_SHARE = 0.5
GROUND_SHARE = 0.3


@compiled
def height_loop(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    command: CommandRecord,
    period_s: float,
    work: WorkRecord,
) -> float:
    """Give the thrust [N] asked for by height hold, more when tilted (1 / cos of the tilt).

    On the ground the integral rests, so that it cannot wind up before take-off, and a craft that is
    told to land or to stand takes most of its weight off the rotors. A person who flies the height
    too puts throttle for acceleration; tilt is made up for all the same.
    """
    control, estimate, memory = craft.control, state.estimate, state.control
    weight = craft.mixer.hover_thrust_n
    if work.on_ground > 0.0:
        memory.climb_integral_m_s2 = 0.0
        if command.kind in (LAND, STAND):
            return float(GROUND_SHARE * weight * control.loop_factor[THRUST])
    if flight.holds_position == HUMAN and flight.pilot.flies_height > 0:
        upward = -state.pilot.asked_m_s2[2]
    else:
        climb = -estimate.velocity_m_s[2]
        if command.kind == LAND:
            wanted = -LANDING_SHARE * control.max_sink_m_s
        else:
            error = estimate.position_m[2] - work.target_m[2]
            wanted = climb_wanted(control, error, -work.target_m_s[2])
        memory.climb_integral_m_s2 = climb_integral(
            control, wanted - climb, memory.climb_integral_m_s2, period_s, MOST_CLIMB_INTEGRAL
        )
        upward = control.climb_p_1_s * (wanted - climb) + memory.climb_integral_m_s2
    level = math.cos(estimate.angle_rad[0]) * math.cos(estimate.angle_rad[1])
    thrust = weight * (1.0 + upward / flight.gravity_m_s2) / max(level, LEAST_LEVEL_COSINE)
    return float(max(thrust, 0.0) * control.loop_factor[THRUST])


@compiled
def position_loop(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    period_s: float,
) -> None:
    """Write the horizontal acceleration demand [m/s2]: position hold, a person's, or nothing."""
    control, estimate, memory = craft.control, state.estimate, state.control
    memory.demand[NORTH] = 0.0
    memory.demand[EAST] = 0.0
    if flight.holds_position == HUMAN:
        asked = state.pilot.asked_m_s2
        memory.demand[NORTH] = asked[0] * control.loop_factor[NORTH]
        memory.demand[EAST] = asked[1] * control.loop_factor[EAST]
        return
    if flight.holds_position != POSITION_HOLD:
        return
    north, east = speed_wanted(
        control,
        (
            work.target_m[0] - estimate.position_m[0],
            work.target_m[1] - estimate.position_m[1],
        ),
        (work.target_m_s[0], work.target_m_s[1]),
    )
    north -= estimate.velocity_m_s[0]
    east -= estimate.velocity_m_s[1]
    held = memory.drift_integral_m_s2
    held[0] = drift_integral(control, north, held[0], period_s, MOST_DRIFT_INTEGRAL)
    held[1] = drift_integral(control, east, held[1], period_s, MOST_DRIFT_INTEGRAL)
    memory.demand[NORTH] = (control.speed_p_1_s * north + held[0]) * control.loop_factor[NORTH]
    memory.demand[EAST] = (control.speed_p_1_s * east + held[1]) * control.loop_factor[EAST]


@compiled
def attitude_loop(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    command: CommandRecord,
    period_s: float,
    work: WorkRecord,
) -> None:
    """Write the moment demands [N m] that level the craft at the attitude asked for."""
    control, estimate, memory = craft.control, state.estimate, state.control
    roll, pitch = attitude_for(
        memory.demand[NORTH] + flight.injected[NORTH],
        memory.demand[EAST] + flight.injected[EAST],
        estimate.angle_rad[2],
        flight.gravity_m_s2,
        control.max_tilt_rad,
    )
    lag_s = 1.0 / control.derivative_cutoff_rad_s
    share = kept_lag_factor(work.kept[SLOPE_LAG], period_s, lag_s)
    for axis in range(3):
        if axis == 0:
            error = roll - estimate.angle_rad[0]
        elif axis == 1:
            error = pitch - estimate.angle_rad[1]
        else:
            error = wrapped(command.heading_rad - estimate.angle_rad[2])
        wanted = level_rate(control.level_1_s[axis], error, control.max_rate_rad_s[axis])
        gyro = estimate.gyro_rad_s[axis]
        slope = (gyro - memory.last_gyro_rad_s[axis]) / period_s
        memory.rate_slope_rad_s2[axis] += share * (slope - memory.rate_slope_rad_s2[axis])
        memory.last_gyro_rad_s[axis] = gyro
        gains = control.rate[axis]
        memory.rate_integral_n_m[axis] = rate_integral(
            gains, wanted, gyro, memory.rate_integral_n_m[axis], period_s
        )
        moment = rate_demand(
            gains,
            wanted,
            gyro,
            memory.rate_slope_rad_s2[axis],
            memory.rate_integral_n_m[axis],
        )
        memory.demand[1 + axis] = moment * control.loop_factor[1 + axis]


@compiled
def delay_line(delayed: FloatArray, demand: FloatArray, added: FloatArray, runs: int) -> None:
    """Push thrust and moments [N, N m] into the line, newest first, `runs` deep."""
    for i in range(runs, 0, -1):
        for k in range(4):
            delayed[i, k] = delayed[i - 1, k]
    for k in range(4):
        delayed[0, k] = demand[k] + added[k]


@compiled
def throttle_for(thrust_n: float, full_thrust_n: float, exponent: float) -> float:
    """Give the throttle [-] for a thrust, taking thrust to go as a power of throttle."""
    share = min(max(thrust_n, 0.0) / full_thrust_n, 1.0)
    return float(share ** (1.0 / exponent))


@compiled
def run_loops(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    command: CommandRecord,
    work: WorkRecord,
    period_s: float,
) -> None:
    """Run every loop once and hold the new throttle and tilt commands in the rotors' states.

    A craft that stands on the ground keeps its integrals at rest.
    """
    control, mixer, memory = craft.control, craft.mixer, state.control
    memory.demand[THRUST] = height_loop(craft, flight, state, command, period_s, work)
    position_loop(craft, flight, state, work, period_s)
    attitude_loop(craft, flight, state, command, period_s, work)
    if work.on_ground > 0.0:
        memory.rate_integral_n_m[:] = 0.0
        memory.drift_integral_m_s2[:] = 0.0
    delay_line(memory.delayed, memory.demand, flight.injected, control.delay_runs)
    late = memory.delayed[control.delay_runs]
    for i in range(work.thrust_wanted_n.size):
        work.tilt_wanted_rad[i] = 0.0
    mix_thrusts(
        mixer,
        craft.rotor_count,
        control.reserved,
        (late[0], late[1], late[2]),
        work.thrust_wanted_n,
        work.held_at_limit,
    )
    lead = mixer.right if mixer.layout == BICOPTER else mixer.tail
    mix_tilts(
        mixer,
        craft.rotor[lead].tilt_travel_rad,
        late[2],
        late[3],
        work.thrust_wanted_n,
        work.tilt_wanted_rad,
        work.held_at_limit,
    )
    for i in range(craft.rotor_count):
        thrust = work.thrust_wanted_n[i]
        throttle = throttle_for(thrust, mixer.full_thrust_n[i], mixer.thrust_exponent)
        state.rotor[i].throttle = state.armed * throttle
        state.rotor[i].tilt_command_rad = work.tilt_wanted_rad[i]
