"""From scenario to flight record: task, wind, limits."""

from __future__ import annotations

import math

import pytest

from sim.pack.flight import day_air, flight_height_m, pack_flight, plain_flight, write_wind
from sim.params.flight_record import FLY, LAND
from sim.spec import load_scenario

SCENARIO = """
name: packing
day: {temperature: 20 degC, elevation: 100 m, humidity: 50 %}
wind:
  mean: 6 m/s
  at_height: 10 m
  from: west
  terrain: open_field
  turbulence: {form: dryden}
  gust: {rise: 4 m/s, start: 3 s, length: 1.5 s}
start: ground
task:
  - {at: 0 s, do: take_off, height: 2 m}
  - {at: 5 s, do: move_to, north: 3 m, east: -1 m}
  - {at: 9 s, do: turn, heading: 90 deg}
  - {at: 12 s, do: land}
duration: 20 s
pilot: position_hold
limits: {tilt: 40 deg, drift: 3 m, height_loss: 1 m, saturation: 2 s, success: 90 %}
flights: 10
seed: 7
"""


@pytest.fixture
def scenario(tmp_path):
    """Give a function that reads the scenario with pieces of its text replaced."""

    def of(*changes):
        text = SCENARIO
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        path = tmp_path / "scenario.yaml"
        path.write_text(text)
        return load_scenario(path).spec

    return of


def flight_of(spec, **more):
    return pack_flight(spec, day_air(spec), **more)[0]


def test_each_step_changes_what_it_names_and_keeps_the_rest(scenario):
    flight = flight_of(scenario())
    assert int(flight.command_count) == 4
    commands = flight.command[:4]
    assert [float(c.time_s) for c in commands] == [0.0, 5.0, 9.0, 12.0]
    assert [int(c.kind) for c in commands] == [FLY, FLY, FLY, LAND]
    assert commands[1].place_m.tolist() == [3.0, -1.0, -2.0]
    assert commands[2].place_m.tolist() == [3.0, -1.0, -2.0]
    assert float(commands[2].heading_rad) == pytest.approx(math.pi / 2.0)
    assert commands[3].place_m[:2].tolist() == [3.0, -1.0]
    assert commands[3].place_m[2] > 0.0  # below the ground, so that it does not stop above


def test_a_task_that_begins_late_waits_at_the_start(scenario):
    flight = flight_of(scenario(("{at: 0 s, do: take_off", "{at: 2 s, do: take_off")))
    assert int(flight.command_count) == 5
    assert flight.command[0].place_m.tolist() == [0.0, 0.0, 0.0]


def test_limits_and_numbers(scenario):
    flight = flight_of(scenario(), flight_number=12)
    assert float(flight.limit.tilt_rad) == pytest.approx(math.radians(40.0))
    assert float(flight.limit.saturation_s) == 2.0
    assert (int(flight.seed), int(flight.flight)) == (7, 12)
    assert float(flight.noise_factor) == 1.0
    assert float(flight.duration_s) == 20.0


def test_what_is_not_to_be_judged_is_not(scenario):
    """No drift limit hands off; from the ground height counts once the craft has risen."""
    flight = flight_of(scenario(("pilot: position_hold", "pilot: hands_off")))
    assert int(flight.holds_position) == 0
    assert float(flight.limit.drift_m) == 0.0
    assert float(flight.limit.height_from_s) == 9.0  # 2 m at 0.5 m/s, and 5 s
    assert float(flight_of(scenario()).limit.drift_m) == 3.0


def test_the_gust_rises_for_its_length_and_falls_as_long(scenario):
    flight = flight_of(scenario())
    gust = flight.gust[0]
    assert int(flight.gust_count) == 1
    assert float(gust.peak_m_s) == 4.0
    assert float(gust.start_s) == 3.0
    assert float(gust.length_s) == 3.0
    assert int(gust.stays) == 0


def test_several_gusts_and_a_front(scenario):
    """In the order of the file; a front takes its length to rise and stays, and may turn."""
    flight = flight_of(
        scenario(
            (
                "{rise: 4 m/s, start: 3 s, length: 1.5 s}",
                "[{rise: 4 m/s, start: 3 s, length: 1.5 s},"
                " {form: front, rise: 2 m/s, start: 6 s, length: 1 s, turn: 30 deg}]",
            )
        )
    )
    assert int(flight.gust_count) == 2
    front = flight.gust[1]
    assert (float(front.peak_m_s), float(front.start_s)) == (2.0, 6.0)
    assert float(front.length_s) == 1.0
    assert float(front.turn_rad) == pytest.approx(math.radians(30.0))
    assert int(front.stays) == 1


def test_turbulence_goes_with_the_wind_at_flight_height(scenario):
    """sigma_u = U(z) / ln(z / z0), the same at every height: kappa-free log law, EN 1991-1-4."""
    spec = scenario()
    flight = flight_of(spec)
    sigma = 6.0 / math.log(10.0 / 0.05)
    assert int(flight.turbulence_ticks) > 0
    assert float(flight.turbulence.along.stationary) == pytest.approx(sigma, rel=1e-9)
    write_wind(spec, flight, 3.0)
    assert float(flight.turbulence.along.stationary) == pytest.approx(0.5 * sigma, rel=1e-9)
    assert float(flight.wind_m_s) == 3.0


@pytest.mark.parametrize(
    "change",
    [("mean: 6 m/s", "mean: 0 m/s"), ("form: dryden", "form: none")],
    ids=["no wind", "no form"],
)
def test_no_turbulence_without_wind_or_form(scenario, change):
    assert int(flight_of(scenario(change)).turbulence_ticks) == 0


def test_given_intensity_is_used(scenario):
    spec = scenario(("form: dryden", "form: dryden, intensity: 30 %"))
    ratio = math.log(2.0 / 0.05) / math.log(10.0 / 0.05)
    sigma = float(flight_of(spec).turbulence.along.stationary)
    assert sigma == pytest.approx(0.3 * 6.0 * ratio, rel=1e-9)


def test_flight_height_is_the_highest_asked_for(scenario):
    assert flight_height_m(scenario()) == 2.0
    hovering = scenario(
        ("start: ground", "start: hover\nstart_height: 4 m"), ("take_off, height: 2 m", "hold")
    )
    assert flight_height_m(hovering) == 4.0


def test_the_plain_flight_has_nothing_in_it(scenario):
    flight = plain_flight(day_air(scenario()), height_m=3.0)[0]
    assert float(flight.wind_m_s) == 0.0
    assert int(flight.turbulence_ticks) == 0
    assert float(flight.noise_factor) == 0.0
    assert int(flight.gust_count) == 0
    assert int(flight.measured.count) == 0
    assert flight.command[0].place_m.tolist() == [0.0, 0.0, -3.0]
    assert not flight.injected.any()
