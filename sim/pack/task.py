"""From the steps of a task, and who flies it, to the records of a flight."""

from __future__ import annotations

import math
from typing import Any

from scipy.special import ndtri

from sim.params.flight_record import FLY, HANDS_OFF, HUMAN, LAND, POSITION_HOLD, STAND
from sim.params.state_record import MAX_PILOT_LOOKS
from sim.spec.pilot import PERSONS
from sim.spec.scenario import ScenarioSpec
from sim.spec.task import StepSpec

LANDING_DEPTH_M = 0.2
LOOK_S = 0.02
HELD_LOOK = 0.5
WALKING_PACE_M_S = 1.0
CLIMB_PACE_M_S = 0.5
TAKE_OFF_GRACE_S = 5.0
KINDS = {"land": LAND, "stand": STAND}


def _lasts_s(start: tuple[float, float, float], end: tuple[float, ...], speed_m_s: float) -> float:
    """Give the time [s] that the target takes: at a speed along the ground, and a gentle climb."""
    along = math.hypot(end[0] - start[0], end[1] - start[1])
    return max(along / speed_m_s, abs(end[2] - start[2]) / CLIMB_PACE_M_S)


def write_commands(scenario: ScenarioSpec, flight: Any) -> None:
    """Write the task as places to go to; each step changes what it names and keeps the rest.

    The target moves to a new place at walking pace (1 m/s along the ground unless the step gives a
    speed, 0.5 m/s up or down; common practice, no source), so that drift and height are judged
    against where the craft should be at the time. It jumps only at take-off, which the height loop
    bounds.
    """
    height = scenario.start_height_m if scenario.start == "hover" else 0.0
    place: tuple[float, float, float] = (0.0, 0.0, -height)
    heading = 0.0
    steps: list[StepSpec] = list(scenario.task)
    index = 0
    if not steps or steps[0].at_s > 0.0:
        flight.command[0].place_m[:] = place
        flight.command[0].from_m[:] = place
        index = 1
    for number, step in enumerate(steps):
        start = place
        north = start[0] if step.north_m is None else step.north_m
        east = start[1] if step.east_m is None else step.east_m
        if step.do == "come_back":
            north, east = 0.0, 0.0
        down = start[2] if step.height_m is None else -step.height_m
        heading = heading if step.heading_rad is None else step.heading_rad
        command = flight.command[index]
        command.time_s = step.at_s
        command.kind = KINDS.get(step.do, FLY)
        place = (north, east, LANDING_DEPTH_M if step.do == "land" else down)
        command.from_m[:] = start
        command.place_m[:] = place
        command.heading_rad = heading
        if step.do not in {"take_off", "land", "stand"}:
            speed = WALKING_PACE_M_S if step.speed_m_s is None else step.speed_m_s
            command.lasts_s = _lasts_s(start, place, speed)
        if step.do == "pass_by":
            command.passes = 1
            place = _reached(command, steps, number, scenario.duration_s)
        elif step.do in {"land", "stand"}:
            place = (north, east, 0.0)
        index += 1
    flight.command_count = index


def _reached(
    command: Any, steps: list[StepSpec], number: int, duration_s: float
) -> tuple[float, float, float]:
    """Give where a target that passes by has come to [m] when the next step begins."""
    until = steps[number + 1].at_s if number + 1 < len(steps) else duration_s
    share = (until - command.time_s) / command.lasts_s if command.lasts_s > 0.0 else 1.0
    north, east, down = command.from_m + share * (command.place_m - command.from_m)
    return float(north), float(east), float(down)


def write_pilot(scenario: ScenarioSpec, flight: Any) -> None:
    """Write who flies; a person looks every 20 ms and acts a delay later.

    Half a look of the delay is the mean age of what is held between looks.
    """
    if scenario.pilot not in PERSONS:
        flight.holds_position = POSITION_HOLD if scenario.pilot == "position_hold" else HANDS_OFF
        return
    flight.holds_position = HUMAN
    figures = scenario.person.figures(scenario.pilot)
    pilot = flight.pilot
    pilot.period_ticks = max(round(LOOK_S / float(flight.step_s)), 1)
    looks = max(figures.delay_s / LOOK_S - HELD_LOOK, 0.0)
    pilot.delay_looks = min(int(looks), MAX_PILOT_LOOKS - 2)
    pilot.delay_share = looks - float(pilot.delay_looks)
    pilot.crossover_rad_s = figures.crossover_rad_s
    pilot.place_rad_s = figures.place_rad_s
    pilot.place_noise_m = figures.place_noise_m
    pilot.speed_noise_m_s = figures.speed_noise_m_s
    pilot.noise_lag_s = figures.noise_time_s
    chance = min(LOOK_S / figures.lapse_every_s, 0.5) if figures.lapse_for_s > 0.0 else 0.0
    pilot.lapse_above = -float(ndtri(chance))
    pilot.lapse_looks = float(round(figures.lapse_for_s / LOOK_S))
    pilot.flies_height = 1 if scenario.person.height == "person" else 0


def write_limits(scenario: ScenarioSpec, flight: Any) -> None:
    """Write what ends a flight as failed.

    Drift is not judged when nobody holds the place. After a take-off height counts once the craft
    has had time to rise.
    """
    limits, limit = scenario.limits, flight.limit
    limit.tilt_rad = limits.tilt_rad
    limit.drift_m = 0.0 if scenario.pilot == "hands_off" else limits.drift_m
    limit.height_loss_m = limits.height_loss_m
    limit.saturation_s = limits.saturation_s
    limit.saturation_share = limits.saturation_share
    limit.current_s = limits.current_s
    limit.clearance_m = limits.clearance_m
    limit.touchdown_m_s = limits.touchdown_m_s
    limit.recovery_s = limits.recovery_s
    if scenario.start == "ground":
        take_offs = [step for step in scenario.task if step.do == "take_off"]
        rise = max((step.height_m or 0.0) / CLIMB_PACE_M_S for step in take_offs)
        limit.height_from_s = take_offs[-1].at_s + rise + TAKE_OFF_GRACE_S
