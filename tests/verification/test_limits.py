"""What ends a flight: each limit by itself, at the step where it is passed and not before."""

import math

import numpy as np
import pytest

from sim.params.craft_record import CRAFT_TYPE
from sim.params.flight_record import FLIGHT_TYPE, FLY, LAND, STAND
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import TALLY_TYPE, WORK_TYPE, Limit, Stop
from sim.step.judge import reason_to_stop
from sim.step.lean import tally_lean
from sim.step.tally import tally_ground, tally_place

STEP_S = 1e-3


class Case:
    """A flight in good order, 10 s into 20 s; a test spoils one thing."""

    def __init__(self):
        self.craft = np.zeros(1, dtype=CRAFT_TYPE)[0]
        self.flight = np.zeros(1, dtype=FLIGHT_TYPE)[0]
        self.state = np.zeros(1, dtype=STATE_TYPE)[0]
        self.work = np.zeros(1, dtype=WORK_TYPE)[0]
        self.tally = np.zeros(1, dtype=TALLY_TYPE)[0]
        limit = self.flight.limit
        self.flight.step_s, self.flight.duration_s, self.flight.command_count = STEP_S, 20.0, 1
        limit.tilt_rad, limit.drift_m, limit.height_loss_m = 0.8, 3.0, 1.0
        limit.saturation_s, limit.saturation_share, limit.current_s = 1.0, 0.2, 3.0
        limit.clearance_m, limit.touchdown_m_s, limit.recovery_s = 0.01, 1.0, 6.0
        self.state.tick, self.state.charge = 10_000, 0.5
        self.state.body.attitude[0] = 1.0
        self.state.body.position_m[2] = -2.0
        self.work.target_m[2] = -2.0
        self.work.upright = 1.0
        self.tally.ticks, self.tally.least_clearance_m = 10_000.0, 1.0

    def stop(self):
        """Give the code that the step's judge gives."""
        return Stop(reason_to_stop(self.craft, self.flight, self.state, self.work, self.tally))


@pytest.fixture
def case():
    return Case()


def test_a_flight_in_good_order_goes_on(case):
    assert case.stop() is Stop.NONE


@pytest.mark.parametrize(
    ("of", "name", "limit", "scale", "stop"),
    [
        ("tally", "most_drift_m", 3.0, 1.0, Stop.DRIFT),
        ("tally", "most_height_loss_m", 1.0, 1.0, Stop.HEIGHT),
        ("tally", "hardest_touchdown_m_s", 1.0, 1.0, Stop.HARD_TOUCHDOWN),
        ("tally", "ticks_disturbed", 6.0, 1.0 / STEP_S, Stop.SLOW_RECOVERY),
    ],
)
def test_a_limit_ends_the_flight_above_it_and_not_below(case, of, name, limit, scale, stop):
    record = getattr(case, of)
    setattr(record, name, 0.999 * limit * scale)
    assert case.stop() is Stop.NONE
    setattr(record, name, 1.001 * limit * scale)
    assert case.stop() is stop


def test_leaning_ends_the_flight_above_its_limit_whatever_the_limit_was_before(case):
    for limit in (0.8, 1.2, 0.3, 2.0):
        case.flight.limit.tilt_rad = limit
        case.work.upright = math.cos(0.999 * limit)
        assert case.stop() is Stop.NONE
        case.work.upright = math.cos(1.001 * limit)
        assert case.stop() is Stop.TILT


def test_the_most_lean_is_the_largest_angle_so_far(case):
    for lean, most in [(0.0, 0.0), (0.3, 0.3), (0.2, 0.3), (2.5, 2.5), (0.1, 2.5)]:
        case.work.upright = math.cos(lean)
        tally_lean(case.work, case.tally)
        assert float(case.tally.most_tilt_rad) == pytest.approx(most, abs=1e-12)


@pytest.mark.parametrize(
    ("limit", "seconds", "stop"),
    [
        (Limit.THRUST_FULL, 1.0, Stop.SATURATED),
        (Limit.TILT_TRAVEL, 1.0, Stop.SATURATED),
        (Limit.MOTOR_CURRENT, 3.0, Stop.OVER_CURRENT),
        (Limit.PACK_CURRENT, 3.0, Stop.OVER_CURRENT),
    ],
)
def test_sitting_on_an_actuator_or_a_current_limit(case, limit, seconds, stop):
    case.tally.pressure[int(limit)] = 0.999 * seconds / STEP_S
    assert case.stop() is Stop.NONE
    case.tally.pressure[int(limit)] = 1.001 * seconds / STEP_S
    assert case.stop() is stop


def test_too_large_a_share_on_a_limit_spoils_a_good_end_only_at_the_end(case):
    case.tally.ticks_at_limit[int(Limit.THRUST_RESERVE)] = 0.3 * 20_000
    assert case.stop() is Stop.NONE
    case.state.tick, case.tally.ticks = 20_000, 20_000.0
    assert case.stop() is Stop.SATURATED_OFTEN
    case.tally.ticks_at_limit[int(Limit.THRUST_RESERVE)] = 0.19 * 20_000
    assert case.stop() is Stop.TIME


def test_fabric_nearer_than_the_clearance(case):
    case.flight.limit.clearance_m = 0.05
    case.tally.least_clearance_m = 0.051
    assert case.stop() is Stop.NONE
    case.tally.least_clearance_m = 0.049
    assert case.stop() is Stop.FABRIC_IN_ROTOR


def test_the_worse_comes_first(case):
    """A number that is not finite hides nothing and is hidden by nothing."""
    case.tally.most_drift_m = 10.0
    case.state.body.velocity_m_s[1] = np.nan
    assert case.stop() is Stop.NOT_FINITE


def test_landing_ends_the_flight_only_as_the_last_step(case):
    case.flight.command_count = 3
    for index, (time_s, kind) in enumerate([(0.0, FLY), (5.0, LAND), (15.0, STAND)]):
        case.flight.command[index].time_s = time_s
        case.flight.command[index].kind = kind
    case.tally.tick_on_ground, case.tally.has_flown = 400.0, 1.0
    assert case.stop() is Stop.NONE
    case.flight.command_count = 2
    assert case.stop() is Stop.LANDED
    case.tally.has_flown = 0.0
    assert case.stop() is Stop.STAYED_DOWN


def test_disturbed_is_beyond_half_of_the_drift_or_the_lean(case):
    place = case.state.body.position_m
    for north, lean, runs in [(1.4, 0.0, 0), (1.6, 0.0, 1), (0.0, 0.41, 2), (0.0, 0.39, 0)]:
        place[0], case.work.upright = north, math.cos(lean)
        tally_place(case.flight, case.state, case.work, case.tally, FLY)
        assert float(case.tally.ticks_disturbed) == runs
    assert float(case.tally.longest_disturbed) == 2.0
    assert float(case.tally.most_drift_m) == pytest.approx(1.6)


def test_touch_downs_count_only_after_the_craft_has_flown(case):
    case.work.on_ground, case.state.body.velocity_m_s[2] = 1.0, 0.8
    tally_ground(case.flight, case.state, case.work, case.tally)
    assert float(case.tally.hardest_touchdown_m_s) == 0.0
    case.tally.tick_on_ground, case.tally.has_flown = 0.0, 1.0
    tally_ground(case.flight, case.state, case.work, case.tally)
    assert float(case.tally.hardest_touchdown_m_s) == 0.8
    assert float(case.tally.tick_on_ground) == 1.0
