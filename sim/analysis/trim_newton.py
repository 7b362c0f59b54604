"""Newton's method on the state one loop period later: steady flights near one that is guessed.

Pseudo-transient continuation (Kelley and Keyes 1998): implicit Euler in a pseudo-time whose step
grows as the residual falls, so that it starts as a well-damped flight and ends as Newton's method.
It finds steady flights that are unstable as well. From a flight that is like the one wanted, full
steps from the start are quicker and reach farther.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, final

import numpy as np
from scipy.linalg import LinAlgError, lu_factor, lu_solve

from sim.analysis.chart import Chart, chart_of
from sim.analysis.linearise import advanced, derivative
from sim.analysis.trim_start import hung_along
from sim.errors import NoTrim
from sim.params.record import FloatArray

ROUNDS = 60
CONVERGED = 1e-9
FIRST_PSEUDO_PERIODS = 100.0
NEAR_PSEUDO_PERIODS = 1e6
MOST_PSEUDO_PERIODS = 1e12
MOST_GROWTH = 4.0
FULL_ROUNDS = 20
FREE_ROUNDS = 8
LEAST_SHRINKAGE = 0.5
CHARGE_STEP = 0.25
NEAR = 0.3


@final
@dataclass(frozen=True)
class Trim:
    """A steady flight.

    Attributes
    ----------
    state : ndarray of one state record
        At the start of a loop period.
    chart : Chart
        Coordinates of the state.
    residual : float
        [-] Largest change of a coordinate over one loop period, in SI units.
    rounds : int
        Newton rounds used.
    crafts, flights : ndarray of one record each
        What the state is steady for: play and deadband closed, noise off, charge kept.
    """

    state: Any
    chart: Chart
    residual: float
    rounds: int
    crafts: Any
    flights: Any


def charged(state: Any, charge: float) -> Any:
    """Give a copy of a state with the pack at a charge."""
    copied = state.copy()
    copied["charge"] = charge
    return copied


def newton_step(slope: FloatArray, residual: FloatArray, pseudo: float) -> FloatArray:
    """Solve (I / pseudo + I - A) step = residual, a handful of rows of nothing left alone."""
    size = len(residual)
    matrix = np.eye(size) * (1.0 + 1.0 / pseudo) - slope
    try:
        step: FloatArray = lu_solve(lu_factor(matrix), residual)
    except (LinAlgError, ValueError) as error:
        reason = "the step's derivative is singular or not finite; there is no steady flight nearby"
        raise NoTrim(reason) from error
    return step


def is_there(trim: Trim) -> bool:
    """Tell whether a steady flight is at the place asked for, not off it with an integral full."""
    apart = trim.state[0].body.position_m - trim.flights[0].command[0].place_m
    return bool(np.all(np.abs(apart) < NEAR))


def size_of(residual: FloatArray) -> float:
    """Give the length of a residual; inf where a step has run away beyond what a number holds."""
    with np.errstate(over="ignore"):
        return float(np.linalg.norm(residual))


def search(
    crafts: Any, flights: Any, state: Any, pseudo: float = FIRST_PSEUDO_PERIODS
) -> Trim | None:
    """Search a steady flight from a state; None when the search does not converge."""
    chart = chart_of(crafts[0])
    state["tick"] = 0
    residual = chart.difference(state, advanced(crafts, flights, state))[:, 0]
    size = size_of(residual)
    for rounds in range(1, ROUNDS + 1):
        if not math.isfinite(size):
            return None
        found = Trim(state, chart, float(np.abs(residual).max()), rounds, crafts, flights)
        if found.residual < CONVERGED:
            return found if is_there(found) else None
        slope = derivative(crafts, flights, state, chart, 0.5)
        step = newton_step(slope, residual, pseudo)
        moved = chart.moved(state, step[:, None])
        moved["tick"] = 0
        new = chart.difference(moved, advanced(crafts, flights, moved))[:, 0]
        new_size = size_of(new)
        if math.isfinite(new_size) and new_size < MOST_GROWTH * size:
            faster = min(max(size / new_size, 0.5) * 1.5, 20.0)
            pseudo = min(pseudo * faster, MOST_PSEUDO_PERIODS)
            state, residual, size = moved, new, new_size
        else:
            pseudo *= 0.2
    return None


def search_fully(crafts: Any, flights: Any, state: Any) -> Trim | None:
    """Search from near a steady flight by Newton's full steps; None when they do not settle.

    A craft that leans swings all its fabric. Brought back to the end of its threads after every
    step, that is no longer far off, although the first steps may look so.
    """
    chart = chart_of(crafts[0])
    state["tick"] = 0
    size, pseudo = math.inf, NEAR_PSEUDO_PERIODS
    for rounds in range(1, FULL_ROUNDS + 1):
        residual = chart.difference(state, advanced(crafts, flights, state))[:, 0]
        new_size = size_of(residual)
        if not math.isfinite(new_size):
            return None
        found = Trim(state, chart, float(np.abs(residual).max()), rounds, crafts, flights)
        if found.residual < CONVERGED:
            return found if is_there(found) else None
        if rounds > FREE_ROUNDS and new_size > LEAST_SHRINKAGE * size:
            return None
        step = newton_step(derivative(crafts, flights, state, chart, 0.5), residual, pseudo)
        moved = chart.moved(state, step[:, None])
        hung_along(crafts, state, moved, step[chart.attitude : chart.attitude + 3])
        moved["tick"] = 0
        state, size = moved, new_size
        pseudo = min(MOST_GROWTH * pseudo, MOST_PSEUDO_PERIODS)
    return None


def search_down(
    crafts: Any, flights: Any, state: Any, charge: float, *, is_patient: bool = True
) -> Trim | None:
    """Search from a steady flight with another charge, a part of the way at a time.

    With much less voltage at once the motors would be pushed by their rotors and give no torque,
    whatever the throttle, so that there would be no slope to follow. A patient search damps its
    steps where full ones do not settle.
    """
    other = float(state["charge"][0])
    parts = max(math.ceil(abs(other - charge) / CHARGE_STEP), 1)
    found = None
    for part in range(1, parts + 1):
        here = charged(state, other + (charge - other) * part / parts)
        found = search_fully(crafts, flights, here.copy())
        if found is None and is_patient:
            found = search(crafts, flights, here, NEAR_PSEUDO_PERIODS)
        if found is None:
            return None
        state = found.state
    return found
