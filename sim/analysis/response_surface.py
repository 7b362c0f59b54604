"""A polynomial through sampled crafts: how a headline figure answers to all unsure figures at once.

Polynomial chaos by least squares (Blatman and Sudret, An adaptive algorithm to build up sparse
polynomial chaos expansions, Probabilistic Engineering Mechanics 25, 2010): products of polynomials
that are orthogonal for the inputs' distribution, with fewer mixed than pure terms; how many, the
leave-one-out error decides. How good it is, is told from crafts that neither the fit nor that
decision has seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal, TypeAlias, final

import numpy as np
from numpy.polynomial.hermite_e import hermevander
from numpy.polynomial.legendre import legvander
from numpy.typing import NDArray
from scipy.linalg import lstsq
from scipy.stats import uniform

from sim.params.record import FloatArray

Inputs = Literal["normal", "uniform"]
Powers: TypeAlias = NDArray[np.int64]

FOLDS: Final = 10
MOST_TERMS_SHARE: Final = 0.45
HIGHEST_DEGREE: Final = 10
PATIENCE: Final = 3
_MIXED_SHARES: Final = (0.5, 0.75, 1.0)
_FOLD_SEED: Final = 1
_NOTHING: Final = 1e-12


@final
@dataclass(frozen=True)
class ResponseSurface:
    """A polynomial of inputs.

    Attributes
    ----------
    inputs : str
        "normal": standard normal scores; "uniform": from -1 to 1.
    powers : ndarray of int, shape (terms, inputs)
        Degree of each term in each input.
    weights : ndarray, shape (terms,)
        In the unit of the figure, for polynomials with variance 1.
    r_squared : float
        [-] Share of the variance that it tells of crafts it has not seen (10-fold).
    misfit : float
        In the unit of the figure: standard deviation of what it does not tell of them.
    """

    inputs: Inputs
    powers: Powers
    weights: FloatArray
    r_squared: float
    misfit: float

    def at(self, scores: FloatArray) -> FloatArray:
        """Give the figure at inputs, shape (n, inputs) -> (n,)."""
        value: FloatArray = terms(scores, self.powers, self.inputs) @ self.weights
        return value


def varies(figure: FloatArray) -> bool:
    """Tell whether a figure of sampled crafts varies by more than rounding."""
    size = max(1.0, float(np.max(np.abs(figure), initial=0.0)))
    return figure.size > 0 and float(np.std(figure)) > _NOTHING * size


def fit_surface(
    scores: FloatArray, figure: FloatArray, inputs: Inputs = "normal"
) -> ResponseSurface | None:
    """Fit a surface to sampled crafts.

    Parameters
    ----------
    scores : ndarray, shape (crafts, inputs)
    figure : ndarray, shape (crafts,)
        Finite.
    inputs : str
        Distribution of the scores.

    Returns
    -------
    ResponseSurface or None
        None where the figure does not vary, or there are too few crafts for a plane.
    """
    spread = float(np.std(figure))
    if not varies(figure):
        return None
    most_terms = MOST_TERMS_SHARE * len(figure)
    powers = _best_powers(scores, figure, inputs, most_terms)
    if powers is None:
        return None
    folds = _folds(len(figure))
    missed = np.empty(len(figure))
    for fold in range(FOLDS):
        out = folds == fold
        chosen = _best_powers(scores[~out], figure[~out], inputs, most_terms)
        if chosen is None:
            return None
        weights = _least_squares(terms(scores[~out], chosen, inputs), figure[~out])
        missed[out] = figure[out] - terms(scores[out], chosen, inputs) @ weights
    misfit = float(np.sqrt(np.mean(missed**2)))
    weights = _least_squares(terms(scores, powers, inputs), figure)
    return ResponseSurface(inputs, powers, weights, 1.0 - (misfit / spread) ** 2, misfit)


def refitted_weights(matrix: FloatArray, figure: FloatArray, counts: FloatArray) -> FloatArray:
    """Give the weights of terms with each craft counted some times, shape (terms,).

    Parameters
    ----------
    matrix : ndarray, shape (crafts, terms)
        Every term at every craft.
    figure : ndarray, shape (crafts,)
    counts : ndarray, shape (crafts,)
        How often each craft counts; 0 leaves it out.
    """
    kept = counts > 0.0
    root = np.sqrt(counts[kept])
    return _least_squares(matrix[kept] * root[:, None], figure[kept] * root)


def terms(scores: FloatArray, powers: Powers, inputs: Inputs) -> FloatArray:
    """Give every term at every craft, with variance 1 each, shape (crafts, terms)."""
    degree = int(powers.max(initial=0))
    steps = np.arange(degree + 1)
    table: FloatArray
    if inputs == "normal":
        sizes = np.sqrt([float(math.factorial(k)) for k in steps])
        table = np.asarray(hermevander(scores, degree) / sizes, dtype=np.float64)
    else:
        table = np.asarray(legvander(scores, degree) * np.sqrt(2.0 * steps + 1.0), dtype=np.float64)
    product = np.ones((len(scores), len(powers)))
    for column in range(scores.shape[1]):
        used = powers[:, column] > 0
        product[:, used] *= table[:, column, powers[used, column]]
    return product


def _least_squares(matrix: FloatArray, figure: FloatArray) -> FloatArray:
    # The driver that orders columns as it goes: a third of the work of the one by singular values.
    weights = lstsq(matrix, figure, lapack_driver="gelsy", check_finite=False)[0]
    return np.asarray(weights, dtype=np.float64)


def _folds(count: int) -> NDArray[np.int64]:
    """Deal the crafts into folds, in an order that has nothing to do with how they were drawn."""
    order = np.argsort(uniform.rvs(size=count, random_state=_FOLD_SEED), kind="stable")
    folds = np.empty(count, dtype=np.int64)
    folds[order] = np.arange(count) % FOLDS
    return folds


def _best_powers(
    scores: FloatArray, figure: FloatArray, inputs: Inputs, most_terms: float
) -> Powers | None:
    """Give the terms with the least leave-one-out error, None where not even a plane fits.

    The error of a fit to all but one craft, at that craft, is e / (1 - h), with h the craft's
    diagonal entry of the hat matrix.
    """
    best: Powers | None = None
    least, found_at = math.inf, 1
    for powers in _candidates(scores.shape[1], most_terms):
        degree = int(powers.max())
        if degree > found_at + PATIENCE:
            break
        basis, _ = np.linalg.qr(terms(scores, powers, inputs))
        residual = figure - basis @ (basis.T @ figure)
        leverage = np.minimum(np.sum(basis**2, axis=1), 1.0 - 1e-9)
        error = float(np.mean((residual / (1.0 - leverage)) ** 2))
        if error < least:
            best, least, found_at = powers, error, degree
    return best


def _candidates(inputs: int, most_terms: float) -> Iterator[Powers]:
    """Give sets of terms from a plane upwards, as many as crafts allow."""
    seen: set[int] = set()
    for degree in range(1, HIGHEST_DEGREE + 1):
        for share in _MIXED_SHARES:
            powers = _hyperbolic(inputs, degree, share, most_terms)
            if powers is None:
                break
            if len(powers) not in seen:
                seen.add(len(powers))
                yield powers


@cache
def _hyperbolic(inputs: int, degree: int, share: float, most_terms: float) -> Powers | None:
    """Give all terms with (sum of degree_i^share)^(1/share) at most `degree`; None if too many."""
    bound = float(degree) ** share * (1.0 + 1e-12)
    found: list[tuple[int, ...]] = []

    def extend(start: tuple[int, ...], used: float) -> bool:
        if len(start) == inputs:
            found.append(start)
            return len(found) <= most_terms
        for power in range(degree + 1):
            here = used + float(power) ** share if power else used
            if here > bound:
                break
            if not extend((*start, power), here):
                return False
        return True

    return np.array(found, dtype=np.int64) if extend((), 0.0) else None
