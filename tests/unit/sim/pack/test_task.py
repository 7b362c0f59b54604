"""A task becomes a target that moves: where it is when, and who follows it how."""

import numpy as np
import pytest

from sim.pack.flight import day_air, pack_flight
from sim.params.flight_record import HUMAN, STAND
from sim.params.tally_record import WORK_TYPE
from sim.spec import load_scenario
from sim.step.target import place_target, present_command

ROUND = """
name: Round
start: ground
task:
  - {at: 0 s, do: stand}
  - {at: 2 s, do: take_off, height: 2 m}
  - {at: 10 s, do: move_to, north: 6 m, east: 8 m, speed: 2 m/s}
  - {at: 20 s, do: climb, height: 4 m}
  - {at: 30 s, do: pass_by, north: 6 m, east: 2 m, speed: 3 m/s}
  - {at: 34 s, do: come_back}
  - {at: 60 s, do: land}
duration: 80 s
pilot: practised
person: {delay: 0.33 s, lapse_every: 10 s}
"""


@pytest.fixture(scope="module")
def flight(tmp_path_factory):
    path = tmp_path_factory.mktemp("task") / "round.yaml"
    path.write_text(ROUND)
    spec = load_scenario(path).spec
    return pack_flight(spec, day_air(spec))


def target(flight, time_s):
    work = np.zeros(1, dtype=WORK_TYPE)[0]
    place_target(present_command(flight[0], time_s), time_s, work)
    return work.target_m.tolist(), work.target_m_s.tolist()


@pytest.mark.parametrize(
    ("time_s", "place", "speed"),
    [
        (0.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
        (5.0, (0.0, 0.0, -2.0), (0.0, 0.0, 0.0)),
        (12.5, (3.0, 4.0, -2.0), (1.2, 1.6, 0.0)),  # half of 10 m at 2 m/s
        (19.0, (6.0, 8.0, -2.0), (0.0, 0.0, 0.0)),
        (22.0, (6.0, 8.0, -3.0), (0.0, 0.0, -0.5)),  # 0.5 m/s up
        (32.0, (6.0, 2.0, -4.0), (0.0, -3.0, 0.0)),  # through the point
        (33.5, (6.0, -2.5, -4.0), (0.0, -3.0, 0.0)),  # and on
        (55.0, (0.0, 0.0, -4.0), (0.0, 0.0, 0.0)),
    ],
)
def test_the_target_is_where_the_task_says(flight, time_s, place, speed):
    found_place, found_speed = target(flight, time_s)
    assert found_place == pytest.approx(place, abs=1e-12)
    assert found_speed == pytest.approx(speed, abs=1e-12)


def test_the_target_never_jumps_once_in_the_air(flight):
    times = np.arange(10.0, 59.9, 0.01)
    places = np.array([target(flight, float(time))[0] for time in times])
    steps = np.linalg.norm(np.diff(places, axis=0), axis=1)
    assert steps.max() == pytest.approx(0.03, rel=1e-6)  # 3 m/s in 10 ms


def test_a_person_flies_with_what_the_file_says_and_the_skill_for_the_rest(flight):
    record = flight[0]
    assert int(record.holds_position) == HUMAN
    looks = float(record.pilot.delay_looks) + float(record.pilot.delay_share)
    assert 0.02 * (looks + 0.5) == pytest.approx(0.33)
    assert float(record.pilot.crossover_rad_s) == 1.5
    assert int(record.command[0].kind) == STAND


def test_height_counts_once_the_craft_has_had_time_to_rise(flight):
    assert float(flight[0].limit.height_from_s) == pytest.approx(2.0 + 2.0 / 0.5 + 5.0)
