"""Several loops at a time: bounds of the structured singular value, joint disks and delays."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.loop_margins import loop_margins
from sim.analysis.multi_loop import joint_delay_margin, joint_disk_margin
from sim.analysis.structured_value import balanced, greatest_lower_bound, least_upper_bound

GRID = np.geomspace(1e-3, 1e4, 400)


def paper_loop(w):
    """Seiler, Packard and Gahinet, IEEE Control Systems Magazine 40(5), 2020."""
    s = 1j * w
    return 25 / (s**3 + 10 * s**2 + 10 * s + 10)


def pd_loop(w):
    s = 1j * w
    return (1.2 * s + 4) / (s**2 * (0.05 * s + 1))


def diagonal(*loops):
    def sensitivity(w):
        return np.stack([1 / (1 + loop(w)) for loop in loops], axis=1)[:, :, None] * np.eye(
            len(loops)
        )

    return sensitivity


def test_separate_loops_are_as_strong_as_the_weakest():
    """Without coupling mu is the largest of the single ones."""
    found = joint_disk_margin(diagonal(paper_loop, pd_loop), GRID)
    assert found.guaranteed.alpha == pytest.approx(0.458093, abs=6e-7)
    assert found.guaranteed.frequency_rad_s == pytest.approx(1.955, abs=5e-4)


@pytest.mark.parametrize("coupling", [0.0, 1.0, 10.0])
def test_one_way_coupling_does_not_matter(coupling):
    """S triangular: scaling makes the corner as small as one likes, so mu ignores it."""

    def sensitivity(w):
        return diagonal(paper_loop, pd_loop)(w) + np.array([[0.0, coupling], [0.0, 0.0]])

    found = joint_disk_margin(sensitivity, GRID)
    assert found.guaranteed.alpha == pytest.approx(0.458093, abs=1e-5)


def test_loops_that_look_perfect_one_at_a_time():
    """The spinning satellite (Skogestad and Postlethwaite, Multivariable Feedback Control, 3.7,
    from memory): P = [[s - a^2, a (s + 1)], [-a (s + 1), s - a^2]]/(s^2 + a^2), a = 10.

    Each loop alone sees 1/s and bears any gain. Together, with unit feedback, S - 1/2 is
    [[(s - 1)/2, -a], [a, (s - 1)/2]]/(s + 1), whose largest singular value squared,
    (1/4 + (a + w/2)^2)/(1 + w^2), has the maximum of the larger eigenvalue of
    [[a^2 + 1/4, a/2], [a/2, 1/4]]: gains 10 % up in one and down in the other are too much.
    """
    a = 10.0

    def sensitivity(w):
        s = 1j * w[:, None, None]
        plant = np.array([[1.0, a], [-a, 1.0]]) * s + np.array([[-(a**2), a], [-a, -(a**2)]])
        return (s**2 + a**2) * np.linalg.inv((s**2 + a**2) * np.eye(2) + plant)

    def single(w):
        return 1 / (1j * w)

    assert loop_margins(single, GRID, unstable_roots=0).disk.alpha == pytest.approx(2.0, rel=1e-6)
    together = joint_disk_margin(sensitivity, np.geomspace(1e-3, 9.0, 200))
    worst = np.linalg.eigvalsh([[a**2 + 0.25, a / 2], [a / 2, 0.25]])[-1]
    assert together.guaranteed.alpha == pytest.approx(1 / np.sqrt(worst), rel=1e-8)
    assert together.guaranteed.gain_high < 1.105


@pytest.mark.parametrize("seed", range(10))
def test_several_loops_are_never_stronger_than_one(seed):
    """mu of a matrix is at least the size of each of its diagonal entries, and at most its largest
    singular value; so the joint margin is at most the least single one.
    """
    rng = np.random.default_rng(seed)
    matrices = rng.normal(size=(5, 3, 3)) + 1j * rng.normal(size=(5, 3, 3))
    steps = np.geomspace(1.0, 2.0, 5)

    def sensitivity(w):
        nearest = np.argmin(np.abs(np.log(steps[:, None] / w[None, :])), axis=0)
        return matrices[nearest]

    found = joint_disk_margin(sensitivity, steps)
    shifted = matrices - 0.5 * np.eye(3)
    largest = np.linalg.norm(shifted, ord=2, axis=(1, 2)).max()
    single = np.abs(np.diagonal(shifted, axis1=1, axis2=2)).max()
    assert 1 / largest - 1e-12 <= found.guaranteed.alpha <= 1 / single + 1e-12


@pytest.mark.parametrize("seed", range(12))
def test_bounds_of_the_structured_value_meet(seed):
    """Two to six loops, entries over several orders of size. Up to three loops the bounds are equal
    (here to the search's 1e-5), beyond they need not be; and the factors of the lower one make
    det(I - diag(d) M) vanish.
    """
    rng = np.random.default_rng([3, seed])
    size = 2 + seed % 5
    matrix = rng.normal(size=(size, size)) + 1j * rng.normal(size=(size, size))
    matrix *= np.exp(2.0 * rng.normal(size=(size, size)))
    above = least_upper_bound(matrix, balanced(matrix[None])[0])
    below = greatest_lower_bound(matrix, above)
    assert below.value <= above.value * (1.0 + 1e-9)
    assert below.value == pytest.approx(above.value, rel=1e-5 if size <= 3 else 1e-3)
    assert abs(np.linalg.det(np.eye(size) - below.factors[:, None] * matrix)) < 1e-8
    assert np.abs(below.factors) == pytest.approx(np.full(size, 1.0 / below.value))


@pytest.mark.parametrize("seed", range(4))
def test_bounds_of_two_loops_against_all_phases(seed):
    """mu is the largest spectral radius over the phases, here tried one by one (Doyle 1982)."""
    rng = np.random.default_rng([4, seed])
    matrix = rng.normal(size=(2, 2)) + 1j * rng.normal(size=(2, 2))
    turns = np.exp(1j * np.linspace(0.0, 2.0 * np.pi, 20_001))
    turned = matrix[None] * np.stack([np.ones_like(turns), turns], axis=1)[:, :, None]
    largest = np.abs(np.linalg.eigvals(turned)).max()
    above = least_upper_bound(matrix, balanced(matrix[None])[0])
    assert above.value == pytest.approx(largest, rel=1e-7)


def test_the_known_combination_destabilises():
    """Factors on the edge of the disk that is reached bring det(I + F L) to zero."""

    def loops(w):
        own = np.stack([paper_loop(w), pd_loop(w), 0.7 * paper_loop(w)], axis=1)
        mixed = np.array([[1.0, 0.4, -0.2], [0.3, 1.0, 0.5], [0.1, -0.6, 1.0]])
        return mixed[None] * own[:, None, :]

    def sensitivity(w):
        return np.linalg.inv(np.eye(3) + loops(w))

    found = joint_disk_margin(sensitivity, GRID)
    assert 0.0 <= found.gap + 1e-9 < 1e-4
    at = loops(np.array([found.reached.frequency_rad_s]))[0]
    loaded = np.eye(3) + np.array(found.factors)[:, None] * at
    assert np.linalg.svd(loaded, compute_uv=False)[-1] < 1e-8


@pytest.mark.parametrize(("k", "turn"), [(2.0, 0.0), (2.0, 0.5), (5.0, 1.2)])
def test_one_delay_for_two_loops_that_turn_into_each_other(k, turn):
    """L = k/s times a turn: eigenvalues k exp(+-j t)/s, so that pi/2 - t is left at w = k, though
    each loop alone, with the other closed, seems to have more.
    """
    mixed = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])

    def sensitivity(w):
        return np.linalg.inv(np.eye(2) + k / (1j * w[:, None, None]) * mixed)

    found = joint_delay_margin(sensitivity, GRID)
    assert found.value == pytest.approx((np.pi / 2 - turn) / k, rel=1e-9)
    assert found.frequency_rad_s == pytest.approx(k, rel=1e-9)


def test_one_delay_for_separate_loops_is_that_of_the_weakest():
    each = [loop_margins(loop, GRID, unstable_roots=0) for loop in (paper_loop, pd_loop)]
    found = joint_delay_margin(diagonal(paper_loop, pd_loop), GRID)
    assert found.value == pytest.approx(min(loop.delay_s.value for loop in each), rel=1e-9)


def test_loops_below_one_bear_any_delay():
    found = joint_delay_margin(diagonal(lambda w: 0.5 / (1 + 1j * w)), GRID)
    assert found.value == np.inf
    assert found.frequency_rad_s is None
