"""Wind that rises leaves the skirt out of the rotors; the same wind all at once whips it in."""

from pathlib import Path

from sim.analysis.fly_study import start_of_task
from sim.analysis.wind_flights import Wind, in_wind
from sim.flight.run import fly
from sim.flight.settle import calm_flight, settled_in_wind
from sim.pack.flight import pack_flight
from sim.params.tally_record import Stop
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).parents[2]


def test_a_craft_settles_in_a_wind_that_it_would_not_bear_as_a_blow():
    craft = load_craft(ROOT / "airframes/jellyfish_tricopter.yaml")
    scenario = load_scenario(ROOT / "scenarios/lake_breeze.yaml")
    packed, start = start_of_task(craft, scenario)
    blown = in_wind(scenario.spec, Wind(5.5, scenario.spec.wind.from_rad))
    flight = pack_flight(blown, packed.air)[0]
    settled = settled_in_wind(packed.record, flight, start)
    assert settled.tobytes() != start.tobytes()
    stays = fly(packed.record, calm_flight(flight, 5.0)[0], settled)
    assert stays.stop is Stop.TIME
    assert float(stays.tally.least_clearance_m) > 0.03
