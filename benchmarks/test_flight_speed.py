"""One flight on one core, and an ensemble on all of them."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.trim import find_trim
from sim.flight.ensemble import fly_ensemble
from sim.flight.results import Ensemble
from sim.flight.run import fly
from sim.flight.settle import settled_in_wind
from sim.pack.craft import pack_craft
from sim.pack.flight import day_air, pack_flight, plain_flight
from sim.params.tally_record import Stop
from sim.spec import load_craft, load_scenario

MINUTE_S = 60.0
PANELS = 24
FLIGHTS = 40


@pytest.fixture(scope="module")
def breeze(repository):
    """Give craft, one flight record and a start, settled in the lake breeze."""
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec
    scenario = load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec
    packed = pack_craft(craft, day_air(scenario))
    hover = find_trim(
        packed.record, plain_flight(packed.air)[0], charge=packed.charge, swing_m_s=0.2
    )
    flights = pack_flight(scenario, packed.air)
    return packed, flights, settled_in_wind(packed.record, flights[0], hover.state)


def assert_good(state, tally):
    """Fail unless a flight lasted, upright and near its height, with a unit quaternion."""
    body = state["body"][0]
    assert np.isfinite(state["particle"]["position_m"]).all()
    assert np.linalg.norm(body["attitude"]) == pytest.approx(1.0, abs=1e-12)
    assert -body["position_m"][2] == pytest.approx(2.0, abs=0.5)
    assert float(tally.most_tilt_rad) < 0.5
    assert float(tally.most_stretch) < 0.05


def test_one_flight_of_a_minute(benchmark, breeze):
    packed, flights, start = breeze
    minute = flights.copy()
    minute["duration_s"] = MINUTE_S
    assert int(packed.record.drape.panel_count) == PANELS
    assert float(minute[0].step_s) == pytest.approx(1e-3)
    assert int(minute[0].turbulence_ticks) > 0
    flown = fly(packed.record, minute[0], start)
    assert flown.stop == Stop.TIME
    assert float(flown.tally.ticks) == pytest.approx(MINUTE_S / 1e-3)
    assert_good(flown.state, flown.tally)
    again = benchmark.pedantic(fly, (packed.record, minute[0], start), rounds=5, warmup_rounds=1)
    assert again.state.tobytes() == flown.state.tobytes()


def test_an_ensemble_on_all_cores(benchmark, breeze):
    packed, flights, start = breeze
    many = np.repeat(flights, FLIGHTS)
    many["flight"] = np.arange(FLIGHTS)
    craft_of = np.zeros(FLIGHTS, dtype=np.int64)
    starts = np.repeat(start, FLIGHTS)

    def fly_all() -> Ensemble:
        return fly_ensemble(packed.records, craft_of, many, starts)

    flown = fly_all()
    assert flown.succeeded.mean() > 0.9
    assert flown.not_finite == 0
    assert len(np.unique(flown.tallies["most_drift_m"])) == FLIGHTS
    again = benchmark.pedantic(fly_all, rounds=3)
    assert again.tallies.tobytes() == flown.tallies.tobytes()
    benchmark.extra_info["flights"] = FLIGHTS
