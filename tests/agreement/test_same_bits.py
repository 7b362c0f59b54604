"""The same seed gives the same bits: on one thread and two, in any batch, and every time."""

from __future__ import annotations

import dataclasses
import os
from itertools import pairwise

import numpy as np
import pytest

from sim.analysis.check import check_craft
from sim.analysis.linear_loop import ClosedLoop
from sim.flight.ensemble import fly_ensemble
from sim.flight.run import fly
from sim.flight.start import blank_tally, blank_works
from sim.pack.flight import pack_flight, write_wind
from sim.spec import load_craft, load_scenario
from sim.step.batch import fly_many

FLIGHTS = 10
GUSTY_M_S = 7.0
SECONDS = 3.0


@pytest.fixture(scope="module")
def breeze(repository):
    return load_scenario(repository / "tests" / "agreement" / "short_breeze.yaml")


@pytest.fixture(scope="module")
def gusty(hover, breeze):
    """Ten flights of the jellyfish on three rotors, with fabric, sensor noise and turbulence."""
    case = hover("jellyfish_tricopter")
    one = pack_flight(breeze.spec, case.packed.air)
    write_wind(breeze.spec, one[0], GUSTY_M_S)
    one["duration_s"] = SECONDS
    flights = np.repeat(one, FLIGHTS)
    flights["flight"] = np.arange(FLIGHTS)
    assert one[0].turbulence_ticks > 0
    assert one[0].noise_factor > 0.0
    return case.packed.records, flights, np.repeat(case.trim.state, FLIGHTS)


def flown_in_parts(gusty, bounds):
    """Fly the flights in consecutive parts; give the bits of all states and tallies at the end."""
    crafts, flights, starts = gusty
    states, tallies = starts.copy(), np.repeat(blank_tally(), FLIGHTS)
    for first, end in pairwise(bounds):
        part = slice(first, end)
        craft_of = np.zeros(end - first, dtype=np.int64)
        fly_many(crafts, craft_of, flights[part], states[part], blank_works(), tallies[part])
    return states, tallies


@pytest.fixture(scope="module")
def whole(gusty):
    return flown_in_parts(gusty, (0, FLIGHTS))


def test_flights_of_one_study_differ(whole):
    """Otherwise equal bits would mean nothing."""
    states, _ = whole
    assert len(np.unique(states["body"]["position_m"][:, 0])) == FLIGHTS


@pytest.mark.parametrize("threads", [1, 2, 3])
def test_threads_do_not_change_a_bit(gusty, whole, threads):
    crafts, flights, starts = gusty
    craft_of = np.zeros(FLIGHTS, dtype=np.int64)
    flown = fly_ensemble(crafts, craft_of, flights, starts, threads=threads)
    assert flown.tallies.tobytes() == whole[1].tobytes()


@pytest.mark.parametrize("bounds", [(0, 3, 10), (0, 1, 2, 9, 10), tuple(range(FLIGHTS + 1))])
def test_partition_does_not_change_a_bit(gusty, whole, bounds):
    states, tallies = flown_in_parts(gusty, bounds)
    assert states.tobytes() == whole[0].tobytes()
    assert tallies.tobytes() == whole[1].tobytes()


def test_order_does_not_change_a_bit(gusty, whole):
    crafts, flights, starts = gusty
    states, tallies = flown_in_parts((crafts, flights[::-1].copy(), starts), (0, 4, FLIGHTS))
    assert states[::-1].tobytes() == whole[0].tobytes()
    assert tallies[::-1].tobytes() == whole[1].tobytes()


def test_other_craft_in_the_batch_do_not_change_a_bit(gusty, whole, packed):
    """A batch in which every second flight is flown by another craft."""
    crafts, flights, starts = gusty
    both = np.concatenate([crafts, packed("heron_tricopter").records])
    craft_of = np.arange(FLIGHTS, dtype=np.int64) % 2
    states, tallies = starts.copy(), np.repeat(blank_tally(), FLIGHTS)
    fly_many(both, craft_of, flights, states, blank_works(), tallies)
    assert states[::2].tobytes() == whole[0][::2].tobytes()
    assert tallies[::2].tobytes() == whole[1][::2].tobytes()
    assert states[1::2].tobytes() != whole[0][1::2].tobytes()


@pytest.mark.parametrize("number", [0, 7])
def test_alone_with_its_history_or_in_a_batch(gusty, whole, number):
    crafts, flights, starts = gusty
    alone = fly(crafts[0], flights[number], starts[number : number + 1], every_s=0.05)
    assert alone.state.tobytes() == whole[0][number : number + 1].tobytes()
    assert alone.tally.tobytes() == whole[1][number].tobytes()


def test_another_seed_is_another_flight(gusty, whole):
    crafts, flights, starts = gusty
    other = flights.copy()
    other["seed"] += 1
    states, _ = flown_in_parts((crafts, other, starts), (0, FLIGHTS))
    assert not np.any(states["body"]["position_m"][:, 0] == whole[0]["body"]["position_m"][:, 0])


def bits(value):
    """Give everything that a result holds, as text and bytes; wall time is left out."""
    if dataclasses.is_dataclass(value):
        return tuple(
            (field.name, bits(getattr(value, field.name)))
            for field in dataclasses.fields(value)
            if field.name != "seconds"
        )
    if isinstance(value, (np.ndarray, np.void)):
        return value.tobytes()
    if isinstance(value, dict):
        return tuple((key, bits(item)) for key, item in value.items())
    if isinstance(value, (tuple, list)):
        return tuple(bits(item) for item in value)
    if isinstance(value, ClosedLoop):
        return (bits(value.period_s), bits(value.transition))
    return repr(value)


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="cores cannot be chosen here")
def test_a_whole_check_gives_the_same_numbers_again_and_on_one_core(repository, breeze):
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml")
    first = check_craft(craft, breeze)
    assert first.wind is not None
    assert first.wind.flights > 0
    mine = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(mine)})
    try:
        second = check_craft(craft, breeze)
    finally:
        os.sched_setaffinity(0, mine)
    assert bits(first) == bits(second)
