"""The tilt servo in the step: second order, slew limit, deadband, stops and play in closed form."""

import math

import numpy as np
import pytest
from scipy.signal import lti
from scipy.signal import step as step_response

from sim.params.tally_record import Limit
from tests.verification.craft_builder import (
    Trial,
    add_rotor,
    make_tilting,
    order_of,
    write_flat_map,
)

FAST = 1e9


def with_servo(*, frequency=40.0, damping=0.7, slew=FAST, step_s=1e-3):
    """Give a held craft with one rotor at rest on a servo."""
    trial = Trial()
    trial.flight.is_held = 1
    trial.flight.step_s = step_s
    write_flat_map(trial.craft, 0.01, 0.0)
    rotor = add_rotor(trial.craft, (0.0, 0.0, 0.0))
    make_tilting(rotor, frequency_rad_s=frequency, damping=damping, slew_rad_s=slew)
    return trial


def horn(trial):
    return float(trial.state.rotor[0].servo_rad)


def tilt(trial):
    return float(trial.state.rotor[0].tilt_rad)


@pytest.mark.parametrize("damping", [0.3, 0.7, 1.0, 1.5])
def test_step_response_is_of_second_order(damping):
    """a'' = w^2 (c - a) - 2 z w a': the step answers as the library's, in the limit of no step.

    Of first order in the step: halved, it halves what is wrong.
    """
    frequency, command = 40.0, 0.2
    for seconds in (0.02, 0.05, 0.12):
        system = lti([frequency**2], [1.0, 2.0 * damping * frequency, frequency**2])
        exact = command * step_response(system, T=np.array([0.0, seconds]))[1][-1]
        angles = []
        for step_s in (5e-4, 2.5e-4, 1.25e-4):
            trial = with_servo(frequency=frequency, damping=damping, step_s=step_s)
            trial.state.rotor[0].tilt_command_rad = command
            angles.append(horn(trial.run_s(seconds)))
        assert order_of(*angles) == pytest.approx(1.0, abs=0.1)
        assert 2.0 * angles[2] - angles[1] == pytest.approx(exact, abs=2e-5 * command)


def driven(trial, amplitude_rad, omega_rad_s, cycles):
    """Drive with a sine; give times [s], horn and rotor angles [rad] and slewing of each step."""
    step_s = float(trial.flight.step_s)
    ticks = round(cycles * 2.0 * math.pi / omega_rad_s / step_s)
    rows = np.empty((ticks, 4))
    for i in range(ticks):
        now = i * step_s
        trial.state.rotor[0].tilt_command_rad = amplitude_rad * math.sin(omega_rad_s * now)
        trial.run()
        slewing = trial.work.at_limit[int(Limit.TILT_SLEW)]
        rows[i] = now + step_s, horn(trial), tilt(trial), slewing
    return rows.T


def describing_function(times, output, amplitude, omega):
    """Give gain and phase [rad] of the first harmonic of an answer to amplitude sin(omega t)."""
    sine = 2.0 * np.mean(output * np.sin(omega * times)) / amplitude
    cosine = 2.0 * np.mean(output * np.cos(omega * times)) / amplitude
    return math.hypot(sine, cosine), math.atan2(cosine, sine)


@pytest.mark.parametrize("over_onset", [2.0, 3.0])
def test_fully_slewing_sine(over_onset):
    """Gain 4 / (pi r), phase -acos(pi / (2 r)) at r = w / w_on = 2: .636620, -38.2425 degrees.

    A servo that only slews, driven faster than its onset w_on = slew / amplitude by more than 1.862
    (Klyde, McRuer and Myers, J. Guidance 20, 1997, from memory). The servo's own lag is kept a
    hundred times faster.
    """
    slew, amplitude = 5.0, 0.5
    omega = over_onset * slew / amplitude
    trial = with_servo(frequency=4000.0, damping=1.0, slew=slew, step_s=1e-4)
    times, angle, _, slewing = driven(trial, amplitude, omega, 8)
    last = times > times[-1] * 0.5
    gain, phase = describing_function(times[last], angle[last], amplitude, omega)
    if over_onset == 2.0:
        assert 4.0 / (math.pi * 2.0) == pytest.approx(0.636620, abs=6e-7)
        assert math.degrees(-math.acos(math.pi / 4.0)) == pytest.approx(-38.2425, abs=6e-5)
    assert gain == pytest.approx(4.0 / (math.pi * over_onset), rel=1e-2)
    assert phase == pytest.approx(-math.acos(math.pi / (2.0 * over_onset)), rel=1e-2)
    assert slewing[last].mean() > 0.97


@pytest.mark.parametrize(("slew_rad_s", "onset_hz"), [(10.47198, 9.549), (6.544985, 5.968)])
def test_onset_of_slewing(slew_rad_s, onset_hz):
    """A sine of 10 degrees asks for more than 0.10 s/60 deg from 9.549 Hz on, 0.16 from 5.968."""
    amplitude = math.radians(10.0)
    assert slew_rad_s / amplitude / (2.0 * math.pi) == pytest.approx(onset_hz, abs=6e-4)
    for share, slews in ((0.98, False), (1.02, True)):
        trial = with_servo(frequency=4000.0, damping=1.0, slew=slew_rad_s, step_s=1e-4)
        # Past the first cycle, in which it starts with a jump of the rate.
        slewing = driven(trial, amplitude, share * onset_hz * 2.0 * math.pi, 3)[3]
        assert slewing[len(slewing) // 3 :].any() == slews


def test_sixty_degrees_in_a_tenth_of_a_second():
    """A servo sold as 0.10 s / 60 deg slews at 10.47198 rad/s, and by no more than that."""
    slew = math.radians(60.0) / 0.10
    assert slew == pytest.approx(10.47198, abs=6e-6)
    trial = with_servo(frequency=4000.0, damping=1.0, slew=slew, step_s=1e-4)
    trial.state.rotor[0].tilt_command_rad = math.radians(120.0)
    angles = trial.follow(1000, horn)
    assert np.abs(np.diff(angles)).max() == pytest.approx(slew * 1e-4, rel=1e-9)
    assert angles[-1] == pytest.approx(math.radians(60.0), rel=1e-9)


def test_deadband_leaves_its_width():
    """An error within the deadband moves nothing; from beyond, the servo stops at its edge."""
    trial = with_servo(damping=1.0)
    trial.craft.rotor[0].servo_deadband_rad = 0.01
    trial.state.rotor[0].tilt_command_rad = 0.0099
    assert horn(trial.run(2000)) == 0.0
    for command, rest in ((0.3, 0.29), (-0.3, -0.29)):
        trial.state.rotor[0].tilt_command_rad = command
        assert horn(trial.run(3000)) == pytest.approx(rest, abs=1e-9)


def test_travel_stops():
    """Asked for more than its travel the servo rests on the stop, and leaves it at once."""
    trial = with_servo()
    trial.craft.rotor[0].tilt_travel_rad = 0.4
    for sign in (1.0, -1.0):
        trial.state.rotor[0].tilt_command_rad = sign * 0.9
        angles = trial.follow(1000, horn)
        assert np.abs(angles).max() <= 0.4
        assert angles[-1] == sign * 0.4
        assert sign * trial.state.rotor[0].servo_rate_rad_s <= 0.0
        trial.state.rotor[0].tilt_command_rad = 0.0
        assert sign * horn(trial.run(5)) < 0.4


def test_play_is_a_hysteresis_of_its_width():
    """Rotor against servo: half the play behind whichever way it moves, none of it while reversing.

    The loop between going up and coming down is as wide as the play; the rotor swings by that much
    less than the servo.
    """
    slop, amplitude = 0.02, 0.2
    trial = with_servo(frequency=400.0)
    trial.craft.rotor[0].servo_slop_rad = slop
    _, servo, rotor, _ = driven(trial, amplitude, 2.0, 2)
    half = len(servo) // 2
    servo, rotor = servo[half:], rotor[half:]
    assert np.abs(rotor - servo).max() <= 0.5 * slop + 1e-15
    rising = (np.gradient(servo) > 0.0) & (np.abs(servo) < 0.5 * amplitude)
    falling = (np.gradient(servo) < 0.0) & (np.abs(servo) < 0.5 * amplitude)
    assert (servo - rotor)[rising] == pytest.approx(0.5 * slop, abs=1e-12)
    assert (servo - rotor)[falling] == pytest.approx(-0.5 * slop, abs=1e-12)
    assert np.ptp(servo) - np.ptp(rotor) == pytest.approx(slop, abs=1e-12)


def test_rotor_that_does_not_tilt_stays_upright():
    """A fixed rotor has no servo, whatever it is told."""
    trial = with_servo()
    trial.craft.rotor[0].tilts = 0
    trial.state.rotor[0].tilt_command_rad = 0.5
    assert tilt(trial.run(500)) == 0.0
