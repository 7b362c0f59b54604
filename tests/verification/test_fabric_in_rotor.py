"""Fabric blown into a rotor ends a flight, and when, which fabric and which rotor are told."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.analysis.fly_study import start_of_task
from sim.analysis.wind_flights import Wind, in_wind
from sim.flight.fabric_hit import fabric_hit
from sim.flight.outcome import sentence
from sim.flight.run import fly
from sim.flight.settle import calm_flight
from sim.numerics.quaternion import write_rotation
from sim.pack.flight import STEP_S, pack_flight
from sim.params.drape_record import PITCH
from sim.params.tally_record import Stop
from sim.physics.rotor.wash import distance_from_disc
from sim.spec import load_craft, load_scenario
from sim.step.fabric_clearance import measure_clearance
from tests.verification.craft_builder import add_rotor, write_flat_map
from tests.verification.fabric_builder import fabric, hung, node_places

ALONG = np.linspace(0.0, 1.0, 41)


def beside_a_rotor(ahead_m, up_m, turn_rad):
    """Give a held skirt of 8 strips of 3 rows and a disc of 0.2 m, not turning, near its hem."""
    trial = hung(fabric("skirt", strips=8, rows=3, length_m=0.5))
    write_flat_map(trial.craft, 0.01, 0.0)
    add_rotor(trial.craft, (ahead_m * math.cos(turn_rad), ahead_m * math.sin(turn_rad), -up_m))
    trial.run()
    measure_clearance(trial.craft, trial.work)
    return trial


def distances_m(trial, shares):
    """Give the distance of points along every line of the net to the disc, shape (lines, n)."""
    drape, node = trial.craft.drape, node_places(trial)
    own = drape.panel.node[: drape.panel_count]
    spot = trial.work.rotor[0]
    hub, axis = np.array(spot.hub_earth_m), tuple(spot.axis_earth)
    found = []
    for other in (own - PITCH, own + 1):
        for one, end in zip(node[own], node[other], strict=True):
            points = one + shares[:, None] * (end - one) - hub
            found.append([distance_from_disc(tuple(p), axis, float(spot.radius_m)) for p in points])
    return np.array(found)


@given(
    ahead_m=st.floats(0.25, 0.6),
    up_m=st.floats(-0.55, -0.2),
    turn_rad=st.floats(0.0, 2.0 * math.pi),
)
def test_clearance_is_that_of_ends_and_middles_of_the_net(ahead_m, up_m, turn_rad):
    """Of each line its ends and middle count, whatever is left out to be quick; what lies between
    them is nearer by a quarter of a line at most.
    """
    trial = beside_a_rotor(ahead_m, up_m, turn_rad)
    found = float(trial.work.clearance_m)
    seen = distances_m(trial, np.array([0.0, 0.5]))
    assert found == pytest.approx(seen.min(), abs=1e-5)
    assert distances_m(trial, ALONG).min() > found - 0.25 * 2.0 * 0.5 / 3.0


def test_a_disc_between_two_rows_is_touched():
    """Particles are 8 cm and more away from where the disc's rim cuts the cloth."""
    trial = beside_a_rotor(0.38, -0.1 - 0.5 * 2.5 / 3.0, 0.0)
    drape, spot = trial.craft.drape, trial.work.rotor[0]
    nodes = node_places(trial)[drape.panel.node[: drape.panel_count]]
    ends = [
        distance_from_disc(
            tuple(n - spot.hub_earth_m), tuple(spot.axis_earth), float(spot.radius_m)
        )
        for n in nodes
    ]
    assert min(ends) > 0.08
    assert float(trial.work.clearance_m) < 0.005
    assert (int(trial.work.near_panel), int(trial.work.near_rotor)) == (2, 0)


@pytest.fixture(scope="module")
def whipped(repository):
    """Give the jellyfish on three rotors in 8 m/s from the right that begin all at once."""
    craft = load_craft(repository / "airframes" / "jellyfish_tricopter.yaml")
    scenario = load_scenario(repository / "scenarios" / "lake_breeze.yaml")
    packed, start = start_of_task(craft, scenario)
    blown = in_wind(scenario.spec, Wind(8.0, 0.5 * math.pi))
    flight = calm_flight(pack_flight(blown, packed.air)[0], 8.0)[0]
    return packed, fly(packed.record, flight, start, every_s=0.01)


def test_a_flight_ends_when_fabric_gets_into_a_rotor_and_says_where(whipped):
    """The net at the end, seen from outside, is where the flight says: that panel, that rotor."""
    packed, flown = whipped
    assert flown.stop is Stop.FABRIC_IN_ROTOR
    words = sentence(flown.tally, STEP_S, fabric_hit(packed, flown.tally))
    assert words == (
        "got fabric into a rotor (drape, ahead, 55 cm below its rim, into rotor front left), at"
        f" {float(flown.tally.stop_s):.2f} s"
    )
    assert 0.1 < float(flown.tally.stop_s) < 1.0
    body, record = flown.state["body"][0], packed.record
    rotation = np.empty((3, 3))
    write_rotation(body["attitude"], rotation)
    places = flown.state["particle"]["position_m"][0, : record.drape.panel_count]
    seen = (places - body["position_m"]) @ rotation
    pivots = np.array(record["rotor"]["pivot_m"][:3])
    aside = np.hypot(*np.moveaxis(seen[:, None, :2] - pivots[None, :, :2], 2, 0))
    deep = np.abs(seen[:, None, 2] - pivots[None, :, 2])
    apart = np.hypot(np.maximum(aside - record["rotor"]["radius_m"][:3], 0.0), deep)
    k, rotor = int(flown.tally.near_panel), int(flown.tally.near_rotor)
    assert packed.rotors[rotor] == "front left"
    # Hubs stand some centimetres above the pivots, and lines reach further than their ends.
    assert apart[k, rotor] < apart.min() + 0.05 < 0.12


def test_a_flight_that_ends_otherwise_has_no_such_place(whipped):
    packed, flown = whipped
    other = flown.tally.copy()
    other.stop = int(Stop.DRIFT)
    assert fabric_hit(packed, other) == ""
