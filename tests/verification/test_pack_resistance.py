"""What cold and age do to the resistance of a pack."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.pack.craft import pack_craft
from sim.physics.air.atmosphere import air_of_the_day
from sim.physics.power.pack_resistance import cold_factor, resistance_factor
from sim.spec import load_craft

AIR = air_of_the_day(288.15, 101325.0, None, 0.0)


def test_new_pack_at_room_temperature_is_as_given():
    assert resistance_factor(298.15, 1.0) == 1.0
    assert resistance_factor(320.0, 1.0) == 1.0


def test_freezing_doubles():
    """At least doubled at 0 degC and below: a careful prior, from memory, no source."""
    assert cold_factor(273.15) == pytest.approx(2.0, rel=1e-12)
    assert cold_factor(263.15) > 2.5


def test_straight_line_in_the_inverse_of_temperature():
    """Arrhenius 1889: the logarithm is a straight line in 1/T."""
    temperatures = (253.15, 265.0, 290.0)
    slopes = [math.log(cold_factor(t)) / (1.0 / t - 1.0 / 298.15) for t in temperatures]
    assert slopes == pytest.approx([slopes[0]] * 3, rel=1e-9)


@given(cold=st.floats(243.15, 297.0), colder=st.floats(0.1, 20.0), age=st.floats(1.0, 10.0))
def test_colder_and_older_resists_more(cold, colder, age):
    assert resistance_factor(cold - colder, age) > resistance_factor(cold, age)
    assert resistance_factor(cold, age + 0.1) > resistance_factor(cold, age)


@pytest.fixture(scope="module")
def craft(repository):
    return load_craft(repository / "airframes" / "bare_bicopter.yaml").spec


def with_battery(craft, **changes):
    return craft.model_copy(update={"battery": craft.battery.model_copy(update=changes)})


def test_craft_without_the_new_keys_is_packed_as_before(craft):
    """Twelve and six milliohm, as the file says."""
    assert float(pack_craft(craft, AIR).record.battery.resistance_ohm) == 0.012 + 0.006


def test_only_the_pack_resists_more_not_the_wiring(craft):
    packed = pack_craft(with_battery(craft, temperature_k=273.15, age_factor=1.5), AIR)
    assert float(packed.record.battery.resistance_ohm) == pytest.approx(
        2.0 * 1.5 * 0.012 + 0.006, rel=1e-12
    )


@pytest.mark.parametrize("worse", [{"temperature_k": 263.15}, {"age_factor": 3.0}, {"charge": 0.4}])
def test_full_throttle_gets_weaker(craft, worse):
    before = pack_craft(craft, AIR).full
    after = pack_craft(with_battery(craft, **worse), AIR).full
    assert after.bus_v < before.bus_v
    assert after.thrust_n.sum() < before.thrust_n.sum()
