"""The linear model: the derivative of the step itself at a state, by central differences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.analysis.chart import Chart
from sim.errors import NotLinear
from sim.flight.start import blank_works
from sim.params.record import FloatArray
from sim.params.state_record import DEMANDS
from sim.step.batch import advance_each

AGREEMENT = 1e-3
INJECTION = 1e-4


@final
@dataclass(frozen=True)
class LinearModel:
    """One period of the loops, linear about a state: x(k+1) = A x(k) + B d(k).

    d is added to the demands after they are read; the demands of a period are rows of x(k+1).

    Attributes
    ----------
    a : ndarray, shape (states, states)
    b : ndarray, shape (states, 6)
        Columns: thrust, roll, pitch, yaw, north, east.
    period_s : float
        [s]
    chart : Chart
        What the states are.
    disagreement : float
        [-] Between two difference sizes, relative to the largest entry of each column.
    """

    a: FloatArray
    b: FloatArray
    period_s: float
    chart: Chart
    disagreement: float


def advanced(crafts: Any, flights: Any, states: Any) -> Any:
    """Give states one loop period later (a copy); one craft and flight record for all."""
    later = states.copy()
    advance_each(crafts, flights, later, blank_works(), int(crafts[0].control.period_ticks))
    return later


def derivative(crafts: Any, flights: Any, state: Any, chart: Chart, scale: float) -> FloatArray:
    """Give dx(k+1)/dx(k), shape (states, states), with differences of `scale` times the chart's."""
    steps = np.diag(chart.scales * scale)
    ahead = advanced(crafts, flights, chart.moved(state, steps))
    behind = advanced(crafts, flights, chart.moved(state, -steps))
    centre = advanced(crafts, flights, state)
    apart = chart.difference(centre, ahead) - chart.difference(centre, behind)
    slope: FloatArray = apart / (2.0 * chart.scales * scale)
    return slope


def input_derivative(crafts: Any, flights: Any, state: Any, chart: Chart) -> FloatArray:
    """Give dx(k+1)/dd(k), shape (states, 6), for additions to the demands."""
    columns = np.zeros((chart.size, DEMANDS))
    centre = advanced(crafts, flights, state)
    for axis in range(DEMANDS):
        sides = []
        for sign in (1.0, -1.0):
            pushed = flights.copy()
            pushed["injected"][0, axis] += sign * INJECTION
            sides.append(chart.difference(centre, advanced(crafts, pushed, state))[:, 0])
        columns[:, axis] = (sides[0] - sides[1]) / (2.0 * INJECTION)
    return columns


def linearise(crafts: Any, flights: Any, state: Any, chart: Chart) -> LinearModel:
    """Differentiate one loop period at a state.

    Parameters
    ----------
    crafts, flights, state : ndarray of one record each
        The state must be at the start of a period.
    chart : Chart
        Coordinates of the state.

    Raises
    ------
    NotLinear
        If differences of two sizes disagree: the state sits near a kink (a limit, a thread that is
        just taut). A kink exactly at the state is not seen: both sizes give the mean of its slopes.
    """
    coarse = derivative(crafts, flights, state, chart, 1.0)
    fine = derivative(crafts, flights, state, chart, 0.5)
    size = np.maximum(np.abs(fine).max(axis=0), 1.0)
    apart = np.abs(coarse - fine).max(axis=0) / size
    worst = int(np.argmax(apart))
    if not apart[worst] <= AGREEMENT:
        raise NotLinear(chart.groups[worst], float(apart[worst]), AGREEMENT)
    b = input_derivative(crafts, flights, state, chart)
    period_s = float(flights[0].step_s) * int(crafts[0].control.period_ticks)
    return LinearModel(fine, b, period_s, chart, float(apart[worst]))
