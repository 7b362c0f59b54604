"""The tilt servo of the step, driven by sines, against describing functions in closed form.

Play (friction-held backlash) and the fully slewing servo are classical; they are from memory of
Gelb and Vander Velde, Multiple-Input Describing Functions (1968), and of Klyde, McRuer and Myers,
J. Guidance, Control, and Dynamics 20 (1997). At 1.3 times the onset of slewing an independent
simulation in time gave 0.9291 and -7.63 degrees.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from scipy.optimize import brentq

from sim.params.craft_record import CRAFT_TYPE
from sim.step.servo_sine import answered_harmonic

STEP_S = 1e-4
HUGE = 1e9


def servo(*, deadband=0.0, slop=0.0, slew=HUGE, frequency=3000.0, damping=1.0):
    """Give a rotor whose servo is so quick that only what the test is about is left."""
    rotor = np.zeros(1, dtype=CRAFT_TYPE)[0].rotor[0]
    rotor.servo_frequency_rad_s, rotor.servo_damping = frequency, damping
    rotor.servo_slew_rad_s, rotor.servo_deadband_rad, rotor.servo_slop_rad = slew, deadband, slop
    rotor.tilt_travel_rad = HUGE
    return rotor


def driven(rotor, amplitude, hertz, harmonic=1):
    """Give the complex share of a harmonic, and of steps that slew."""
    periods = round(1.0 / (hertz * STEP_S))
    sine, cosine, slewed = answered_harmonic(rotor, amplitude, periods, harmonic, STEP_S, 1)
    return complex(sine, cosine), slewed


def play_gain(half, amplitude):
    """Give the describing function of a play of `half` each way; nothing passes below it."""
    if amplitude <= half:
        return 0.0j
    b = 1.0 - 2.0 * half / amplitude
    real = (math.pi / 2.0 + math.asin(b) + b * math.sqrt(1.0 - b * b)) / math.pi
    imaginary = 4.0 * half / (math.pi * amplitude) * (half / amplitude - 1.0)
    return complex(real, imaginary)


def slew_gain(r):
    """Give the describing function of a servo that only slews, at r times its onset.

    Up to r = sqrt(1 + pi^2 / 4) = 1.862 it leaves the command where its rate exceeds the limit,
    ramps, and meets it again; beyond, the ramps meet each other.
    """
    if r >= math.sqrt(1.0 + 0.25 * math.pi**2):
        return 4.0 / (math.pi * r) * cmath.exp(-1j * math.acos(math.pi / (2.0 * r)))
    leaves = -math.acos(1.0 / r)
    meets = brentq(
        lambda p: math.sin(p) - math.sin(leaves) - (p - leaves) / r, 1e-9 - leaves, math.pi - 1e-9
    )
    phase = np.linspace(leaves, leaves + math.pi, 200_001)
    answer = np.where(phase < meets, math.sin(leaves) + (phase - leaves) / r, np.sin(phase))
    kernel = np.exp(-1j * phase) * answer
    # 1j times: the share of sin is the real part.
    return complex(1j * 2.0 / math.pi * np.trapezoid(kernel, phase))


@pytest.mark.parametrize("over", [1.02, 1.2, 1.5, 2.0, 5.0, 50.0])
def test_play(over):
    """N = 0 at the play, rising to 1 with a lag of up to 90 degrees that falls to none."""
    half = 0.01
    found, _ = driven(servo(slop=2.0 * half), over * half, 1.0)
    assert found == pytest.approx(play_gain(half, over * half), abs=6e-3)


def test_nothing_passes_a_play_that_is_wider_than_the_swing():
    assert driven(servo(slop=0.03), 0.0149, 1.0)[0] == 0.0


@pytest.mark.parametrize("over", [1.5, 3.0])
def test_deadband_before_play_is_one_wider_play(over):
    """A servo that stops at the edge of its deadband follows like a play of that width each way,
    and plays in a row add (Prandtl-Ishlinskii operators; from memory of Visintin, 1994).
    """
    deadband, half = 0.004, 0.006
    amplitude = over * (deadband + half)
    found, _ = driven(servo(deadband=deadband, slop=2.0 * half), amplitude, 0.5)
    assert found == pytest.approx(play_gain(deadband + half, amplitude), abs=1e-2)


@pytest.mark.parametrize("r", [1.3, 1.6, 2.0, 3.0])
def test_slewing(r):
    """At r times the onset, r = w A / R; the quick servo itself lags by 2 w / 3000."""
    amplitude, hertz = 0.5, 1.0
    omega = 2.0 * math.pi * hertz
    found, slewed = driven(servo(slew=amplitude * omega / r), amplitude, hertz)
    assert found == pytest.approx(slew_gain(r), abs=7e-3)
    assert slewed > 0.3


def test_closed_form_of_slewing_itself():
    """0.9291 and -7.63 degrees at 1.3, 0.636620 and -38.2425 at 2, continuous at 1.862."""
    partly = slew_gain(1.3)
    assert abs(partly) == pytest.approx(0.9291, abs=6e-5)
    assert math.degrees(cmath.phase(partly)) == pytest.approx(-7.63, abs=6e-3)
    fully = slew_gain(2.0)
    assert abs(fully) == pytest.approx(0.636620, abs=6e-7)
    assert math.degrees(cmath.phase(fully)) == pytest.approx(-38.2425, abs=6e-5)
    join = math.sqrt(1.0 + 0.25 * math.pi**2)
    assert slew_gain(join - 1e-6) == pytest.approx(slew_gain(join + 1e-6), abs=1e-4)


def test_no_slewing_below_the_onset():
    amplitude, hertz = 0.5, 1.0
    limit = 1.05 * amplitude * 2.0 * math.pi * hertz
    found, slewed = driven(servo(slew=limit), amplitude, hertz)
    assert found == pytest.approx(1.0, abs=6e-3)
    assert slewed == 0.0


def test_play_makes_odd_harmonics():
    """A half-open play squares the swing off: a third harmonic, and no second."""
    rotor = servo(slop=0.02)
    assert abs(driven(rotor, 0.011, 1.0, 2)[0]) < 1e-6
    assert abs(driven(rotor, 0.011, 1.0, 3)[0]) > 0.01
