"""Compiled loops over steps and flights, each flight alone: any partition gives the same bits."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.numerics.compile import compiled
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import TallyRecord, WorkRecord
from sim.step.advance import advance
from sim.step.channels import record
from sim.step.fabric import keep_particles, take_particles
from sim.step.judge import NONE, reason_to_stop
from sim.step.tally import tally_step

Records = NDArray[Any]


@compiled
def fly_one(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    tally: TallyRecord,
    history: FloatArray,
    every: int,
    shapes: FloatArray,
) -> int:
    """Fly until the flight ends; give the number of rows written.

    `history` (rows, channels) takes a row at the start and every `every` ticks, `shapes`
    (rows, particles, 3) the fabric's places [m] beside it; both stop when full.
    """
    rows = 0
    take_particles(craft.drape, state, work.fabric)
    while tally.stop == NONE:
        advance(craft, flight, state, work)
        tally_step(craft, flight, state, work, tally)
        tally.stop = reason_to_stop(craft, flight, state, work, tally)
        if (state.tick - 1) % every == 0 and rows < history.shape[0]:
            record(craft, flight, state, work, history[rows])
            keep_particles(craft.drape, state, work.fabric)
            for k in range(min(craft.drape.panel_count, shapes.shape[1])):
                for i in range(3):
                    shapes[rows, k, i] = state.particle[k].position_m[i]
            rows += 1
    keep_particles(craft.drape, state, work.fabric)
    tally.stop_s = state.tick * flight.step_s
    return rows


@compiled
def fly_many(
    crafts: Records,
    craft_of: NDArray[np.int64],
    flights: Records,
    states: Records,
    works: Records,
    tallies: Records,
) -> None:
    """Fly every flight to its end, without histories.

    `works` holds two records: the scratch, and a blank one that it starts from in each flight, so
    that nothing passes from one flight to the next.
    """
    for n in range(flights.shape[0]):
        craft, flight, state = crafts[craft_of[n]], flights[n], states[n]
        works[0] = works[1]
        work, tally = works[0], tallies[n]
        take_particles(craft.drape, state, work.fabric)
        while tally.stop == NONE:
            advance(craft, flight, state, work)
            tally_step(craft, flight, state, work, tally)
            tally.stop = reason_to_stop(craft, flight, state, work, tally)
        keep_particles(craft.drape, state, work.fabric)
        tally.stop_s = state.tick * flight.step_s


@compiled
def advance_each(
    crafts: Records, flights: Records, states: Records, works: Records, ticks: int
) -> None:
    """Move every state some ticks further, all with the first craft, flight and scratch.

    For trim and derivative: no limit ends these.
    """
    for n in range(states.shape[0]):
        works[0] = works[1]
        work = works[0]
        take_particles(crafts[0].drape, states[n], work.fabric)
        for _ in range(ticks):
            advance(crafts[0], flights[0], states[n], work)
        keep_particles(crafts[0].drape, states[n], work.fabric)
