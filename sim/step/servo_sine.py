"""A tilt servo driven by a sine: what share of it, how late, comes out at the rotor."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.numerics.compile import compiled
from sim.params.craft_record import RotorRecord
from sim.params.record import FloatArray
from sim.physics.body.tilt_servo import servo_step, through_play

SETTLED_S = 0.5
SAME = 1e-3
MOST_CYCLES = 16


@compiled
def answered_harmonic(
    rotor: RotorRecord,
    amplitude_rad: float,
    periods: int,
    harmonic: int,
    step_s: float,
    period_ticks: int,
) -> tuple[float, float, float]:
    """Give in-phase and leading share of a harmonic of the answer, and of steps that slew.

    The command A sin(2 pi k / n) of loop period k is held for that period, as the loops hold it.
    The answer is what the airframe feels in that period: the mean of the rotor's angle at the start
    of its steps. Cycles are driven until one is like the one before to a thousandth.

    Parameters
    ----------
    rotor : record
    amplitude_rad : float
        [rad] A.
    periods : int
        [-] n, loop periods in one cycle.
    harmonic : int
        [-] 1 for the describing function.
    step_s : float
        [s]
    period_ticks : int
        [-] Steps in one loop period.
    """
    turn = 2.0 * math.pi / periods
    ticks = float(periods * period_ticks)
    share = 2.0 / (ticks * amplitude_rad)
    angle, rate, tilt = 0.0, 0.0, 0.0
    sine, cosine, slewed = 0.0, 0.0, 0.0
    for cycle in range(MOST_CYCLES):
        sine_before, cosine_before = sine, cosine
        sine, cosine, slewed = 0.0, 0.0, 0.0
        for k in range(periods):
            phase = turn * k
            command = amplitude_rad * math.sin(phase)
            felt = 0.0
            for _ in range(period_ticks):
                felt += tilt
                angle, rate, slewing = servo_step(rotor, angle, rate, command, step_s)
                tilt = through_play(tilt, angle, rotor.servo_slop_rad)
                slewed += slewing
            sine += share * felt * math.sin(harmonic * phase)
            cosine += share * felt * math.cos(harmonic * phase)
        change = abs(sine - sine_before) + abs(cosine - cosine_before)
        if change < SAME and (cycle + 1) * ticks * step_s > SETTLED_S:
            break
    return sine, cosine, slewed / ticks


@compiled
def first_harmonics(
    rotor: RotorRecord,
    amplitudes_rad: FloatArray,
    periods: NDArray[np.int64],
    step_s: float,
    period_ticks: int,
    table: FloatArray,
) -> None:
    """Write the first harmonic for each amplitude and cycle length, shape (amplitudes, cycles, 3).

    `periods` are the loop periods [-] in a cycle.
    """
    for a in range(amplitudes_rad.size):
        for c in range(periods.size):
            table[a, c, 0], table[a, c, 1], table[a, c, 2] = answered_harmonic(
                rotor, amplitudes_rad[a], periods[c], 1, step_s, period_ticks
            )
