"""What a step adds to the tally of its flight, and what ends the flight."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import LAND, FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import LIMITS, Limit, Stop, TallyRecord, WorkRecord
from sim.step.advance import present_command
from sim.step.fabric import measure_clearance

NONE = int(Stop.NONE)
TIME = int(Stop.TIME)
LANDED = int(Stop.LANDED)
TILT = int(Stop.TILT)
DRIFT = int(Stop.DRIFT)
HEIGHT = int(Stop.HEIGHT)
GROUND_STRIKE = int(Stop.GROUND_STRIKE)
FABRIC_IN_ROTOR = int(Stop.FABRIC_IN_ROTOR)
NOT_FINITE = int(Stop.NOT_FINITE)
TIP_OVER = int(Stop.TIP_OVER)
PACK_EMPTY = int(Stop.PACK_EMPTY)
SATURATED = int(Stop.SATURATED)
STAYED_DOWN = int(Stop.STAYED_DOWN)
THRUST_FULL = int(Limit.THRUST_FULL)
TILT_TRAVEL = int(Limit.TILT_TRAVEL)
THRUST_RESERVE = int(Limit.THRUST_RESERVE)

TOUCHING_M = 0.01
CLEARANCE_TICKS = 10
REST_S = 0.3
EMPTY_CHARGE = 1e-6


@compiled
def tally_limits(state: StateRecord, work: WorkRecord, tally: TallyRecord) -> None:
    """Count every limit that this step met, its runs and its last step."""
    for k in range(LIMITS):
        if work.at_limit[k] > 0.0:
            tally.ticks_at_limit[k] += 1.0
            tally.present_run[k] += 1.0
            tally.pressure[k] += 1.0
            tally.last_run[k] = tally.present_run[k]
            tally.longest_run[k] = max(tally.longest_run[k], tally.present_run[k])
            tally.last_tick[k] = float(state.tick)
        else:
            tally.present_run[k] = 0.0
            tally.pressure[k] = max(tally.pressure[k] - 1.0, 0.0)


@compiled
def tally_step(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    tally: TallyRecord,
) -> None:
    """Note the extremes of this step; drift and height count once they are judged."""
    body = state.body
    time_s = state.tick * flight.step_s
    tally.ticks += 1.0
    tally_limits(state, work, tally)
    tally.most_tilt_rad = max(tally.most_tilt_rad, work.tilt_from_vertical_rad)
    tally.most_current_a = max(tally.most_current_a, work.pack_a)
    tally.most_stretch = max(tally.most_stretch, work.stretch)
    tally.ticks_in_own_wake += work.in_own_wake
    tally.ticks_off_map += work.off_map
    tally.energy_j += work.pack_a * work.bus_v * flight.step_s
    rate = body.rate_rad_s
    turning = math.sqrt(rate[0] * rate[0] + rate[1] * rate[1] + rate[2] * rate[2])
    tally.most_rate_rad_s = max(tally.most_rate_rad_s, turning)
    if craft.drape.panel_count > 0 and state.tick % CLEARANCE_TICKS == 0:
        measure_clearance(craft, state, work)
        tally.least_clearance_m = min(tally.least_clearance_m, work.clearance_m)
    command = present_command(flight, time_s)
    if time_s >= flight.limit.judged_from_s:
        north = body.position_m[0] - command.place_m[0]
        east = body.position_m[1] - command.place_m[1]
        tally.most_drift_m = max(tally.most_drift_m, math.sqrt(north * north + east * east))
        if command.kind != LAND:
            loss = body.position_m[2] - command.place_m[2]
            tally.most_height_loss_m = max(tally.most_height_loss_m, loss)
    if work.on_ground > 0.0:
        if tally.tick_on_ground == 0.0:
            tally.touchdown_m_s = body.velocity_m_s[2]
        tally.tick_on_ground += 1.0
        tally.tick_in_air = 0.0
    else:
        tally.tick_on_ground = 0.0
        tally.tick_in_air += 1.0
    if tally.tick_in_air * flight.step_s > REST_S:
        tally.has_flown = 1.0


@compiled
def is_broken(state: StateRecord) -> bool:
    """Tell whether the craft's own state holds a number that is not finite."""
    body = state.body
    total = 0.0
    for i in range(3):
        total += body.position_m[i] + body.velocity_m_s[i] + body.rate_rad_s[i]
    for i in range(4):
        total += body.attitude[i]
    return not math.isfinite(total)


@compiled
def strikes_ground(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> bool:
    """Tell whether a rotor hub or the CG is below the ground."""
    if state.body.position_m[2] > 0.0:
        return True
    for i in range(craft.rotor_count):
        if work.rotor[i].hub_earth_m[2] > 0.0:
            return True
    return False


@compiled
def sits_on_limit(flight: FlightRecord, tally: TallyRecord, time_s: float) -> bool:
    """Tell whether thrust or tilt has been on a limit for longer than the flight allows.

    Steps off the limit count against steps on it, so that banging between two stops counts as well
    as resting on one.
    """
    if flight.limit.saturation_s <= 0.0 or time_s < flight.limit.judged_from_s:
        return False
    pressure = max(
        tally.pressure[THRUST_FULL],
        tally.pressure[TILT_TRAVEL],
        tally.pressure[THRUST_RESERVE],
    )
    return bool(pressure * flight.step_s > flight.limit.saturation_s)


@compiled
def good_end(flight: FlightRecord, tally: TallyRecord, time_s: float) -> int:
    """Give how a flight may end well, or without having begun, else NONE.

    LANDED after resting on the ground when told to land, STAYED_DOWN if it never left the ground,
    TIME when its time is over.
    """
    rested = tally.tick_on_ground * flight.step_s > REST_S
    if rested and present_command(flight, time_s).kind == LAND:
        return LANDED if tally.has_flown > 0.0 else STAYED_DOWN
    if time_s >= flight.duration_s - 0.5 * flight.step_s:
        return TIME
    return NONE


@compiled
def reason_to_stop(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    tally: TallyRecord,
) -> int:
    """Give the `Stop` code of the flight after this step; NONE lets it go on."""
    limit = flight.limit
    if is_broken(state):
        return NOT_FINITE
    if work.tilt_from_vertical_rad > limit.tilt_rad:
        if work.on_ground > 0.0:
            return TIP_OVER
        return TILT
    if strikes_ground(craft, state, work):
        return GROUND_STRIKE
    if tally.least_clearance_m < TOUCHING_M:
        return FABRIC_IN_ROTOR
    if state.charge <= EMPTY_CHARGE:
        return PACK_EMPTY
    if limit.drift_m > 0.0 and tally.most_drift_m > limit.drift_m:
        return DRIFT
    if limit.height_loss_m > 0.0 and tally.most_height_loss_m > limit.height_loss_m:
        return HEIGHT
    time_s = state.tick * flight.step_s
    if sits_on_limit(flight, tally, time_s) and work.on_ground == 0.0:
        return SATURATED
    return good_end(flight, tally, time_s)
