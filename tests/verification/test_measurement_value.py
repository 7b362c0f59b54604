"""What a measurement is worth, against closed forms for a figure that is linear in its unknowns."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from sim.analysis.headline import Figure, Gate
from sim.analysis.measurement_value import JudgedSurface, measurement_values
from sim.analysis.response_surface import fit_surface
from sim.analysis.spread_sample import normal_scores
from sim.spec.unsure import UnsureFigure

WEIGHTS = np.array([3.0, 1.0])
FIGURE = Figure("disk_margin", "a figure", more_is_better=True)


def unsure(key: str, plus_minus: float) -> UnsureFigure:
    """Give a figure of value 1 whose measurement leaves what its path says."""
    return UnsureFigure(key, (("battery", key),), 1.0, plus_minus, 0.0, 10.0, "share")


@pytest.fixture(scope="module")
def surface():
    """y = 3 z1 + z2, exactly."""
    scores = normal_scores(64, 3, seed=1)
    return fit_surface(scores, scores[:, :2] @ WEIGHTS)


def values(surface, limit, first, second, others=1.0):
    judged = JudgedSurface(Gate("g", "gate", FIGURE, limit), surface)
    figures = (unsure("thrust_factor", first), unsure("torque_factor", second))
    return measurement_values(figures, (judged,), surface, others)


@pytest.mark.parametrize("limit", [-4.0, 0.0, 2.0])
def test_the_chance_of_a_wrong_verdict_is_the_smaller_tail(surface, limit):
    """y is normal with variance 10: the likelier verdict is wrong with the other's chance."""
    passes = norm.sf(limit / math.sqrt(10.0))
    for value in values(surface, limit, 0.1, 0.1):
        assert value.wrong_before == pytest.approx(min(passes, 1.0 - passes), abs=0.01)
        assert value.deviation_before == pytest.approx(math.sqrt(10.0), rel=0.01)


@pytest.mark.parametrize("plus_minus", [0.03, 0.1, 0.5])
def test_the_variance_that_a_reading_leaves(surface, plus_minus):
    """r^2/(1 + r^2) of the input's own, with a reading of 3 %: r = 0.03 / plus_minus."""
    ratio = 0.03 / plus_minus
    left = ratio**2 / (1.0 + ratio**2)
    first, second = values(surface, 2.0, plus_minus, plus_minus)
    assert first.accuracy == pytest.approx(0.03)
    assert first.deviation_after == pytest.approx(math.sqrt(9.0 * left + 1.0), rel=0.02)
    assert second.deviation_after == pytest.approx(math.sqrt(9.0 + left), rel=0.02)


@pytest.mark.parametrize("limit", [0.0, 2.0, -5.0])
def test_the_wrong_verdicts_that_a_reading_leaves(surface, limit):
    """Integral over what is read of the smaller tail of what is then left."""
    ratio = 0.3
    shift = 1.0 / math.sqrt(1.0 + ratio**2)
    spread = math.sqrt(9.0 * ratio**2 / (1.0 + ratio**2) + 1.0)

    def wrong(read):
        passes = norm.sf((limit - 3.0 * shift * read) / spread)
        return min(passes, 1.0 - passes) * norm.pdf(read)

    expected = quad(wrong, -8.0, 8.0, points=[limit / (3.0 * shift)])[0]
    first, second = values(surface, limit, 0.1, 0.1)
    assert first.wrong_after == pytest.approx(expected, abs=0.01)
    assert first.wrong_after < second.wrong_after <= second.wrong_before + 1e-12


def test_gates_without_a_surface_keep_their_chance(surface):
    """Half the crafts fail elsewhere: whatever is measured, half of the passing ones do, too."""
    first, _ = values(surface, -20.0, 0.1, 0.1, others=0.5)
    assert first.wrong_before == pytest.approx(0.5, abs=1e-6)
    assert first.wrong_after == pytest.approx(0.5, abs=1e-6)
