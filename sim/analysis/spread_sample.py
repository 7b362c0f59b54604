"""Sampled crafts: every unsure figure drawn at once, spread evenly over what they may be."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri
from scipy.stats import qmc, truncnorm

from sim.params.record import FloatArray
from sim.spec.unsure import UnsureFigure

STANDARD_DEVIATIONS: Final = 2.0
"""That a `plus_minus` stands for."""
_EDGE: Final = 1e-9


def normal_scores(crafts: int, inputs: int, seed: int) -> FloatArray:
    """Give standard normal scores of scrambled Sobol points, shape (crafts, inputs).

    Craft number k of a seed is the same however many are drawn (scrambling after Owen, in scipy).

    Parameters
    ----------
    crafts, inputs : int
        Each at least 1.
    seed : int
    """
    exponent = max(crafts - 1, 1).bit_length()
    points = qmc.Sobol(inputs, scramble=True, rng=seed).random_base2(exponent)[:crafts]
    scores: FloatArray = ndtri(np.clip(points, _EDGE, 1.0 - _EDGE))
    return scores


def figure_values(figures: Sequence[UnsureFigure], scores: FloatArray) -> FloatArray:
    """Give values of unsure figures at standard normal scores, shape (crafts, figures).

    Normal about the figure's value with half its spread as standard deviation, cut off where the
    craft file's range ends.
    """
    values = np.empty((len(scores), len(figures)))
    for column, figure in enumerate(figures):
        deviation = figure.plus_minus / STANDARD_DEVIATIONS
        least = (figure.least - figure.value) / deviation
        most = (figure.most - figure.value) / deviation
        shares = ndtr(scores[:, column])
        values[:, column] = truncnorm.ppf(shares, least, most, figure.value, deviation)
    return values
