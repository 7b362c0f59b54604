"""Settling in a mean wind before the gusts begin."""

from __future__ import annotations

import numpy as np
import pytest

from sim.flight.run import fly
from sim.flight.settle import NEAR_M, SLOW_M_S, settled_in_wind, start_in_wind
from sim.pack.flight import plain_flight
from sim.params.tally_record import Stop


def windy(packed, wind_m_s):
    flights = plain_flight(packed.air, duration_s=5.0)
    flights["wind_m_s"] = wind_m_s
    flights["noise_factor"] = 1.0
    return flights[0]


def test_a_settled_craft_hardly_moves_in_its_wind(bare, hover):
    """Near its place and slow, leaning into 4 m/s; from still-air hover it is pushed further."""
    flight = windy(bare, 4.0)
    flight.noise_factor = 0.0
    settled = settled_in_wind(bare.record, flight, hover)
    assert settled["tick"][0] == 0
    body = settled["body"][0]
    assert np.abs(body["position_m"] - flight.command[0].place_m).max() < NEAR_M
    assert np.abs(body["velocity_m_s"]).max() < SLOW_M_S
    assert np.abs(body["attitude"][2]) > 1e-3
    stays, pushed = fly(bare.record, flight, settled), fly(bare.record, flight, hover)
    assert np.ptp(stays.channel("north")) < 0.5 * np.ptp(pushed.channel("north"))


def test_settling_knows_no_noise_and_spends_no_charge(bare, hover):
    flight = windy(bare, 2.0)
    settled = settled_in_wind(bare.record, flight, hover)
    assert settled["charge"][0] == hover["charge"][0]
    assert not settled["gyro_bias_rad_s"].any()
    assert float(flight.noise_factor) == 1.0


def test_a_craft_that_cannot_hold_there_starts_unsettled(bare, hover):
    """150 m/s throw it over at once: the start is given back as it was."""
    flight = windy(bare, 150.0)
    assert fly(bare.record, flight, hover).stop != Stop.TIME
    given = settled_in_wind(bare.record, flight, hover)
    assert given.tobytes() == hover.tobytes()


def test_its_own_drift_limit_does_not_end_it(bare, hover):
    """A drift limit of a millimetre is for the flight to come."""
    flight = windy(bare, 4.0)
    flight.limit.drift_m = 1e-3
    settled = settled_in_wind(bare.record, flight, hover)
    assert settled.tobytes() != hover.tobytes()
    assert float(flight.limit.drift_m) == 1e-3


def test_a_craft_that_the_wind_carries_along_begins_over_its_place(bare, hover):
    """40 m/s carry it kilometres off in the minute of settling; its flight begins where it should
    be, leaning and moving downwind as it does by then, and is carried off from there.
    """
    flight = windy(bare, 40.0)
    flight.noise_factor = 0.0
    settled = settled_in_wind(bare.record, flight, hover)
    begun = start_in_wind(bare.record, flight, hover)
    place = flight.command[0].place_m
    assert np.hypot(*(settled["body"]["position_m"][0] - place)[:2]) > 1000.0
    assert begun["body"]["position_m"][0, :2] == pytest.approx(place[:2], abs=1e-9)
    assert begun["body"]["velocity_m_s"][0, 0] < -10.0
    assert np.array_equal(begun["body"]["attitude"], settled["body"]["attitude"])
    far, near = fly(bare.record, flight, settled), fly(bare.record, flight, begun)
    assert np.ptp(near.channel("north")) == pytest.approx(np.ptp(far.channel("north")), rel=1e-3)
    assert near.channel("north")[0] == pytest.approx(0.0, abs=0.1)


def test_a_craft_that_holds_its_place_is_not_moved(bare, hover):
    flight = windy(bare, 4.0)
    settled = settled_in_wind(bare.record, flight, hover)
    assert start_in_wind(bare.record, flight, hover).tobytes() == settled.tobytes()
