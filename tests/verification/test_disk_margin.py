"""Disk margins against the paper that defines them and against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.disk_margin import DiskMargin, disk_margin_of
from sim.analysis.loop_margins import decibel, loop_margins
from sim.analysis.refined_grid import refine

GRID = np.geomspace(1e-3, 1e4, 400)


def paper_loop(w):
    """Seiler, Packard and Gahinet, IEEE Control Systems Magazine 40(5), 2020."""
    s = 1j * w
    return 25 / (s**3 + 10 * s**2 + 10 * s + 10)


def pd_loop(w):
    s = 1j * w
    return (1.2 * s + 4) / (s**2 * (0.05 * s + 1))


@pytest.mark.parametrize(
    ("sigma", "alpha", "phase_deg"),
    [(0.0, 0.458093, 25.8017), (1.0, 0.402146, 23.199), (-1.0, 0.486368, 28.149)],
)
def test_paper_example(sigma, alpha, phase_deg):
    """The paper prints alpha 0.46, gain 0.63 to 1.59, phase 26 degrees for sigma 0 (from memory of
    it); the further digits are those of python-control 0.10.2 and of a direct frequency sweep.
    """
    found = disk_margin_of(paper_loop, refine(paper_loop, GRID), sigma)
    assert found.alpha == pytest.approx(alpha, abs=6e-7)
    assert np.degrees(found.phase_rad) == pytest.approx(phase_deg, abs=6e-4)
    if sigma == 0.0:
        assert found.frequency_rad_s == pytest.approx(1.955, abs=5e-4)
        assert found.gain_low == pytest.approx(0.62728, abs=5e-6)
        assert found.gain_high == pytest.approx(1.59419, abs=5e-6)


def test_attitude_loop():
    """L = (1.2 s + 4)/(s^2 (0.05 s + 1)); figures of python-control 0.10.2."""
    found = loop_margins(pd_loop, GRID, unstable_roots=0)
    assert np.degrees(found.phase_rad.value) == pytest.approx(26.9614, abs=5e-5)
    assert found.phase_rad.frequency_rad_s == pytest.approx(2.1797, abs=5e-5)
    assert found.disk.alpha == pytest.approx(0.468880, abs=6e-7)
    assert decibel(found.disk.gain_high) == pytest.approx(4.150, abs=5e-4)
    assert np.degrees(found.disk.phase_rad) == pytest.approx(26.388, abs=5e-4)


@pytest.mark.parametrize(
    ("alpha", "gain_high", "phase_deg"),
    [(0.66456, 10 ** (6 / 20), 36.761), (2 * np.sqrt(2) - 2, 1 + np.sqrt(2), 45.0)],
)
def test_conversions(alpha, gain_high, phase_deg):
    """Plus and minus 6 dB is a disk of 0.6646; 45 degrees needs 2 tan(pi/8), which is 7.66 dB."""
    disk = DiskMargin(alpha, 1.0)
    assert disk.gain_high == pytest.approx(gain_high, rel=1e-5)
    assert disk.gain_low == pytest.approx(1 / gain_high, rel=1e-5)
    assert np.degrees(disk.phase_rad) == pytest.approx(phase_deg, abs=1e-3)


@pytest.mark.parametrize("sigma", [-1.0, -0.4, 0.0, 0.7, 1.0])
@pytest.mark.parametrize("alpha", [0.2, 0.7, 0.95])
def test_disk_edge_lies_where_its_definition_says(sigma, alpha):
    """The edge factors are f = (1 + (1-s)/2 d)/(1 - (1+s)/2 d), |d| = alpha: the least and
    greatest real part, and the turn of the edge point of size 1.
    """
    delta = alpha * np.exp(1j * np.linspace(-np.pi, np.pi, 200_001))
    edge = (1 + (1 - sigma) / 2 * delta) / (1 - (1 + sigma) / 2 * delta)
    disk = DiskMargin(alpha, 1.0, sigma)
    assert disk.gain_low == pytest.approx(edge.real.min(), rel=1e-8)
    assert disk.gain_high == pytest.approx(edge.real.max(), rel=1e-8)
    unit = np.argmin(np.abs(np.abs(edge) - 1.0))
    assert disk.phase_rad == pytest.approx(abs(np.angle(edge[unit])), abs=1e-4)


def test_unbounded_disk():
    """alpha = 2 bears any positive gain and a quarter turn."""
    disk = DiskMargin(2.0, 1.0)
    assert disk.gain_low == 0.0
    assert disk.gain_high == np.inf
    assert disk.phase_rad == pytest.approx(np.pi / 2)


def test_edge_of_the_disk_destabilises():
    """At the worst frequency one factor of size alpha makes 1 + f L vanish: d = 1/(S - 1/2)."""
    found = disk_margin_of(paper_loop, refine(paper_loop, GRID))
    loop = paper_loop(np.array([found.frequency_rad_s]))[0]
    delta = 1 / (1 / (1 + loop) - 0.5)
    factor = (1 + delta / 2) / (1 - delta / 2)
    assert abs(delta) == pytest.approx(found.alpha, rel=1e-9)
    assert abs(1 + factor * loop) < 1e-12
