"""Delay margins and flights agree: for each axis alone, and for all that is sent out together.

A delay of whole runs of the loops is flown exactly: by holding back one demand, or by the craft's
own delay line. The motion that is about to be lost is that of the root z of 1 + L(z) z^-r = 0 near
the edge of stability, r being the runs of delay added; it is flown and its growth fitted to what is
seen in the flight alone.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import newton

from sim.analysis.loop_breaks import AXES, SENT_AXES, axis_loop, loops_together
from sim.flight.run import fly
from sim.flight.start import blank_works
from sim.params.state_record import MAX_DELAY_RUNS
from sim.params.tally_record import Stop
from sim.step.batch import advance_each

STABLE_CRAFT = (
    "bare_bicopter",
    "jellyfish_bicopter",
    "jellyfish_tricopter",
    "heron_tricopter",
    "jellyfish_little_wind",
)
SHARES = (0.95, 1.05)
# See the test of the gain margins.
SMALL = 1e-5
CYCLES = 2.5
SAMPLES_PER_CYCLE = 40
KICKED_S = 10.0


def whole_runs(runs, share):
    """Give whole runs of delay at least as far from the margin as the share says."""
    return math.floor(share * runs) if share < 1.0 else math.ceil(share * runs)


def root_with_delay(case, loop, runs, frequency_rad_s):
    """Give the root s [1/s] near a frequency, the states that move with it and its demand.

    With d = (z^-r - 1) u the loop u = H d closes where (z^-r - 1) H(z) = 1; x = (z I - A)^-1 b d.
    """
    period = case.model.period_s
    unit = np.eye(len(case.model.a))

    def states(s):
        z = np.exp(s * period)
        return np.linalg.solve(z * unit - case.model.a, loop.inject)

    def closed(s):
        return loop.measure @ states(s) + loop.direct

    root = newton(
        lambda s: (np.exp(-s * period * runs) - 1.0) * closed(s) - 1.0,
        1j * frequency_rad_s,
        x1=1j * frequency_rad_s * 1.001,
        tol=1e-9,
    )
    return root, states(root), closed(root)


def flown_with_delay(case, axis, runs, start, earlier, count):
    """Fly with one axis' demand held back by whole runs of the loops; give the demand by run.

    Each run is made twice: once to see the demand u(k), then again from the same state with
    u(k - runs) - u(k) added to it, so that the mixer is given u(k - runs) on this axis alone.
    `earlier` are the demands of the runs before the start.
    """
    craft, flight, state, works = case.craft, case.flight, start.copy(), blank_works()
    column, ticks = AXES[axis], int(craft["control"]["period_ticks"][0])
    seen = np.concatenate([earlier, np.full(count, float("nan"))])
    ahead = state.copy()
    for k in range(runs, len(seen)):
        ahead[:] = state
        flight["injected"] = 0.0
        advance_each(craft, flight, ahead, works, 1)
        seen[k] = ahead["control"]["demand"][0, column]
        flight["injected"][0, column] = seen[k - runs] - seen[k]
        advance_each(craft, flight, state, works, ticks)
    return seen[runs:]


def fitted_root(signal, interval_s):
    """Give the root [1/s] of the damped oscillation about a mean that a signal is.

    u(t + 2 h) = 2 Re(z) u(t + h) - |z|^2 u(t) + c with z = exp(s h), by least squares; h is a
    quarter of a cycle, where the three are most unlike.
    """
    lag = SAMPLES_PER_CYCLE // 4
    first, middle, last = signal[: -2 * lag], signal[lag:-lag], signal[2 * lag :]
    table = np.stack([middle, first, np.full(len(first), np.abs(signal).max())], axis=1)
    twice_real, minus_square, _ = np.linalg.lstsq(table, last, rcond=None)[0]
    z = complex(0.5 * twice_real, math.sqrt(-minus_square - 0.25 * twice_real**2))
    return np.log(z) / (lag * interval_s)


@pytest.mark.parametrize("axis", list(AXES))
@pytest.mark.parametrize("name", STABLE_CRAFT)
def test_flights_stay_below_and_grow_above_the_delay_margin(hover, name, axis):
    """Growth within 1 % of the distance of the root from zero, which the sign stands well above."""
    case = hover(name)
    loop = axis_loop(case.model, case.closed, axis)
    margin = case.margins[axis].delay_s
    period = case.model.period_s
    steady = float(case.trim.state["control"]["demand"][0, AXES[axis]])
    for share in SHARES:
        runs = whole_runs(margin.value / period, share)
        root, states, demand = root_with_delay(case, loop, runs, margin.frequency_rad_s)
        assert abs(root.imag - margin.frequency_rad_s) < 0.1 * margin.frequency_rad_s
        moving = [n for n, group in enumerate(case.trim.chart.groups) if group != "control"]
        size = SMALL / np.abs(states[moving].real).max()
        start = case.trim.chart.moved(case.trim.state, (size * states.real)[:, None])
        ago = np.arange(-runs, 0)
        earlier = steady + size * (demand * np.exp(root * period * ago)).real
        count = round(CYCLES * 2.0 * np.pi / root.imag / period)
        seen = flown_with_delay(case, axis, runs, start, earlier, count) - steady
        every = max(round(2.0 * np.pi / root.imag / SAMPLES_PER_CYCLE / period), 1)
        found = fitted_root(seen[::every], every * period)
        assert (found.real > 0.0) == (share > 1.0)
        assert abs(found - root) < 0.01 * abs(root)
        assert (root.real > 0.0) == (share > 1.0)


@pytest.mark.parametrize("name", STABLE_CRAFT)
def test_a_kicked_flight_stays_below_and_grows_above_the_delay_margin_of_all(hover, name):
    """The craft's own delay line made longer: thrust and moments come late together. A body rate
    about every axis at once starts it.
    """
    case = hover(name)
    margin = loops_together(case.model, case.closed, SENT_AXES).delay()
    own = int(case.craft["control"]["delay_runs"][0])
    for share in SHARES:
        craft, flight = case.craft, case.flight
        runs = own + whole_runs(margin.value / case.model.period_s, share)
        assert runs < MAX_DELAY_RUNS
        craft["control"]["delay_runs"] = runs
        flight["duration_s"] = KICKED_S
        flown = []
        for kick in (SMALL, 0.0):
            start = case.start
            start["control"]["delayed"][:] = start["control"]["delayed"][:, :1]
            start["body"]["rate_rad_s"][0] += kick
            left = fly(craft[0], flight[0], start, every_s=case.model.period_s)
            assert left.stop == Stop.TIME
            flown.append(
                np.stack([left.channel(f"{axis}_rate") for axis in ("roll", "pitch", "yaw")])
            )
        apart = flown[0] - flown[1]
        third = apart.shape[1] // 3
        growth = np.abs(apart[:, -third:]).max() / np.abs(apart[:, third : 2 * third]).max()
        assert (growth > 1.0) == (share > 1.0)
