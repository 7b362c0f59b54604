"""A double integrator behind a lag and a delay: the search finds the largest disk margin there is.

The optimum is found independently: the loop in closed form, continuous in time, its gains tried one
by one on a fine grid. With L = k (1 + T s) exp(-s D) / (s^2 (1 + s tau)), the disk margin is
1 / max |1 / (1 + L) - 1/2| (Seiler, Packard and Gahinet, An Introduction to Disk Margins, IEEE
Control Systems Magazine 40(5), 2020).
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.required_margins import RequiredMargins
from sim.analysis.tune_gust import Gusts
from sim.analysis.tune_plant import SmallModel
from sim.analysis.tune_score import figures_of, profile_of
from sim.analysis.tune_search import Effort, Search, margin_cost, searched
from sim.analysis.tune_sharpen import Aim

PERIOD_S, DELAY_RUNS, LAG_S = 1e-3, 20, 0.05
# A sampled command is held, on average, for half a period on top of the delay.
DELAY_S = (DELAY_RUNS + 0.5) * PERIOD_S
STIFFNESS = (4.0, 400.0)
LEAD_S = (0.02, 2.0)
LOOPS = 3


def gains(point):
    bounds = np.log([STIFFNESS, LEAD_S])
    return np.exp(bounds[:, 0] + np.asarray(point) * (bounds[:, 1] - bounds[:, 0]))


def disk_in_closed_form(stiffness, lead_s):
    """Give 0 when unstable: |L| falls with frequency, so the phase where it is 1 decides."""
    w = np.geomspace(0.05, 500.0, 6000)
    s = 1j * w
    loop = stiffness * (1 + lead_s * s) * np.exp(-s * DELAY_S) / (s**2 * (1 + s * LAG_S))
    crossing = w[np.argmax(np.abs(loop) < 1.0)]
    lead = np.arctan(lead_s * crossing) - np.arctan(LAG_S * crossing) - DELAY_S * crossing
    if lead <= 0.0:
        return 0.0
    return 1.0 / np.abs(1.0 / (1.0 + loop) - 0.5).max()


def sampled_loop(stiffness, lead_s):
    """Three alike loops as roll, pitch and yaw: place, speed, lag, then the line of delays.

    The speed takes an exact step for a held command through the lag; a gust pushes it, no noise.
    """
    each = 3 + DELAY_RUNS
    keep = np.exp(-PERIOD_S / LAG_S)
    a = np.zeros((each, each))
    a[0, :2] = 1.0, PERIOD_S
    a[0, 2] = 0.5 * PERIOD_S**2
    a[1, 1], a[1, 2] = 1.0, LAG_S * (1.0 - keep)
    a[1, -1] = PERIOD_S - LAG_S * (1.0 - keep)
    a[2, 2], a[2, -1] = keep, 1.0 - keep
    a[range(4, each), range(3, each - 1)] = 1.0
    command = np.zeros(each)
    command[:2] = -stiffness, -stiffness * lead_s
    b = np.zeros(each)
    b[3] = 1.0
    a[3] = command
    whole_b, whole_c = np.zeros((LOOPS * each, 6)), np.zeros((6, LOOPS * each))
    gust = np.zeros((LOOPS * each, 3))
    for k in range(LOOPS):
        rows = slice(k * each, (k + 1) * each)
        whole_b[rows, 1 + k], whole_c[1 + k, rows] = b, command
        gust[k * each + 1, k] = PERIOD_S
    size = LOOPS * each
    return SmallModel(
        a=np.kron(np.eye(LOOPS), a),
        b=whole_b,
        c=whole_c,
        e=np.zeros((6, 6)),
        gust=gust,
        noise=np.zeros((size, 9)),
        period_s=PERIOD_S,
    )


GUSTS = Gusts(np.eye(5) * 0.9, np.eye(5), np.eye(3, 5))


def judged(point):
    return figures_of(sampled_loop(*gains(point)), GUSTS, np.ones(3))


def profiled(point, grids):
    model = sampled_loop(*gains(point))
    found = profile_of(model, GUSTS, np.ones(3), None if grids is None else grids[0])
    return None if found is None else (found,)


@pytest.fixture(scope="module")
def best():
    """Give the largest disk margin of a grid of gains, in closed form."""
    return max(
        disk_in_closed_form(stiffness, lead)
        for stiffness in np.geomspace(*STIFFNESS, 12)
        for lead in np.geomspace(*LEAD_S, 60)
    )


def test_the_figures_are_those_of_the_closed_form():
    """Joint disk margin of three alike loops is that of one, within the spacing of the grid."""
    for point in ((0.2, 0.6), (0.0, 0.5), (0.4, 0.4)):
        expected = disk_in_closed_form(*gains(point))
        assert judged(point).disk == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("start", [(0.9, 0.1), (0.5, 0.9)], ids=["unstable", "too much lead"])
def test_the_broad_search_reaches_the_best_there_is(best, start):
    """Within 2 %, from gains that do not even hold: the least stiffness, and a lead in between."""
    required = RequiredMargins(3.0, 0.2)
    search = Search(judged, required, told=str)
    found = search.minimise(lambda f: margin_cost(f, required), np.array(start), 0.2, 160)
    assert found.figures.disk == pytest.approx(best, rel=0.02)
    stiffness, lead = gains(found.point)
    assert disk_in_closed_form(stiffness, lead) == pytest.approx(best, rel=0.02)


@pytest.mark.parametrize("start", [(0.0, 0.8), (0.2, 0.4)])
def test_the_sharp_search_reaches_it_sooner(best, start):
    """Within 1 %, the broad search not used, from gains that hold."""
    required = RequiredMargins(3.0, 0.2)
    search = Search(judged, required, told=str, profiles=profiled)
    begun = search.look(np.array(start))
    found = search.sharpen(lambda f: margin_cost(f, required), Aim(), begun, 4, 10)
    assert found.figures.disk == pytest.approx(best, rel=0.01)
    assert found.figures.disk > 1.05 * begun.figures.disk


def test_an_unstable_start_is_left_by_the_broad_search_and_then_sharpened(best):
    """The whole search, as the command runs it, on a loop that its start does not hold."""
    search = Search(judged, RequiredMargins(3.0, 0.2), told=str, profiles=profiled)
    effort = Effort(broad=60, rounds=4, iterations=8, each_rounds=0)
    found = searched(search, np.array([0.9, 0.1]), (), effort)
    assert not search.tried[0].figures.stable
    assert found.figures.disk == pytest.approx(best, rel=0.01)


def test_the_same_seed_tries_the_same_gains():
    """Twice the same search, once in two threads."""

    def points(threads):
        search = Search(judged, RequiredMargins(), 5, threads, str)
        search.minimise(lambda f: margin_cost(f, search.required), np.array([0.5, 0.5]), 0.2, 30)
        return np.array([one.point for one in search.tried])

    assert np.array_equal(points(1), points(2))
