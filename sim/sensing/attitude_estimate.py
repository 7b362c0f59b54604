"""Attitude from gyro and accelerometer: integrate the one, lean slowly on the other."""

from __future__ import annotations

import math

from sim.numerics.angle import wrapped
from sim.numerics.compile import compiled
from sim.numerics.vector import Vector

LEAST_COSINE = 0.1


@compiled
def euler_rates(angles: Vector, rate: Vector) -> Vector:
    """Give the rates [rad/s] of roll, pitch, heading [rad] for a body rate [rad/s] (ISO 1151-1).

    The cosine of the pitch is held above 0.1, since flights end long before.
    """
    sine, cosine = math.sin(angles[0]), math.cos(angles[0])
    across = rate[1] * sine + rate[2] * cosine
    level = math.cos(angles[1])
    if abs(level) < LEAST_COSINE:
        level = LEAST_COSINE
    return (
        rate[0] + across * math.sin(angles[1]) / level,
        rate[1] * cosine - rate[2] * sine,
        across / level,
    )


@compiled
def felt_angles(felt: Vector) -> tuple[float, float]:
    """Give roll and pitch [rad] from a specific force [m/s2], taking it for gravity alone.

    True at rest and in steady flight; wrong while the craft speeds up, as real ones are. Level when
    nothing is felt at all: 0 - x gives a zero without a sign, of which -x would make half a turn.
    """
    return (
        math.atan2(0.0 - felt[1], 0.0 - felt[2]),
        math.atan2(felt[0], math.sqrt(felt[1] * felt[1] + felt[2] * felt[2]) + 1e-9),
    )


@compiled
def corrected_angles(
    angles: Vector, rate: Vector, felt: Vector, heading: float, correction: float, period_s: float
) -> Vector:
    """Give roll, pitch, heading [rad] one run [s] later (complementary filter, Mahony 2008 eq. 10).

    `correction` [1/s] is the inverse of the filter's time constant; `heading` [rad] stands for a
    compass without error.
    """
    slope = euler_rates(angles, rate)
    roll, pitch = felt_angles(felt)
    return (
        angles[0] + period_s * (slope[0] + correction * wrapped(roll - angles[0])),
        angles[1] + period_s * (slope[1] + correction * (pitch - angles[1])),
        angles[2] + period_s * (slope[2] + correction * wrapped(heading - angles[2])),
    )
