"""Margins and flights agree: what the margins say a loop bears, flights of the same step bear.

A gain margin k* says that the closed loop has a pair of roots on the edge of stability when the
loop's demand u is multiplied by k*. So with 0.95 k* a disturbed flight must come to rest and with
1.05 k* it must grow (the other way round for a margin below 1). The flights are real ones, through
the same function as every other flight; the linear model only says what to expect. The rate of
growth is fitted to the flight alone and compared with the root of the linear model at that gain.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.linalg

from sim.analysis.linear_loop import continuous_roots
from sim.analysis.loop_breaks import ATTITUDE_AXES, AXES, axis_loop
from sim.flight.run import fly
from sim.params.tally_record import Stop

STABLE_CRAFT = (
    "bare_bicopter",
    "jellyfish_bicopter",
    "jellyfish_tricopter",
    "heron_tricopter",
    "jellyfish_little_wind",
)
UNSTABLE_CRAFT = ("jellyfish_unstable_gains", "jellyfish_head_too_high")
# What is read in a flight to see one axis move, and the body's own motion that starts it.
SEEN = {
    "height": "demand_thrust",
    "roll": "demand_roll",
    "pitch": "demand_pitch",
    "yaw": "demand_yaw",
    "north": "velocity_north",
    "east": "velocity_east",
}
# The largest disturbance, in metres, radians and their rates: a twenty-thousandth of the swing at
# which the fabric's drag is made linear, so that what is not linear stays below 1e-4 of it.
SMALL = 1e-5
NOT_LINEAR = 1e-4
CYCLES = 3.0
SHARES = (0.95, 1.05)
FOLLOWING = 8
KICKED_SHARES = (0.9, 1.1)
SAMPLES_PER_CYCLE = 40
OPEN = 1e-3


def at_gain(case, axis, factor):
    """Give craft and flight whose loop's demand is multiplied by a factor about its steady value.

    The steady demand u0 itself (thrust, mostly) must stay: the mixer is given factor u - (factor -
    1) u0, which is the loop broken at u with d = (factor - 1) (u - u0).
    """
    craft, flight = case.craft, case.flight
    column = AXES[axis]
    craft["control"]["loop_factor"][0, column] = factor
    steady = float(case.trim.state["control"]["demand"][0, column])
    flight["injected"][0, column] = -(factor - 1.0) * steady
    return craft, flight


def roots_at_gain(case, axis, factor):
    """Give the continuous roots [1/s] of the linear model at a gain, and its transition matrix."""
    loop = axis_loop(case.model, case.closed, axis)
    share = (factor - 1.0) / (1.0 - (factor - 1.0) * loop.direct)
    changed = case.model.a + share * np.outer(loop.inject, loop.measure)
    return continuous_roots(loop.roots_at_gain(factor), case.model.period_s), changed


def motion_of_root(changed, root, period_s):
    """Give the real part of the eigenvector of a root, by inverse iteration."""
    factored = scipy.linalg.lu_factor(
        changed - (np.exp(root * period_s) + 1e-9) * np.eye(len(changed))
    )
    vector = np.ones(len(changed), dtype=complex)
    for _ in range(4):
        vector = scipy.linalg.lu_solve(factored, vector)
        vector /= np.abs(vector).max()
    return vector.real


def started(case, steps):
    """Give the steady state moved by steps whose largest body or fabric motion is SMALL."""
    moving = [n for n, group in enumerate(case.trim.chart.groups) if group != "control"]
    size = np.abs(steps[moving]).max()
    return case.trim.chart.moved(case.trim.state, (SMALL / size * steps)[:, None])


def flown(craft, flight, start, duration_s, every_s):
    """Fly and give the whole flight; it must last."""
    flight["duration_s"] = duration_s
    result = fly(craft[0], flight[0], start, every_s=every_s)
    assert result.stop == Stop.TIME
    return result


def disturbed(case, craft, flight, start, *, axis, duration_s, every_s):
    """Give how an axis moves in a disturbed flight, against the same flight left alone."""
    moved = flown(craft, flight, start, duration_s, every_s).channel(SEEN[axis])
    alone = flown(craft, flight, case.trim.state, duration_s, every_s).channel(SEEN[axis])
    return moved - alone


def fitted_root(signal, interval_s):
    """Give the root [1/s] of the damped oscillation that a signal is, by linear prediction.

    u(t + 2 h) = 2 Re(z) u(t + h) - |z|^2 u(t) with z = exp(s h), by least squares; h is a quarter
    of a cycle, where the three are most unlike.
    """
    lag = SAMPLES_PER_CYCLE // 4
    table = np.stack([signal[lag:-lag], signal[: -2 * lag]], axis=1)
    twice_real, minus_square = np.linalg.lstsq(table, signal[2 * lag :], rcond=None)[0]
    z = complex(0.5 * twice_real, math.sqrt(-minus_square - 0.25 * twice_real**2))
    return np.log(z) / (lag * interval_s)


def margins_to_fly(margins):
    """Give (factor, frequency) of the gain margins, up and down, that are taken up anywhere.

    At less than a thousandth of its gain a loop is open: the motion then grows so slowly that no
    flight of an hour shows it.
    """
    both = (margins.gain_up, margins.gain_down)
    return [
        (m.value, m.frequency_rad_s)
        for m in both
        if m.frequency_rad_s is not None and m.value > OPEN
    ]


def root_near(roots, frequency_rad_s):
    """Give the root nearest to the edge of stability at a frequency."""
    return roots[np.argmin(np.abs(roots - 1j * frequency_rad_s))]


def followed(case, axis, value, share, frequency_rad_s):
    """Give the root [1/s] that stands on the edge at a gain, followed to a share of that gain.

    Roots of the fabric stand close by, so the nearest to the edge need not be the one that left it.
    """
    root = root_near(roots_at_gain(case, axis, value)[0], frequency_rad_s)
    for part in np.linspace(1.0, share, FOLLOWING + 1)[1:]:
        roots = roots_at_gain(case, axis, part * value)[0]
        root = roots[np.argmin(np.abs(roots - root))]
    return root


def interval_for(root, step_s):
    """Give the recording interval [s], whole steps, for a cycle of a root."""
    return step_s * max(round(2.0 * np.pi / root.imag / SAMPLES_PER_CYCLE / step_s), 1)


@pytest.mark.parametrize("axis", list(AXES))
@pytest.mark.parametrize("name", STABLE_CRAFT)
def test_flights_stay_below_and_grow_above_the_gain_margin(hover, name, axis):
    """Fly the motion that is about to be lost. Its growth is that of z, the root of
    det(z I - A - (k - 1) b c) = 0 at gain k: within 0.5 %, which is what the drag's bend, the
    disturbance's square and the difference step leave; and where the growth is next to nothing,
    within what they leave of the root itself. At the margin itself z is on the edge.
    """
    case = hover(name)
    margins = margins_to_fly(case.margins[axis])
    assert margins, "no gain destabilises this loop, which a loop with delay cannot claim"
    for value, frequency in margins:
        edge = root_near(roots_at_gain(case, axis, value)[0], frequency)
        assert abs(edge - 1j * frequency) < 1e-5 * frequency
        for share in SHARES:
            _, changed = roots_at_gain(case, axis, share * value)
            expected = followed(case, axis, value, share, frequency)
            start = started(case, motion_of_root(changed, expected, case.model.period_s))
            craft, flight = at_gain(case, axis, share * value)
            interval = interval_for(expected, float(flight[0].step_s))
            duration = CYCLES * 2.0 * np.pi / expected.imag
            seen = disturbed(
                case, craft, flight, start, axis=axis, duration_s=duration, every_s=interval
            )
            found = fitted_root(seen, interval)
            grows = (share > 1.0) == (value > 1.0)
            assert (found.real > 0.0) == grows
            left = NOT_LINEAR * abs(expected)
            assert found.real == pytest.approx(expected.real, rel=5e-3, abs=left)
            assert found.imag == pytest.approx(expected.imag, rel=5e-3)


def kicked(case, axis, rate_rad_s):
    """Give the steady state with a plain kick: a body rate about one axis."""
    start = case.start
    start["body"]["rate_rad_s"][0, ATTITUDE_AXES.index(axis)] += rate_rad_s
    return start


def late_over_early(signal):
    """Give how the size of a motion in the last third of a flight compares with the first third."""
    third = len(signal) // 3
    return float(np.sqrt(np.mean(signal[-third:] ** 2) / np.mean(signal[:third] ** 2)))


@pytest.mark.parametrize("axis", ATTITUDE_AXES)
@pytest.mark.parametrize("name", STABLE_CRAFT)
def test_a_kicked_flight_stays_below_and_grows_above_the_gain_margin(hover, name, axis):
    """No knowledge of the motion in the start: a body rate alone, flown for three times the time
    in which the motion on the edge grows or decays to e.
    """
    case = hover(name)
    for value, frequency in margins_to_fly(case.margins[axis]):
        for share in KICKED_SHARES:
            expected = root_near(roots_at_gain(case, axis, share * value)[0], frequency)
            craft, flight = at_gain(case, axis, share * value)
            start, duration = kicked(case, axis, SMALL), 3.0 / abs(expected.real)
            every = case.model.period_s
            seen = disturbed(
                case, craft, flight, start, axis=axis, duration_s=duration, every_s=every
            )
            grows = (share > 1.0) == (value > 1.0)
            assert (late_over_early(seen) > 1.0) == grows


@pytest.mark.parametrize("name", UNSTABLE_CRAFT)
def test_a_craft_called_unstable_has_no_margins_and_runs_away(hover, name):
    """Kicked by a hundredth of a radian per second in still air without noise it falls, or grows
    until its tilts beat from stop to stop; a stable craft with the same kick stays, far from both.
    """
    case = hover(name)
    assert case.closed.unstable_roots() > 0
    assert all(found.gain_up is None for found in case.margins.values())
    flight = case.flight
    flight["duration_s"] = 30.0
    flight["limit"]["saturation_s"] = 1.0
    left = fly(case.craft[0], flight[0], kicked(case, "pitch", 1e-2))
    assert left.stop in {Stop.TILT, Stop.GROUND_STRIKE, Stop.SATURATED}
    stable = hover("jellyfish_bicopter")
    stayed = fly(stable.craft[0], flight[0], kicked(stable, "pitch", 1e-2))
    assert stayed.stop == Stop.TIME
    assert float(stayed.tally.most_tilt_rad) < 1e-2
    assert not stayed.tally.ticks_at_limit.any()


def test_tripled_rate_gains_grow_as_the_linear_model_says(hover):
    """The fastest root of the unstable craft, flown from its own motion, as in the first test."""
    case = hover("jellyfish_unstable_gains")
    roots = continuous_roots(case.closed.roots, case.model.period_s)
    expected = roots[np.argmax(roots.real)]
    expected = complex(expected.real, abs(expected.imag))
    start = started(case, motion_of_root(case.model.a, expected, case.model.period_s))
    craft, flight = case.craft, case.flight
    interval = interval_for(expected, float(flight[0].step_s))
    duration = CYCLES * 2.0 * np.pi / expected.imag
    turning = {
        axis: disturbed(
            case, craft, flight, start, axis=axis, duration_s=duration, every_s=interval
        )
        for axis in ATTITUDE_AXES
    }
    found = fitted_root(max(turning.values(), key=lambda seen: np.abs(seen).max()), interval)
    assert found.real == pytest.approx(expected.real, rel=5e-3)
    assert found.imag == pytest.approx(expected.imag, rel=5e-3)
