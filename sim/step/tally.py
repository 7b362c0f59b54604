"""What a step adds to the tally of its flight: extremes, limits, distance, ground."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FLY, FlightRecord
from sim.params.kept_record import HALF_LEAN
from sim.params.state_record import StateRecord
from sim.params.tally_record import LIMITS, TallyRecord, WorkRecord
from sim.step.fabric_clearance import measure_clearance
from sim.step.lean import leans_beyond, tally_lean
from sim.step.target import present_command

CLEARANCE_TICKS = 10
REST_S = 0.3
DISTURBED_SHARE = 0.5


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
def tally_place(
    flight: FlightRecord, state: StateRecord, work: WorkRecord, tally: TallyRecord, kind: int
) -> None:
    """Note how far the craft is from its target, and how long it has been well off it.

    Disturbed is a craft beyond half of its allowed drift or half of its allowed tilt.
    """
    body, limit = state.body, flight.limit
    north = body.position_m[0] - work.target_m[0]
    east = body.position_m[1] - work.target_m[1]
    drift = math.sqrt(north * north + east * east)
    tally.most_drift_m = max(tally.most_drift_m, drift)
    if kind == FLY and state.tick * flight.step_s >= limit.height_from_s:
        loss = body.position_m[2] - work.target_m[2]
        tally.most_height_loss_m = max(tally.most_height_loss_m, loss)
    leaning = leans_beyond(work, DISTURBED_SHARE * limit.tilt_rad, HALF_LEAN)
    if leaning or (limit.drift_m > 0.0 and drift > DISTURBED_SHARE * limit.drift_m):
        tally.ticks_disturbed += 1.0
        tally.longest_disturbed = max(tally.longest_disturbed, tally.ticks_disturbed)
    else:
        tally.ticks_disturbed = 0.0


@compiled
def tally_ground(
    flight: FlightRecord, state: StateRecord, work: WorkRecord, tally: TallyRecord
) -> None:
    """Note touch-downs and how long the craft has been on the ground or off it."""
    if work.on_ground > 0.0:
        if tally.tick_on_ground == 0.0:
            tally.touchdown_m_s = state.body.velocity_m_s[2]
            if tally.has_flown > 0.0:
                tally.hardest_touchdown_m_s = max(tally.hardest_touchdown_m_s, tally.touchdown_m_s)
        tally.tick_on_ground += 1.0
        tally.tick_in_air = 0.0
    else:
        tally.tick_on_ground = 0.0
        tally.tick_in_air += 1.0
    if tally.tick_in_air * flight.step_s > REST_S:
        tally.has_flown = 1.0


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
    tally_lean(work, tally)
    tally.most_current_a = max(tally.most_current_a, work.pack_a)
    tally.most_stretch = max(tally.most_stretch, work.stretch)
    tally.ticks_in_own_wake += work.in_own_wake
    tally.ticks_off_map += work.off_map
    tally.energy_j += work.pack_a * work.bus_v * flight.step_s
    rate = body.rate_rad_s
    turning = math.sqrt(rate[0] * rate[0] + rate[1] * rate[1] + rate[2] * rate[2])
    tally.most_rate_rad_s = max(tally.most_rate_rad_s, turning)
    if craft.drape.panel_count > 0 and state.tick % CLEARANCE_TICKS == 0:
        measure_clearance(craft, work)
        if work.clearance_m < tally.least_clearance_m:
            tally.least_clearance_m = work.clearance_m
            tally.near_panel, tally.near_rotor = work.near_panel, work.near_rotor
    if time_s >= flight.limit.judged_from_s:
        tally_place(flight, state, work, tally, present_command(flight, time_s).kind)
    tally_ground(flight, state, work, tally)
