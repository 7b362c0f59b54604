"""The linear model of a craft for any gains, quickly: only what the loops read is made anew.

Gains change nothing but what the loops make of the states that they read, so that of the derivative
of the step only those columns are taken anew, from the step itself. All other states of the fabric
are replaced once by a few that are balanced between being moved by the craft and moving it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.analysis.chart import CONTROL, TURNS, Chart
from sim.analysis.linearise import INJECTION, LinearModel, linearise
from sim.analysis.trim import Trim
from sim.analysis.tune_reduce import Truncation, truncated
from sim.flight.start import blank_works
from sim.params.record import FloatArray
from sim.params.state_record import EAST, NORTH
from sim.step.batch import advance_each

READ_GROUPS = ("drift", *TURNS, "sensing", CONTROL)
MOST_KEPT = 40
USUAL_RATE_RAD_S = 0.3
USUAL_ACCELERATION_M_S2 = 0.5
USUAL_THRUST_SHARE = 0.1
FABRIC = "drape"


@final
@dataclass(frozen=True)
class SmallModel:
    """One period of the loops for one set of gains: x(k+1) = a x(k) + b d(k), u(k) = c x(k) + e d.

    Attributes
    ----------
    a : ndarray, shape (n, n)
    b : ndarray, shape (n, 6)
        d is added to the demands.
    c : ndarray, shape (6, n)
        The demands u of the period.
    e : ndarray, shape (6, 6)
    gust : ndarray, shape (n, 3)
        From a gust north, east, down [m/s] held during the period.
    noise : ndarray, shape (n, 9)
        From one standard deviation of gyro, accelerometer and place noise, three axes each.
    period_s : float
        [s]
    """

    a: FloatArray
    b: FloatArray
    c: FloatArray
    e: FloatArray
    gust: FloatArray
    noise: FloatArray
    period_s: float


@final
class TunablePlant:
    """A craft at its hover, whose loops can be given other gains.

    Parameters
    ----------
    trim : Trim
        In still air; the steady flight itself does not depend on gains, but for what integrals
        hold.
    gust_slopes : ndarray, shape (states, 3)
        dx(k+1)/d(gust), earth axes, in the coordinates of the trim's chart.
    most_kept : int
        Of the states of the fabric, see `truncated`.
    """

    def __init__(self, trim: Trim, gust_slopes: FloatArray, most_kept: int = MOST_KEPT) -> None:
        self.trim, self.chart = trim, trim.chart
        self.model: LinearModel = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
        self.truncation: Truncation | None = None
        groups = np.array(self.chart.groups)
        is_demand = np.isin(np.arange(self.chart.size), self.chart.demands)
        is_fabric = groups == FABRIC
        idle = (self.model.a == np.eye(self.chart.size)).all(axis=1)
        self._read = np.flatnonzero(np.isin(groups, READ_GROUPS) & ~is_demand & ~idle)
        rest = np.flatnonzero(~is_fabric & ~is_demand & ~idle)
        self._sensed = _sensed(self.chart)
        self._left, self._right = _selection(rest, self.chart.size)
        if is_fabric.any():
            self._add_fabric(np.flatnonzero(is_fabric), rest, gust_slopes, most_kept)
        self._base = self._left @ self.model.a @ self._right
        self._gust = self._left @ gust_slopes
        self._rows = self.model.a[self.chart.demands] @ self._right
        self._moved = _both_ways(self.chart, trim.state, self._read)

    def _add_fabric(self, fabric: Any, rest: Any, gust_slopes: FloatArray, most_kept: int) -> None:
        """Take the fabric from the moving body's point of view, and keep what counts of it."""
        along = _carried(self.chart, self.trim, fabric)
        size = self.chart.size
        to_own, to_chart = np.eye(size), np.eye(size)
        to_own[fabric] -= along
        to_chart[fabric] += along
        kept = np.concatenate([rest, fabric])
        a = (to_own @ self.model.a @ to_chart)[np.ix_(kept, kept)]
        b = to_own @ np.hstack([self.model.b * _usual(self.trim.crafts[0]), gust_slopes])
        left = right = np.eye(len(fabric))
        if most_kept < len(fabric):
            seen = np.searchsorted(rest, self._read)
            self.truncation = truncated(a, b[kept], seen, len(fabric), most_kept)
            left, right = self.truncation.left, self.truncation.right
        self._left = np.vstack([self._left, left @ to_own[fabric]])
        self._right = np.hstack([to_chart[:, rest], to_chart[:, fabric] @ right])

    def small(self, crafts: Any) -> SmallModel:
        """Give the model for a craft record whose gains may differ, in an array of one."""
        flights, chart = self.trim.flights, self.chart
        ticks = int(crafts[0].control.period_ticks)
        later = self._moved.copy()
        advance_each(crafts, flights, later, blank_works(), ticks)
        apart = chart.difference(later[:1], later)
        count = len(self._read)
        columns = (apart[:, 1 : 1 + count] - apart[:, 1 + count :]) / (
            2.0 * chart.scales[self._read]
        )
        change = columns - self.model.a[:, self._read]
        picked = self._right[self._read]
        b = self._injected(crafts, ticks)
        demands = chart.demands
        noise = self._noise(crafts, columns, b)
        return SmallModel(
            a=self._base + (self._left @ change) @ picked,
            b=self._left @ b,
            c=self._rows + change[demands] @ picked,
            e=b[demands],
            gust=self._gust,
            noise=self._left @ noise,
            period_s=self.model.period_s,
        )

    def _injected(self, crafts: Any, ticks: int) -> FloatArray:
        """Give dx(k+1)/dd(k); only what north and east ask of roll and pitch goes through gains."""
        b, sides = self.model.b.copy(), []
        for axis in (NORTH, EAST):
            for sign in (1.0, -1.0):
                pushed = self.trim.flights.copy()
                pushed["injected"][0, axis] += sign * INJECTION
                sides.append(self.trim.state.copy())
                advance_each(crafts, pushed, sides[-1], blank_works(), ticks)
        apart = self.chart.difference(self.trim.state, np.concatenate(sides))
        for k, axis in enumerate((NORTH, EAST)):
            b[:, axis] = (apart[:, 2 * k] - apart[:, 2 * k + 1]) / (2.0 * INJECTION)
        return b

    def _noise(self, crafts: Any, columns: FloatArray, b: FloatArray) -> FloatArray:
        """Give dx(k+1)/d(noise): what the loops make of a state that they alone see changed."""
        sensing = crafts[0].sensing
        sigma = np.repeat(
            [
                float(sensing.gyro_noise_rad_s),
                float(sensing.accelerometer_noise_m_s2),
                float(sensing.position_noise_m),
            ],
            3,
        )
        where = np.searchsorted(self._read, self._sensed)
        seen = columns[:, where] * sigma
        kept = np.zeros_like(seen)
        memory = _memory(self.chart)
        kept[memory] = seen[memory]
        sent = self.chart.demands[:NORTH]
        plant = ~memory
        kept[plant] = b[plant][:, :NORTH] @ seen[sent]
        return np.asarray(kept, dtype=np.float64)


def _usual(craft: Any) -> FloatArray:
    """Give demands as large as they usually are in flight [N, N m, m/s2]."""
    moments = [float(gains.p_n_m_s) * USUAL_RATE_RAD_S for gains in craft.control.rate]
    thrust = USUAL_THRUST_SHARE * float(craft.mixer.hover_thrust_n)
    return np.array([thrust, *moments, USUAL_ACCELERATION_M_S2, USUAL_ACCELERATION_M_S2])


def _selection(kept: Any, size: int) -> tuple[FloatArray, FloatArray]:
    pick = np.zeros((len(kept), size))
    pick[np.arange(len(kept)), kept] = 1.0
    return pick, pick.T.copy()


def _both_ways(chart: Chart, state: Any, columns: Any) -> Any:
    """Give the state itself, then moved ahead along each column, then back."""
    steps = np.zeros((chart.size, 1 + 2 * len(columns)))
    for k, column in enumerate(columns):
        steps[column, 1 + k] = chart.scales[column]
        steps[column, 1 + len(columns) + k] = -chart.scales[column]
    return chart.moved(state, steps)


def _sensed(chart: Chart) -> Any:
    """Give the coordinates that gyro, accelerometer and place sensor read, three each."""
    rate = chart.attitude + 3
    return np.concatenate([np.arange(rate, rate + 3), np.arange(rate + 3, rate + 6), np.arange(3)])


def _memory(chart: Chart) -> Any:
    """Tell which coordinates belong to sensing, loops and delay, not to what flies."""
    groups = np.array(chart.groups)
    found = np.isin(groups, ("sensing", CONTROL, "delay"))
    force = chart.attitude + 6
    found[force : force + 3] = False
    return found


def _carried(chart: Chart, trim: Trim, fabric: Any) -> FloatArray:
    """Give how places and velocities of the fabric go along with the moving body: (f, states)."""
    body = trim.state["body"][0]
    count = len(fabric) // 6
    places = trim.state["particle"]["position_m"][0, :count] - body["position_m"]
    turn = _rotation(np.asarray(body["attitude"], dtype=np.float64))
    along = np.zeros((len(fabric), chart.size))
    for k, place in enumerate(places):
        arm = turn @ _cross(turn.T @ place).T
        rows = slice(6 * k, 6 * k + 3), slice(6 * k + 3, 6 * k + 6)
        along[rows[0], 0:3] = along[rows[1], 3:6] = np.eye(3)
        along[rows[0], chart.attitude : chart.attitude + 3] = arm
        along[rows[1], chart.attitude + 3 : chart.attitude + 6] = arm
    return along


def _cross(v: FloatArray) -> FloatArray:
    x, y, z = v
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def _rotation(q: FloatArray) -> FloatArray:
    w, x, y, z = q
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )
