"""A person on the sticks: the crossover model's stability limits, noise and lapses as stated.

Pilot and craft together are omega_c e^(-tau s)/s (McRuer and Krendel, AGARDograph 188, 1974), so
the loop is stable up to omega_c tau = pi / 2 and its phase margin is 90 deg - omega_c tau.
"""

import math

import numpy as np
import pytest
from scipy import signal, stats

from controllers.pilot import act
from sim.params.flight_record import FLIGHT_TYPE
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.sensing.sight import look

LOOK_S = 0.02
FREE = (1e9, 1e9, 1e9)


def person(crossover=1.0, delay_looks=15.0):
    """Give flight, state and work of a person who only steadies the speed, without errors."""
    flight = np.zeros(1, dtype=FLIGHT_TYPE)[0]
    flight.step_s = 1e-3
    flight.holds_position = 2
    flight.command_count = 1
    flight.pilot.period_ticks = 20
    flight.pilot.delay_looks = int(delay_looks)
    flight.pilot.delay_share = delay_looks - int(delay_looks)
    flight.pilot.crossover_rad_s = crossover
    flight.pilot.noise_lag_s = 0.5
    flight.pilot.lapse_above = math.inf
    return flight, np.zeros(1, dtype=STATE_TYPE)[0], np.zeros(1, dtype=WORK_TYPE)[0]


def speeds_after_a_push(crossover, looks, duration_s=60.0):
    """Give the speed [m/s] at each look of a craft that answers acceleration as 1/s."""
    flight, state, work = person(crossover, looks)
    state.body.velocity_m_s[0] = 1.0
    speeds = []
    for n in range(round(duration_s / LOOK_S)):
        state.tick = 20 * n
        look(flight, state, LOOK_S)
        act(flight, state, flight.command[0], work, LOOK_S, FREE)
        state.body.velocity_m_s[0] += LOOK_S * state.pilot.asked_m_s2[0]
        speeds.append(float(state.body.velocity_m_s[0]))
    return np.array(speeds)


@pytest.mark.parametrize("delay_s", [0.2, 0.3, 0.5])
@pytest.mark.parametrize(("share", "grows"), [(0.95, False), (1.05, True)])
def test_the_loop_is_stable_up_to_a_quarter_turn_of_delay(delay_s, share, grows):
    """omega_c tau = pi / 2; a look that is held adds half its length to the delay."""
    crossover = share * math.pi / (2.0 * delay_s)
    speeds = speeds_after_a_push(crossover, delay_s / LOOK_S - 0.5)
    early, late = (
        np.abs(speeds[: len(speeds) // 4]).max(),
        np.abs(speeds[-len(speeds) // 4 :]).max(),
    )
    assert (late > early) == grows


@pytest.mark.parametrize(
    ("crossover", "tau", "phase_deg"),
    [(4.75, 0.2, 35.569), (3.25, 0.35, 24.826), (3.0, 0.3, 38.434), (2.0, 0.3, 55.623)],
)
def test_the_loop_has_the_models_phase_margin(crossover, tau, phase_deg):
    """90 deg - 57.2958 omega_c tau, found by putting in a steady sine at the crossover frequency.

    A delay between two looks is interpolated, which costs (omega_c x look)^2 / 8 of the gain.
    """
    flight, state, work = person(crossover, tau / LOOK_S - 0.5)
    steps = round(40.0 / LOOK_S)
    time = LOOK_S * np.arange(steps)
    asked = np.empty(steps)
    for n in range(steps):
        state.tick = 20 * n
        state.body.velocity_m_s[0] = math.sin(crossover * time[n])
        look(flight, state, LOOK_S)
        act(flight, state, flight.command[0], work, LOOK_S, FREE)
        asked[n] = state.pilot.asked_m_s2[0]
    late = time > 10.0
    basis = np.stack([np.sin(crossover * time[late]), np.cos(crossover * time[late])], axis=1)
    (a, b), *_ = np.linalg.lstsq(basis, -asked[late], rcond=None)
    # the held look is not seen in these samples: it adds half a look; 1/s adds 90 degrees
    lag = -math.degrees(math.atan2(b, a)) + math.degrees(0.5 * crossover * LOOK_S)
    assert math.hypot(a, b) == pytest.approx(crossover, rel=(crossover * LOOK_S) ** 2 / 7.0)
    assert 90.0 - lag == pytest.approx(phase_deg, abs=0.01)


def test_errors_of_the_eye_have_their_spread_and_their_time():
    """First-order noise: variance within its own sampling error, correlation e^(-t / lag)."""
    flight, state, _ = person()
    flight.noise_factor = 1.0
    flight.pilot.place_noise_m = 0.25
    seen = []
    for n in range(40000):
        state.tick = 20 * n
        look(flight, state, LOOK_S)
        seen.append(state.pilot.place_m - state.body.position_m)
    seen = np.array(seen)
    kept = math.exp(-LOOK_S / 0.5)
    free = len(seen) * (1.0 - kept) / (1.0 + kept)  # independent samples in a first-order series
    band = 4.0 / math.sqrt(2.0 * free)
    assert seen.std(axis=0) == pytest.approx(np.full(3, 0.25), rel=band)
    now, before = seen[25:, 0], seen[:-25, 0]
    assert np.corrcoef(now, before)[0, 1] == pytest.approx(
        math.exp(-1.0), abs=4.0 / math.sqrt(free)
    )
    assert abs(signal.detrend(seen[:, 0], type="constant") @ seen[:, 1]) / len(seen) < 0.01


def test_moments_of_looking_away_come_as_often_as_stated_and_hold_the_sticks():
    flight, state, work = person(crossover=2.0, delay_looks=0)
    flight.noise_factor = 1.0
    flight.pilot.lapse_above = stats.norm.isf(LOOK_S / 8.0)
    flight.pilot.lapse_looks = 50
    rng = np.random.default_rng(1)
    begun, away, last = 0, 0, state.pilot.asked_m_s2.copy()
    steps = 60000
    for n in range(steps):
        state.tick = 20 * n
        state.body.velocity_m_s[:] = rng.standard_normal(3)
        was = float(state.pilot.looks_away)
        look(flight, state, LOOK_S)
        act(flight, state, flight.command[0], work, LOOK_S, FREE)
        if state.pilot.looks_away > 0.0:
            away += 1
            assert state.pilot.asked_m_s2.tolist() == last.tolist()
            begun += was == 0.0
        last = state.pilot.asked_m_s2.copy()
    attentive_s = (steps - away) * LOOK_S
    assert begun == pytest.approx(attentive_s / 8.0, abs=4.0 * math.sqrt(attentive_s / 8.0))


def test_a_person_leans_against_a_steady_wind_in_the_end():
    """A constant push on the craft leaves no drift once the stick's slow part has learned it."""
    flight, state, work = person(crossover=1.5, delay_looks=15)
    flight.pilot.place_rad_s = 0.5
    for n in range(round(60.0 / LOOK_S)):
        state.tick = 20 * n
        look(flight, state, LOOK_S)
        act(flight, state, flight.command[0], work, LOOK_S, FREE)
        state.body.velocity_m_s[0] += LOOK_S * (state.pilot.asked_m_s2[0] + 0.4)
        state.body.position_m[0] += LOOK_S * state.body.velocity_m_s[0]
    assert abs(float(state.body.position_m[0])) < 0.01
    assert float(state.pilot.trim_m_s2[0]) == pytest.approx(-0.4, rel=0.01)
