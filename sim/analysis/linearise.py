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
SAME_SIDES = 2e-2
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
    one_sided : float
        [-] Likewise between slopes ahead and behind, without what curvature makes of them.
    """

    a: FloatArray
    b: FloatArray
    period_s: float
    chart: Chart
    disagreement: float
    one_sided: float


def advanced(crafts: Any, flights: Any, states: Any) -> Any:
    """Give states one loop period later (a copy); one craft and flight record for all."""
    later = states.copy()
    advance_each(crafts, flights, later, blank_works(), int(crafts[0].control.period_ticks))
    return later


def differences(
    crafts: Any, flights: Any, state: Any, chart: Chart, scale: float
) -> tuple[FloatArray, FloatArray]:
    """Give dx(k+1)/dx(k), shape (states, states), with differences of `scale` times the chart's.

    The slope is that of both sides together; beside it stands by how much the slope ahead is above
    the slope behind, likewise for each entry.
    """
    steps = np.diag(chart.scales * scale)
    ahead = advanced(crafts, flights, chart.moved(state, steps))
    behind = advanced(crafts, flights, chart.moved(state, -steps))
    centre = advanced(crafts, flights, state)
    forward, back = chart.difference(centre, ahead), -chart.difference(centre, behind)
    size = chart.scales * scale
    return (forward + back) / (2.0 * size), (forward - back) / size


def derivative(crafts: Any, flights: Any, state: Any, chart: Chart, scale: float) -> FloatArray:
    """Give the slopes of `differences` alone."""
    return differences(crafts, flights, state, chart, scale)[0]


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
        If differences of two sizes disagree, or those ahead and behind: the state sits near or on a
        kink (a limit, a stop, a thread that is just taut).
    """
    coarse, wide = differences(crafts, flights, state, chart, 1.0)
    fine, narrow = differences(crafts, flights, state, chart, 0.5)
    size = np.maximum(np.abs(fine).max(axis=0), 1.0)
    apart = np.abs(coarse - fine).max(axis=0) / size
    # What curvature makes of the sides halves with the step; what a kink makes stays.
    kink = np.abs(2.0 * narrow - wide).max(axis=0) / size
    for seen, allowed in ((apart, AGREEMENT), (kink, SAME_SIDES)):
        worst = int(np.argmax(seen))
        if not seen[worst] <= allowed:
            raise NotLinear(chart.groups[worst], float(seen[worst]), allowed)
    b = input_derivative(crafts, flights, state, chart)
    period_s = float(flights[0].step_s) * int(crafts[0].control.period_ticks)
    return LinearModel(fine, b, period_s, chart, float(apart.max()), float(kink.max()))
