"""How gusts differ across a craft: the nine slopes of the gust field, by filters on its span.

MIL-F-8785C gives three of them as rotary gusts for a span b: with x along the wind, y to its right,
z down, the spectra over spatial frequency Omega (one-sided) are

    dw/dx: Omega^2 / (1 + (4 b Omega / pi)^2) Phi_w      (q_g)
    dv/dx: Omega^2 / (1 + (3 b Omega / pi)^2) Phi_v      (r_g)
    dw/dy: 0.8 sigma_w^2 / L_w (pi L_w / 4b)^(1/3) / (1 + (4 b Omega / pi)^2)      (p_g)

Slopes along the wind follow from the gust itself, which the wind carries past (d/dx = -1/V d/dt);
those across it are drawn on their own. The standard stops at these, for aeroplanes. Here du/dx is
made like dw/dx, and du/dy, dv/dy, du/dz, dv/dz like dw/dy with their own sigma and L (an extension
without a source); dw/dz keeps the field free of divergence.

A slope across the wind has a standard deviation of 0.954 sigma L^(-1/3) b^(-2/3): two ends differ
by 0.954 sigma (b/L)^(1/3). Where that is below a tenth of sigma, b below L / 870, the craft is
taken as a point.
"""

from __future__ import annotations

import math
from typing import Final

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.record import FloatArray
from sim.params.wind_record import SlopeRecord

FiveNormals = tuple[float, float, float, float, float]

CROSSWIND_LAG: Final = 4.0 / math.pi
SIDEWAYS_LAG: Final = 3.0 / math.pi
SLOPE_FACTOR: Final = math.sqrt(0.8 * (math.pi / 4.0) ** (1.0 / 3.0) * math.pi**2 / 8.0)
NOTICED: Final = 0.1


def slope_size(sigma_m_s: float, length_m: float) -> float:
    """Give the standard deviation of a slope across the wind times b^(2/3) [m2/3 /s].

    Parameters
    ----------
    sigma_m_s, length_m : float
        [m/s], [m] Of the component; L as in the Dryden spectrum of its kind, that is sigma^2 L / pi
        at Omega = 0 for a component across or vertical and twice that along the wind.
    """
    return float(SLOPE_FACTOR * sigma_m_s / length_m ** (1.0 / 3.0))


def least_span_m(length_m: float) -> float:
    """Give the span [m] whose ends differ by a tenth of sigma, for a length scale [m]."""
    return length_m * (NOTICED / SLOPE_FACTOR) ** 3


@compiled
def followed(slow: float, before: float, now: float, steps: float) -> float:
    """Give a lagged value a period later, for an input that goes straight from before to now.

    `steps` [-] is the period over the time constant.
    """
    kept = math.exp(-steps)
    rest = 1.0 - kept
    return kept * slow + rest * before + (now - before) * (1.0 - rest / steps)


@compiled
def slope_along(now: float, slow: float, lag: float, span_m: float) -> float:
    """Give a gust's slope along the wind [1/s], -(s / V) / (1 + lag b s / V) of the gust [m/s].

    `slow` [m/s] is the gust behind a lag of `lag` b / V.
    """
    return -(now - slow) / (lag * span_m)


@compiled
def advance_slopes(
    slow: FloatArray,
    across: FloatArray,
    slopes: SlopeRecord,
    span_m: float,
    period_s: float,
    before: Vector,
    now: Vector,
    normals: FiveNormals,
) -> None:
    """Move the states of the slopes by a period.

    Parameters
    ----------
    slow : ndarray, shape (3,)
        [m/s] Gust components behind their lags.
    across : ndarray, shape (5,)
        [1/s] du/dy, dv/dy, dw/dy, du/dz, dv/dz.
    slopes : SlopeRecord
    span_m, period_s : float
        [m], [s]
    before, now : Vector
        [m/s] Gust along the wind, to its right, down.
    normals : FiveNormals
        [1] Five independent standard normal numbers.
    """
    steps = period_s * slopes.speed_m_s / span_m
    for i in range(3):
        lag = SIDEWAYS_LAG if i == 1 else CROSSWIND_LAG
        slow[i] = followed(slow[i], before[i], now[i], steps / lag)
    kept = math.exp(-steps / CROSSWIND_LAG)
    noise = math.sqrt(1.0 - kept * kept) / span_m ** (2.0 / 3.0)
    for i in range(5):
        across[i] = kept * across[i] + noise * slopes.strength[i % 3] * normals[i]


@compiled
def first_slopes(
    slow: FloatArray,
    across: FloatArray,
    slopes: SlopeRecord,
    span_m: float,
    now: Vector,
    normals: FiveNormals,
) -> None:
    """Draw the slopes across the wind from their stationary distribution; none along it yet."""
    size = 1.0 / span_m ** (2.0 / 3.0)
    for i in range(3):
        slow[i] = now[i]
    for i in range(5):
        across[i] = size * slopes.strength[i % 3] * normals[i]


@compiled
def write_slopes(
    target: FloatArray, now: Vector, slow: FloatArray, across: FloatArray, span_m: float
) -> None:
    """Write the nine slopes [1/s] of the gust, shape (3, 3), component by direction, wind axes."""
    for i in range(3):
        lag = SIDEWAYS_LAG if i == 1 else CROSSWIND_LAG
        target[i, 0] = slope_along(now[i], slow[i], lag, span_m)
        target[i, 1] = across[i]
    target[0, 2] = across[3]
    target[1, 2] = across[4]
    target[2, 2] = -(target[0, 0] + target[1, 1])
