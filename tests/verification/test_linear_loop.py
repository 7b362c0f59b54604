"""The loop broken in a linear step: its identity, its accuracy and its resonances."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.linalg

from sim.analysis.linear_loop import ClosedLoop, LinearLoop, count_unstable
from sim.analysis.loop_margins import loop_margins, margins_of_linear_loop
from sim.analysis.multi_loop import joint_disk_margin

PERIOD_S = 0.01


def random_plant_and_controller(seed, plant_size=7, controller_size=4):
    """Give the matrices of a random plant and of a random controller, and a feedthrough."""
    rng = np.random.default_rng(seed)
    plant = rng.normal(size=(plant_size, plant_size))
    plant *= 0.97 / np.abs(np.linalg.eigvals(plant)).max()
    controller = rng.normal(size=(controller_size, controller_size))
    controller *= 0.8 / np.abs(np.linalg.eigvals(controller)).max()
    return (
        (plant, rng.normal(size=plant_size), 0.02 * rng.normal(size=plant_size)),
        (controller, rng.normal(size=controller_size), 0.1 * rng.normal(size=controller_size)),
        0.1 * rng.normal(),
    )


def close(plant, controller, direct):
    """Close u = -K y, K = (Ac, bc, cc, 0), around y = G (u + d), G = (Ap, bp, cp, e).

    Returns the closed loop broken at u, and the loop transfer K G by itself.
    """
    (ap, bp, cp), (ac, bc, cc) = plant, controller
    # u = -cc xc; y = cp xp + e (u + d)
    whole = np.block(
        [
            [ap, -np.outer(bp, cc)],
            [np.outer(bc, cp), ac - direct * np.outer(bc, cc)],
        ]
    )
    inject = np.concatenate([bp, direct * bc])
    measure = np.concatenate([np.zeros(len(ap)), -cc])
    loop = LinearLoop(ClosedLoop(whole, PERIOD_S), inject, measure)

    def transfer(w):
        z = np.exp(1j * np.atleast_1d(w) * PERIOD_S)
        forward = [cp @ np.linalg.solve(v * np.eye(len(ap)) - ap, bp) + direct for v in z]
        back = [cc @ np.linalg.solve(v * np.eye(len(ac)) - ac, bc) for v in z]
        return np.array(forward) * np.array(back)

    return loop, transfer


@pytest.mark.parametrize("seed", range(20))
def test_broken_loop_is_plant_times_controller(seed):
    """L = -H/(1 + H), H = u/d from the closed loop alone, equals K G from its parts."""
    loop, transfer = close(*random_plant_and_controller(seed))
    w = np.geomspace(1e-2, np.pi / PERIOD_S, 80)
    assert loop.response(w) == pytest.approx(transfer(w), rel=1e-9, abs=1e-12)
    assert 1 + loop.closed_response(w) == pytest.approx(1 / (1 + transfer(w)), rel=1e-9)


def test_feedthrough_from_injection_to_measurement():
    """When u answers d within the step, u = -k (u + d) gives H = -k/(1 + k) and L = k."""
    k = 0.7
    loop = LinearLoop(
        ClosedLoop(np.diag([0.5, 0.2]), PERIOD_S), np.zeros(2), np.zeros(2), -k / (1 + k)
    )
    assert loop.response(np.array([1.0, 50.0])) == pytest.approx(np.full(2, k), rel=1e-12)


@pytest.mark.parametrize("seed", range(20))
def test_roots_with_the_gain_changed(seed):
    """Scaling the loop by k and scaling the controller's output by k are the same thing."""
    plant, (ac, bc, cc), direct = random_plant_and_controller(seed)
    loop, _ = close(plant, (ac, bc, cc), direct)
    for k in (0.0, 0.3, 1.0, 2.5):
        scaled, _ = close(plant, (ac, bc, k * cc), direct)
        apart = np.abs(loop.roots_at_gain(k)[:, None] - scaled.closed.roots[None, :])
        assert apart.min(axis=0).max() < 1e-7
        assert apart.min(axis=1).max() < 1e-7


@pytest.mark.parametrize("seed", range(40))
def test_gain_margins_are_where_roots_leave(seed):
    """Just inside each gain margin no root grows, just outside one does: eigenvalues against the
    frequency response, which share nothing but the matrix.
    """
    rng = np.random.default_rng([7, seed])
    plant, (ac, bc, cc), direct = random_plant_and_controller(seed)
    loop, _ = close(plant, (ac, bc, cc * rng.uniform(0.1, 4.0)), direct)
    found = margins_of_linear_loop(loop)
    assert found.stable == (np.abs(loop.closed.roots).max() < 1.0)
    if not found.stable:
        assert found.gain_up is None
        return
    for factor, outward in ((found.gain_up.value, 1), (found.gain_down.value, -1)):
        if np.isfinite(factor) and factor > 0.0:
            assert loop.unstable_roots_at_gain(factor * (1 - outward * 1e-4), 0.0) == 0
            assert loop.unstable_roots_at_gain(factor * (1 + outward * 1e-4), 0.0) > 0
    reach = np.linspace(max(found.gain_down.value, 1e-3), min(found.gain_up.value, 50.0), 42)
    assert all(loop.unstable_roots_at_gain(factor, 0.0) == 0 for factor in reach[1:-1])


def test_random_closed_loops_above_are_mostly_stable():
    """The test above must not pass by having nothing to look at."""
    stable = [
        np.abs(close(*random_plant_and_controller(seed))[0].closed.roots).max() < 1.0
        for seed in range(40)
    ]
    assert sum(stable) > 30


@pytest.mark.parametrize("steps", [1, 3, 10])
def test_delay_margin_holds_whole_periods(steps):
    """k/(z - 1) delayed by m whole periods is stable up to k = 2 sin(pi/(2 (2 m + 1))) (Levin and
    May 1976), which is where its delay margin falls to zero; one period earlier it is one period.
    """
    k = 2 * np.sin(np.pi / (2 * (2 * steps + 1)))

    def delayed(periods):
        matrix = np.diag(np.ones(periods), -1)
        matrix[0, 0] = 1.0
        matrix[0, periods] -= k
        inject, measure = np.zeros(periods + 1), np.zeros(periods + 1)
        inject[0], measure[periods] = 1.0, -k
        return LinearLoop(ClosedLoop(matrix, PERIOD_S), inject, measure)

    assert np.abs(delayed(steps).closed.roots).max() == pytest.approx(1.0, abs=1e-9)
    before = margins_of_linear_loop(delayed(steps - 1))
    assert before.delay_s.value == pytest.approx(PERIOD_S, rel=1e-8)


def fabric_like_loop(strands=120, period_s=1e-3):
    """Give an attitude loop with lag, filter and many light pendulums hung from the body."""
    rng = np.random.default_rng(3)
    frequency, damping = rng.uniform(3, 60, strands), rng.uniform(5e-4, 0.03, strands)
    coupling = rng.uniform(0, 0.002, strands)
    size = 5 + 2 * strands
    rates = np.zeros((size, size))
    rates[0, 1] = rates[1, 2] = 1.0
    rates[2, 2], rates[3, 3], rates[3, 1], rates[4, 4], rates[4, 0] = -40, -200, 200, -30, 30
    for k in range(strands):
        a, b = 5 + 2 * k, 6 + 2 * k
        rates[a, b] = 1.0
        rates[b, a], rates[b, b] = -(frequency[k] ** 2), -2 * damping[k] * frequency[k]
        rates[b, 0], rates[1, a] = -0.3 * frequency[k] ** 2, coupling[k] * frequency[k] ** 2
    column = np.zeros((size, 1))
    column[2] = 40.0
    held = scipy.linalg.expm(np.block([[rates, column], [np.zeros((1, size + 1))]]) * period_s)
    measure = np.zeros(size)
    measure[3], measure[4] = -3.0, -6.0
    inject = held[:size, size]
    closed = ClosedLoop(held[:size, :size] + np.outer(inject, measure), period_s)
    return LinearLoop(closed, inject, measure)


def test_large_loop_is_exact():
    """245 states: as a direct solve at each frequency, but for the rounding of light resonances."""
    loop = fabric_like_loop()
    w = np.geomspace(1e-2, loop.closed.nyquist_rad_s, 600)
    found = loop.closed_response(w)
    points = np.exp(1j * w[::30] * loop.closed.period_s)
    direct = [
        loop.measure @ np.linalg.solve(z * np.eye(245) - loop.closed.transition, loop.inject)
        for z in points
    ]
    assert found[::30] == pytest.approx(np.array(direct), rel=1e-9)


def test_grid_misses_no_resonance():
    """Each gain margin of the loop above is where a root leaves, and a grid ten times finer finds
    nothing else.
    """
    loop = fabric_like_loop()
    found = margins_of_linear_loop(loop)
    finer = margins_of_linear_loop(loop, loop.frequencies(per_decade=600))
    assert found.gain_up.value == pytest.approx(finer.gain_up.value, rel=1e-9)
    assert found.gain_down.value == pytest.approx(finer.gain_down.value, rel=1e-9)
    assert found.phase_rad.value == pytest.approx(finer.phase_rad.value, rel=1e-9)
    assert found.disk.alpha == pytest.approx(finer.disk.alpha, rel=1e-9)
    assert len(found.phase_crossings) == len(finer.phase_crossings)
    for factor, outward in ((found.gain_up.value, 1), (found.gain_down.value, -1)):
        assert loop.unstable_roots_at_gain(factor * (1 - outward * 1e-4), 0.0) == 0
        assert loop.unstable_roots_at_gain(factor * (1 + outward * 1e-4), 0.0) > 0


def test_scales_of_the_states_do_not_matter():
    """Micrometres or kilometres: a change of units leaves H as it is.

    Rounding A to 1e-16 moves a root s by 1e-16/T, against a half-width of down to 2e-3 1/s; the
    eigenvectors of many nearly equal pendulums enlarge that a thousandfold.
    """
    loop = fabric_like_loop(strands=20)
    scale = 10.0 ** np.random.default_rng(1).integers(-6, 7, loop.closed.size)
    other = LinearLoop(
        ClosedLoop(loop.closed.transition * scale[:, None] / scale[None, :], 1e-3),
        loop.inject * scale,
        loop.measure / scale,
    )
    w = np.geomspace(1e-2, 3000.0, 200)
    assert other.response(w) == pytest.approx(loop.response(w), rel=1e-6)


def test_order_of_asking_does_not_matter():
    """The same bits before and after other questions."""
    loop = fabric_like_loop(strands=10)
    first = margins_of_linear_loop(loop)
    loop.response(np.array([1.0, 2.0]))
    loop.roots_at_gain(0.5)
    assert margins_of_linear_loop(loop) == first
    assert margins_of_linear_loop(fabric_like_loop(strands=10)) == first


def test_several_loops_together():
    """The joint margin of several loops of one step is at most the least single one."""
    rng = np.random.default_rng(5)
    matrix = rng.normal(size=(9, 9))
    matrix *= 0.9 / np.abs(np.linalg.eigvals(matrix)).max()
    closed = ClosedLoop(matrix, PERIOD_S)
    inject, measure = 0.2 * rng.normal(size=(9, 3)), 0.2 * rng.normal(size=(3, 9))
    grid = np.geomspace(0.1, closed.nyquist_rad_s, 300)
    together = joint_disk_margin(
        lambda w: np.eye(3) + closed.response(inject, measure, np.zeros((3, 3)), w), grid
    )
    single = [
        margins_of_linear_loop(LinearLoop(closed, inject[:, k], measure[k])).disk.alpha
        for k in range(3)
    ]
    assert together.guaranteed.alpha <= min(single) * (1 + 1e-9)
    assert together.guaranteed.alpha > 0.0


def test_neutral_roots_are_not_unstable():
    """Place drifts where speed leaves it: a double root at 1 is counted as neither."""
    drift = np.array([[1.0, PERIOD_S, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 0.9]])
    assert ClosedLoop(drift, PERIOD_S).unstable_roots() == 0
    assert count_unstable(np.array([1.0 + 2e-5]), PERIOD_S, 1e-3) == 1
    assert count_unstable(np.array([1.0 + 5e-6]), PERIOD_S, 1e-3) == 0


def test_arrays_and_loop_agree():
    loop = fabric_like_loop(strands=10)
    by_hand = loop_margins(
        loop.response, loop.frequencies(), unstable_roots=0, nyquist_rad_s=np.pi / 1e-3
    )
    assert by_hand == margins_of_linear_loop(loop)


@pytest.mark.parametrize(
    ("matrix", "period_s", "words"),
    [
        (np.ones((2, 3)), 1.0, "square"),
        (np.array([[np.nan]]), 1.0, "not finite"),
        (np.eye(2), 0.0, "positive"),
    ],
)
def test_impossible_data_is_refused(matrix, period_s, words):
    with pytest.raises(ValueError, match=words):
        ClosedLoop(matrix, period_s)
