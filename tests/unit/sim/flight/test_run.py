"""One flight: its history, its end, and what it leaves alone."""

from __future__ import annotations

import numpy as np
import pytest

from sim.flight.run import fly
from sim.flight.start import level_state
from sim.pack.flight import plain_flight
from sim.params.tally_record import Stop
from sim.step.channels import BODY_CHANNELS, ROTOR_CHANNELS


@pytest.fixture(scope="module")
def second(bare, hover):
    """Fly one second of hover, a row every 20 ms."""
    return fly(bare.record, plain_flight(bare.air, duration_s=1.0)[0], hover)


def test_rows_come_at_the_asked_interval_from_the_first_step_on(second):
    """0.001, 0.021, ... 0.981 s: fifty rows, each after its step."""
    assert second.channel("time") == pytest.approx(np.arange(50) * 0.02 + 0.001, abs=1e-9)
    assert second.stop == Stop.TIME
    assert float(second.tally.ticks) == 1000


@pytest.mark.parametrize(("every_s", "rows"), [(0.001, 1000), (0.0003, 1000), (0.5, 2), (2.0, 1)])
def test_the_interval_is_rounded_to_whole_steps(bare, hover, every_s, rows):
    flight = plain_flight(bare.air, duration_s=1.0)[0]
    assert len(fly(bare.record, flight, hover, every_s=every_s).history) == rows


def test_the_start_is_copied(bare, hover):
    before = hover.tobytes()
    flown = fly(bare.record, plain_flight(bare.air, duration_s=0.1)[0], hover)
    assert hover.tobytes() == before
    assert flown.state["tick"][0] == 100


def test_channels_are_found_by_name(second):
    """Hover at 2 m: what the names say."""
    assert second.channel("height") == pytest.approx(np.full(50, 2.0), abs=1e-3)
    assert second.channel("bus_voltage").min() > 10.0
    assert second.rotor_channel(0, "thrust").min() > 5.0
    assert second.rotor_channel(1, "speed").min() > 300.0
    assert second.history.shape[1] == len(BODY_CHANNELS) + 2 * len(ROTOR_CHANNELS)


def test_an_unknown_channel_names_the_known_ones(second):
    with pytest.raises(KeyError, match="climb"):
        second.channel("altitude")
    with pytest.raises(KeyError, match="throttle"):
        second.rotor_channel(0, "rpm")


def test_fabric_is_recorded_beside_the_history(draped, bare, hover):
    flight = plain_flight(draped.air, duration_s=0.2)[0]
    start = level_state(draped.record, flight, height_m=2.0, hovers=True, charge=1.0)
    flown = fly(draped.record, flight, start)
    assert flown.fabric_m.shape == (len(flown.history), 24, 3)
    assert np.isfinite(flown.fabric_m).all()
    bald = fly(bare.record, plain_flight(bare.air, duration_s=0.2)[0], hover)
    assert bald.fabric_m.shape == (len(bald.history), 0, 3)


def test_limits_end_a_flight(bare, hover):
    """A lean clamped at 0.3 rad, at 2 m height, ends it at once under 0.2 rad, not under 0.4."""
    flight = plain_flight(bare.air, duration_s=5.0)[0]
    flight.limit.tilt_rad = 0.2
    flight.is_held = 1
    leaning = hover.copy()
    leaning["body"]["attitude"][0] = (np.cos(0.15), np.sin(0.15), 0.0, 0.0)
    flown = fly(bare.record, flight, leaning)
    assert flown.stop == Stop.TILT
    assert float(flown.tally.stop_s) == pytest.approx(1e-3)
    assert float(flown.tally.most_tilt_rad) == pytest.approx(0.3, abs=1e-9)
    flight.limit.tilt_rad = 0.4
    assert fly(bare.record, flight, leaning).stop == Stop.TIME
