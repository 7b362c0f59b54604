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
