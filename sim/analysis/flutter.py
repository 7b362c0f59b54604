"""Fabric that flutters by itself in a wind, and the damping that stands for its limited swing.

In wind, light fabric has a steady shape at which it does not stay: small motions of it grow until
something bounds them. At the swing that it ends with it neither gains nor loses, as if it were
damped just enough; and another, small and unrelated motion meets twice that damping, if what bounds
the swing goes with its cube (dual-input describing function of a cubic law: A. Gelb and W. E.
Vander Velde, Multiple-Input Describing Functions and Nonlinear System Design, 1968; 3/2 k A^2
against 3/4 k A^2). So twice the least damping that stops the flutter stands for it in the linear
model: between each particle and the point of the craft that would move with it, equal and opposite,
at the same rate for all. That is a model, not a measurement.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final, final

import numpy as np

from sim.analysis.linear_loop import NEUTRAL_RATE_1_S, continuous_roots
from sim.analysis.linearise import LinearModel
from sim.analysis.trim import Trim
from sim.numerics.quaternion import write_rotation
from sim.params.record import FloatArray

FABRIC: Final = "drape"
MOST_DAMPING_1_S: Final = 64.0
SEARCH_STEPS: Final = 8
FOR_SMALL_MOTIONS: Final = 2.0
"""Damping that a small motion meets, over that which just stops the flutter."""
_BODY_SPEED: Final = 3
_PARTICLE: Final = 6


@final
@dataclass(frozen=True)
class Flutter:
    """What a steady shape of the fabric does when it is let go, with the craft held.

    Attributes
    ----------
    motions : int
        How many of its motions grow.
    growth_1_s : float
        [1/s] Of the fastest.
    frequency_hz : float
        [Hz] Of the fastest.
    damping_1_s : float
        [1/s] Added to the fabric in the linear model.
    """

    motions: int
    growth_1_s: float
    frequency_hz: float
    damping_1_s: float


def with_flutter_damped(model: LinearModel, trim: Trim) -> tuple[LinearModel, Flutter | None]:
    """Give the linear model with the flutter of the fabric taken out, and what it was.

    Whether the fabric flutters is judged with the craft held, so that a motion that craft and loops
    drive is not taken for flutter.

    Parameters
    ----------
    model : LinearModel
        At the trim.
    trim : Trim
    """
    fabric = np.array([group == FABRIC for group in model.chart.groups])
    if not fabric.any():
        return model, None
    held = model.a[np.ix_(fabric, fabric)]
    roots = continuous_roots(np.linalg.eigvals(held).astype(np.complex128), model.period_s)
    growing = roots[roots.real > NEUTRAL_RATE_1_S]
    if not growing.size:
        return model, None
    fastest = growing[int(np.argmax(growing.real))]
    exchange = damping_matrix(model, trim)
    least = _least_damping(held, exchange[np.ix_(fabric, fabric)], model.period_s)
    rate = FOR_SMALL_MOTIONS * least
    flutter = Flutter(
        motions=int(np.count_nonzero(growing.imag >= 0.0)),
        growth_1_s=float(fastest.real),
        frequency_hz=float(abs(fastest.imag)) / (2.0 * np.pi),
        damping_1_s=rate,
    )
    damped = _damped(model.a, exchange, model.period_s, rate)
    slowed = _damped(model.b, exchange, model.period_s, rate)
    return replace(model, a=damped, b=slowed), flutter


def damping_matrix(model: LinearModel, trim: Trim) -> FloatArray:
    """Give the rates at which unit damping between fabric and craft changes every coordinate.

    With v the velocity of a particle, V and w those of the craft and r the particle's place from
    the CG, dv/dt = -u, u = v - V - w x r, and the craft takes up what the particles lose:
    M dV/dt = sum m u, J dw/dt = sum r x m u.

    Parameters
    ----------
    model : LinearModel
    trim : Trim

    Returns
    -------
    ndarray, shape (states, states)
        [-] Times a rate [1/s]; momentum and angular momentum stay as they are.
    """
    chart, craft, state = model.chart, trim.crafts[0], trim.state[0]
    rotation = np.empty((3, 3))
    write_rotation(state.body.attitude, rotation)
    first = chart.groups.index(FABRIC)
    speed = np.arange(_BODY_SPEED, _BODY_SPEED + 3)
    turning = np.arange(chart.attitude + 3, chart.attitude + 6)
    masses = moved_masses_kg(craft)
    exchange = np.zeros((chart.size, chart.size))
    for k, mass in enumerate(masses):
        mine = first + _PARTICLE * k + 3 + np.arange(3)
        arm = state.particle[k].position_m - state.body.position_m
        # u as a row of coordinates: v - V - R w x r, and R w x r = -[r] R w.
        slip = np.zeros((3, chart.size))
        slip[:, mine] = np.eye(3)
        slip[:, speed] = -np.eye(3)
        slip[:, turning] = _cross_matrix(arm) @ rotation
        exchange[mine] -= slip
        exchange[speed] += mass / float(craft.mass_kg) * slip
        moment = rotation.T @ _cross_matrix(arm) @ slip
        exchange[turning] += mass * craft.inertia_inverse @ moment
    return exchange


def moved_masses_kg(craft: Any) -> FloatArray:
    """Give the mass [kg] of every fabric particle with the air it carries along."""
    drape = craft.drape
    nodes = drape.panel.node[: int(drape.panel_count)]
    masses: FloatArray = 1.0 / drape.node.per_moved_mass_1_kg[nodes]
    return masses


def _cross_matrix(arm: FloatArray) -> FloatArray:
    """Give [r] with [r] x = r x x."""
    x, y, z = arm
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def _damped(matrix: FloatArray, exchange: FloatArray, period_s: float, rate: float) -> FloatArray:
    """Let damping of a rate [1/s] act at the end of each period on what a matrix gives."""
    change: FloatArray = matrix - np.expm1(-rate * period_s) * (exchange @ matrix)
    return change


def _least_damping(matrix: FloatArray, exchange: FloatArray, period_s: float) -> float:
    """Give the least rate [1/s] with which no root grows; the greatest tried if none does."""

    def grows(rate: float) -> bool:
        roots = np.linalg.eigvals(_damped(matrix, exchange, period_s, rate))
        rates = continuous_roots(roots.astype(np.complex128), period_s).real
        return bool(np.any(rates > NEUTRAL_RATE_1_S))

    low, high = 0.0, MOST_DAMPING_1_S
    if grows(high):
        return high
    for _ in range(SEARCH_STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if grows(middle) else (low, middle)
    return high
