"""Which unsure figure matters: total Sobol indices of a response surface, with their confidence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, final

import numpy as np
from scipy.stats import norm, randint, sobol_indices, uniform

from sim.analysis.response_surface import Inputs, ResponseSurface, refitted_weights, terms
from sim.params.record import FloatArray

LEAST_R_SQUARED: Final = 0.8
CONFIDENCE: Final = 0.95
RESAMPLES: Final = 200
POINTS: Final = 1024
_SEED: Final = 1


@final
@dataclass(frozen=True)
class SobolIndices:
    """Indices of one input.

    Attributes
    ----------
    first, total : float
        [-] Share of the variance that the input causes alone, and with all that it does together
        with others.
    total_lower, total_upper : float
        [-] Bounds of the second at `CONFIDENCE`, from the surface refitted to resampled crafts.
    """

    first: float
    total: float
    total_lower: float
    total_upper: float


def surface_indices(
    surface: ResponseSurface, scores: FloatArray, figure: FloatArray
) -> tuple[SobolIndices, ...]:
    """Give the indices of every input of a surface.

    Parameters
    ----------
    surface : ResponseSurface
    scores, figure : what it was fitted to

    Notes
    -----
    `scipy.stats.sobol_indices` (Saltelli et al. 2010) on the surface and on `RESAMPLES` surfaces of
    the same terms, each refitted to crafts drawn with replacement; the bounds are percentiles.
    """
    count, inputs = scores.shape
    drawn = randint.rvs(0, count, size=(RESAMPLES, count), random_state=_SEED)
    matrix = terms(scores, surface.powers, surface.inputs)
    weights = [surface.weights]
    for numbers in drawn:
        counts = np.bincount(numbers, minlength=count).astype(np.float64)
        weights.append(refitted_weights(matrix, figure, counts))
    stacked = np.array(weights)

    def all_surfaces(points: FloatArray) -> FloatArray:
        values: FloatArray = stacked @ terms(points.T, surface.powers, surface.inputs).T
        return values

    found = sobol_indices(
        func=all_surfaces, n=POINTS, dists=[_distribution(surface.inputs)] * inputs, rng=_SEED
    )
    tail = 50.0 * (1.0 - CONFIDENCE)
    lower, upper = np.percentile(found.total_order[1:], [tail, 100.0 - tail], axis=0)
    return tuple(
        SobolIndices(
            float(found.first_order[0, i]),
            float(found.total_order[0, i]),
            float(lower[i]),
            float(upper[i]),
        )
        for i in range(inputs)
    )


def _distribution(inputs: Inputs) -> object:
    return norm() if inputs == "normal" else uniform(-1.0, 2.0)
