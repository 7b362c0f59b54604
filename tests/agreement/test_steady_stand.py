"""The steady point found at once equals the one that the stand runs into."""

from __future__ import annotations

import numpy as np
import pytest

from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight
from sim.pack.stand import stand_point
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.physics.air.atmosphere import air_of_the_day
from sim.spec import load_craft
from sim.step.steady_stand import settle_points

AIR = air_of_the_day(None, None, None, 0.5)
CLOSE = 1e-9


@pytest.fixture(scope="module")
def packed(repository):
    return pack_craft(load_craft(repository / "airframes" / "bare_bicopter.yaml").spec, AIR)


def settled(packed, throttle, charge):
    """Give speeds, bus volts and pack amps from the steady solver."""
    flights = plain_flight(AIR)
    flights["keeps_charge"] = 1
    states, works = np.zeros(1, dtype=STATE_TYPE), np.zeros(1, dtype=WORK_TYPE)
    states["charge"] = charge
    states["body"]["attitude"][:, 0] = 1.0
    states["body"]["position_m"][:, 2] = -100.0
    states["rotor"]["throttle"][0, :2] = throttle
    states["rotor"]["speed_rad_s"][0, :2] = 200.0
    ohm = np.array([float(packed.record.battery.resistance_ohm)])
    assert settle_points(packed.records, flights, states, works, ohm)
    return states["rotor"]["speed_rad_s"][0, :2], works["bus_v"][0], works["pack_a"][0]


@pytest.mark.parametrize("pack_ohm", [0.0, 0.018, 0.1, 0.4])
@pytest.mark.parametrize("limit_a", [1000.0, 12.0])
@pytest.mark.parametrize("throttle", [(1.0, 1.0), (0.5, 0.5), (1.0, 0.6), (0.9, 0.0)])
def test_steady_point_is_the_one_that_the_stand_reaches(packed, pack_ohm, limit_a, throttle):
    """Ten seconds are over a hundred time constants of a rotor, so the stand has arrived."""
    craft = packed.records.copy()
    craft["battery"]["resistance_ohm"] = pack_ohm
    craft["rotor"]["current_limit_a"] = limit_a
    changed = type(packed)(**{**packed.__dict__, "records": craft})
    point = stand_point(
        craft[0], plain_flight(AIR)[0], np.array(throttle), charge=0.7, settle_s=10.0
    )
    speeds, volts, amps = settled(changed, throttle, 0.7)
    np.testing.assert_allclose(speeds, point.speed_rad_s, rtol=CLOSE, atol=CLOSE)
    assert volts == pytest.approx(point.bus_v, rel=CLOSE)
    assert amps == pytest.approx(point.pack_a, rel=CLOSE)
