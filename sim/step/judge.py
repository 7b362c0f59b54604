"""What ends a flight, well or badly."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import LAND, FlightRecord
from sim.params.kept_record import FULL_LEAN
from sim.params.state_record import StateRecord
from sim.params.tally_record import Limit, Stop, TallyRecord, WorkRecord
from sim.step.lean import leans_beyond
from sim.step.tally import REST_S

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
HARD_TOUCHDOWN = int(Stop.HARD_TOUCHDOWN)
OVER_CURRENT = int(Stop.OVER_CURRENT)
SLOW_RECOVERY = int(Stop.SLOW_RECOVERY)
SATURATED_OFTEN = int(Stop.SATURATED_OFTEN)
THRUST_FULL = int(Limit.THRUST_FULL)
TILT_TRAVEL = int(Limit.TILT_TRAVEL)
THRUST_RESERVE = int(Limit.THRUST_RESERVE)
MOTOR_CURRENT = int(Limit.MOTOR_CURRENT)
PACK_CURRENT = int(Limit.PACK_CURRENT)

EMPTY_CHARGE = 1e-6


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
def draws_too_much(flight: FlightRecord, tally: TallyRecord) -> bool:
    """Tell whether motors or pack have been on a current limit for longer than allowed."""
    if flight.limit.current_s <= 0.0:
        return False
    pressure = max(tally.pressure[MOTOR_CURRENT], tally.pressure[PACK_CURRENT])
    return bool(pressure * flight.step_s > flight.limit.current_s)


@compiled
def saturated_often(flight: FlightRecord, tally: TallyRecord) -> bool:
    """Tell whether thrust or tilt sat on one limit for more than the allowed share of a flight."""
    if flight.limit.saturation_share <= 0.0:
        return False
    most = max(
        tally.ticks_at_limit[THRUST_FULL],
        tally.ticks_at_limit[TILT_TRAVEL],
        tally.ticks_at_limit[THRUST_RESERVE],
    )
    return bool(most > flight.limit.saturation_share * tally.ticks)


@compiled
def good_end(flight: FlightRecord, tally: TallyRecord, time_s: float) -> int:
    """Give how a flight ends at its end, else NONE.

    LANDED after resting on the ground when told to land as the last step of the task, STAYED_DOWN
    if it never left the ground,
    TIME when its time is over; SATURATED_OFTEN in place of a good end that leaned on limits.
    """
    rested = tally.tick_on_ground * flight.step_s > REST_S
    end = NONE
    last = flight.command[flight.command_count - 1]
    if rested and last.kind == LAND and last.time_s <= time_s:
        end = LANDED if tally.has_flown > 0.0 else STAYED_DOWN
    elif time_s >= flight.duration_s - 0.5 * flight.step_s:
        end = TIME
    if end in (LANDED, TIME) and saturated_often(flight, tally):
        return SATURATED_OFTEN
    return end


@compiled
def accident(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    tally: TallyRecord,
) -> int:
    """Give the `Stop` code of what breaks the craft or the computation after this step, or NONE."""
    limit = flight.limit
    if is_broken(state):
        return NOT_FINITE
    if leans_beyond(work, limit.tilt_rad, FULL_LEAN):
        return TIP_OVER if work.on_ground > 0.0 else TILT
    if strikes_ground(craft, state, work):
        return GROUND_STRIKE
    if limit.touchdown_m_s > 0.0 and tally.hardest_touchdown_m_s > limit.touchdown_m_s:
        return HARD_TOUCHDOWN
    if tally.least_clearance_m < limit.clearance_m:
        return FABRIC_IN_ROTOR
    if state.charge <= EMPTY_CHARGE:
        return PACK_EMPTY
    return NONE


@compiled
def limit_passed(
    flight: FlightRecord, state: StateRecord, work: WorkRecord, tally: TallyRecord
) -> int:
    """Give the `Stop` code of the limit of the task that is passed after this step, or NONE."""
    limit = flight.limit
    if limit.drift_m > 0.0 and tally.most_drift_m > limit.drift_m:
        return DRIFT
    if limit.height_loss_m > 0.0 and tally.most_height_loss_m > limit.height_loss_m:
        return HEIGHT
    if draws_too_much(flight, tally):
        return OVER_CURRENT
    if limit.recovery_s > 0.0 and tally.ticks_disturbed * flight.step_s > limit.recovery_s:
        return SLOW_RECOVERY
    time_s = state.tick * flight.step_s
    if sits_on_limit(flight, tally, time_s) and work.on_ground == 0.0:
        return SATURATED
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
    code = accident(craft, flight, state, work, tally)
    if code == NONE:
        code = limit_passed(flight, state, work, tally)
    if code == NONE:
        code = good_end(flight, tally, state.tick * flight.step_s)
    return code
