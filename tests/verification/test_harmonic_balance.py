"""Harmonic balance against a textbook case: play in the loop of a double integrator.

x'' = u behind a play of half-width h, the command -(k x + d x'). The describing function N(A/h) of
play is known in closed form; 1 + N L = 0 with L = (k + d s)/s^2 asks for an angle of N of
-atan(d w / k) and a size of w^2 / |k + j d w|. Two integrators with play always hunt (classical;
from memory of Slotine and Li, Applied Nonlinear Control, 1991, chapter 5).
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from scipy.optimize import brentq

from sim.analysis.limit_cycle import cycles_of, servo_table, windings
from sim.analysis.linear_loop import ClosedLoop
from sim.analysis.tilt_loop import TiltLoop
from sim.params.craft_record import CRAFT_TYPE
from tests.verification.test_describing_functions import play_gain

PERIOD_S = 1e-3
HALF_RAD = 0.01


def quick_rotor(travel_rad=1.0):
    rotor = np.zeros(1, dtype=CRAFT_TYPE)[0].rotor[0]
    rotor.servo_frequency_rad_s, rotor.servo_damping = 600.0, 1.0
    rotor.servo_slew_rad_s, rotor.servo_slop_rad = 1e9, 2.0 * HALF_RAD
    rotor.tilt_travel_rad = travel_rad
    return rotor


def double_integrator(k, d):
    """Give the loop with the tilt as its input, exactly sampled."""
    transition = np.array([[1.0, PERIOD_S], [0.0, 1.0]])
    return TiltLoop(
        axis="pitch",
        signs=(1.0,),
        closed=ClosedLoop(transition, PERIOD_S),
        inject=np.array([0.5 * PERIOD_S**2, PERIOD_S]),
        measure=np.array([-k, -d]),
        direct=0.0,
        kicked=np.array([1.0, 0.0]),
        seen=np.array([1.0, 0.0]),
    )


def by_hand(k, d):
    """Give amplitude over h and angular frequency of the hunting."""

    def frequency(over):
        return k / d * math.tan(-cmath.phase(play_gain(1.0, over)))

    def left(over):
        w = frequency(over)
        return abs(play_gain(1.0, over)) * abs(complex(k, d * w)) / w**2 - 1.0

    over = brentq(left, 1.0 + 1e-6, 50.0)
    return over, frequency(over)


@pytest.mark.parametrize(("k", "d"), [(30.0, 8.0), (60.0, 20.0), (100.0, 12.0)])
def test_double_integrator_hunts(k, d):
    """The servo in front of the play, as quick as the step allows, lags by 3 ms: one or two
    hundredths of a radian at these frequencies.
    """
    rotor, loop = quick_rotor(), double_integrator(k, d)
    (cycle,) = cycles_of(loop, rotor, servo_table(rotor, PERIOD_S, 1), 1)
    over, omega = by_hand(k, d)
    assert cycle.lasts
    assert cycle.command_rad == pytest.approx(over * HALF_RAD, rel=0.03)
    assert 2.0 * math.pi * cycle.frequency_hz == pytest.approx(omega, rel=0.03)
    assert cycle.tilt_rad == pytest.approx(cycle.command_rad * abs(play_gain(1.0, over)), rel=0.05)
    # x = u / s^2
    assert cycle.attitude_rad == pytest.approx(cycle.tilt_rad / omega**2, rel=0.05)


def test_windings_count_roots_with_their_sign():
    """(x - 1)(y - 2) pairs: z -> z - z0 turns once forwards, its mirror image once backwards."""
    x, y = np.meshgrid(np.linspace(-3.0, 3.0, 20), np.linspace(-3.0, 3.0, 24), indexing="ij")
    forwards = (x - 0.5) + 1j * (y - 1.1)
    assert windings(forwards).sum() == 1
    assert windings(np.conj(forwards)).sum() == -1
    assert np.abs(windings(forwards)).sum() == 1
    both = (x**2 - 1.0) + 1j * y
    assert sorted(windings(both)[windings(both) != 0]) == [-1, 1]
