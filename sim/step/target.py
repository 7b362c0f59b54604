"""Where the craft should be now: the present step of the task, and its moving target."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.params.flight_record import CommandRecord, FlightRecord
from sim.params.tally_record import WorkRecord


@compiled
def present_command(flight: FlightRecord, time_s: float) -> CommandRecord:
    """Give the last command whose time has come."""
    last = 0
    for i in range(1, flight.command_count):
        if flight.command[i].time_s <= time_s:
            last = i
    return flight.command[last]


@compiled
def place_target(command: CommandRecord, time_s: float, work: WorkRecord) -> None:
    """Write place [m] and velocity [m/s] of the target at a time [s], earth axes.

    It moves in a straight line at constant speed from where the command starts to its place, and
    stays there unless the command passes by.
    """
    lasts = command.lasts_s
    share = 1.0
    moving = 0.0
    if lasts > 0.0:
        share = (time_s - command.time_s) / lasts
        if share < 1.0 or command.passes > 0:
            moving = 1.0 / lasts
        else:
            share = 1.0
    for i in range(3):
        way = command.place_m[i] - command.from_m[i]
        work.target_m[i] = command.place_m[i] - (1.0 - share) * way
        work.target_m_s[i] = moving * way
