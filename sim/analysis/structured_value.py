r"""Bounds of the structured singular value for independent complex factors, one per loop.

For a matrix M of p loops, mu(M) is the inverse of the least size of a diagonal of complex numbers
d_k for which det(I - diag(d) M) = 0. It lies between

.. math:: \max_U \rho(U M) \le \mu(M) \le \min_D \bar\sigma(D M D^{-1}),

U diagonal of size 1, D diagonal and positive. The lower bound is mu at its global maximum; the
upper one is convex in the logarithms of D and is mu up to three loops (Packard and Doyle, The
Complex Structured Singular Value, Automatica 29(1), 1993; Sezginer and Overton, The Largest
Singular Value of e^X A e^-X is Convex on Convex Sets of Commuting Matrices, IEEE Trans. Automatic
Control 35(2), 1990). Any D gives a bound, so a search that stops early errs on the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]

_BALANCINGS = 12
# The largest singular value has corners where two meet; norms of these exponents are smooth and
# come as close to it as the logarithm of p over the exponent.
_EXPONENTS = (16.0, 256.0, 4096.0)
_SEARCH = {"gtol": 1e-7, "ftol": 1e-13, "maxcor": 20}
# Where loops do not act on each other the best weights are infinitely far apart.
_MOST_WEIGHT = 200.0
_STARTS = 8
_CLOSED = 1e-7
_FLOOR = 1e-30


@final
@dataclass(frozen=True)
class UpperBound:
    """An upper bound of mu with the weights that prove it.

    Attributes
    ----------
    value : float
        Largest singular value of D M D^-1.
    weights : (p,) array
        Logarithms of D.
    """

    value: float
    weights: Reals


@final
@dataclass(frozen=True)
class LowerBound:
    """A lower bound of mu with the factors that prove it: det(I - diag(factors) M) = 0.

    Attributes
    ----------
    value : float
        Inverse of the size that all the factors have.
    factors : (p,) array
        Complex, all of the same size.
    """

    value: float
    factors: Complexes


def scaled(matrices: Complexes, weights: Reals) -> Complexes:
    """Give D M D^-1, D = exp of the weights (m, p), for matrices (m, p, p)."""
    return matrices * np.exp(weights[:, :, None] - weights[:, None, :])


def balanced(matrices: Complexes) -> Reals:
    """Give log weights (m, p) that make each row as long as its column (Osborne 1960)."""
    count, size, _ = matrices.shape
    squares = np.abs(matrices) ** 2
    squares[:, np.arange(size), np.arange(size)] = 0.0
    squares += _FLOOR
    weights = np.zeros((count, size))
    for _ in range(_BALANCINGS):
        for k in range(size):
            change = 0.25 * np.log(squares[:, :, k].sum(axis=1) / squares[:, k, :].sum(axis=1))
            weights[:, k] += change
            factor = np.exp(2.0 * change)
            squares[:, k, :] *= factor[:, None]
            squares[:, :, k] /= factor[:, None]
    return weights - weights[:, :1]


def upper_bounds(matrices: Complexes, weights: Reals) -> Reals:
    """Give the upper bounds (m,) of mu that weights (m, p) prove, without any search."""
    bounds: Reals = np.linalg.norm(scaled(matrices, weights), ord=2, axis=(1, 2))
    return bounds


def least_upper_bound(matrix: Complexes, start: Reals) -> UpperBound:
    """Lower the upper bound of mu of a (p, p) matrix from log weights (p,) to start with."""

    def smooth(free: Reals, exponent: float) -> tuple[float, Reals]:
        weights = np.concatenate([[0.0], free])
        left, sizes, right = np.linalg.svd(scaled(matrix[None], weights[None])[0])
        shares = (sizes / sizes[0]) ** exponent
        total = float(shares.sum())
        slopes = (np.abs(left) ** 2 - np.abs(right.conj().T) ** 2) @ (shares / total)
        return float(np.log(sizes[0]) + np.log(total) / exponent), slopes[1:]

    found = UpperBound(float(upper_bounds(matrix[None], start[None])[0]), start)
    if len(matrix) == 1 or found.value == 0.0:
        return found
    free = np.clip(start[1:] - start[0], -_MOST_WEIGHT, _MOST_WEIGHT)
    bounds = [(-_MOST_WEIGHT, _MOST_WEIGHT)] * len(free)
    for exponent in _EXPONENTS:
        free = minimize(
            smooth,
            free,
            args=(exponent,),
            jac=True,
            method="L-BFGS-B",
            bounds=bounds,
            options=_SEARCH,
        ).x
        weights = np.concatenate([[0.0], free])
        value = float(upper_bounds(matrix[None], weights[None])[0])
        if value < found.value:
            found = UpperBound(value, weights)
    return found


def greatest_lower_bound(matrix: Complexes, above: UpperBound) -> LowerBound:
    """Raise the lower bound of mu of a (p, p) matrix towards its upper bound.

    Where the largest singular value of D M D^-1 stands alone at the best D, its vectors turn into
    each other by phases only, and those phases make both bounds equal; so the search begins there,
    and at a few other phases that are the same each time.
    """
    size = len(matrix)

    def smallness(free: Reals) -> tuple[float, Reals]:
        turn = np.exp(1j * np.concatenate([[0.0], free]))
        root, right, left = _largest_root(turn[:, None] * matrix)
        share = left.conj() * right
        return float(-np.log(max(abs(root), _FLOOR))), np.imag(share / share.sum())[1:]

    outer, _, inner = np.linalg.svd(scaled(matrix[None], above.weights[None])[0])
    first = np.angle(inner[0].conj()) - np.angle(outer[:, 0])
    others = np.outer(np.arange(1.0, _STARTS + 1.0), np.arange(size) ** 2)
    best, turn = -1.0, np.ones(size, dtype=np.complex128)
    for phases in (first, np.zeros(size), *others):
        free = minimize(
            smallness, phases[1:] - phases[0], jac=True, method="L-BFGS-B", options=_SEARCH
        ).x
        tried = np.exp(1j * np.concatenate([[0.0], free]))
        reached = abs(_largest_root(tried[:, None] * matrix)[0])
        if reached > best * (1.0 + 1e-12):
            best, turn = float(reached), tried
        if best > above.value * (1.0 - _CLOSED):
            break
    root = _largest_root(turn[:, None] * matrix)[0]
    return LowerBound(best, turn / root if root != 0.0 else np.full(size, np.inf + 0j))


def _largest_root(matrix: Complexes) -> tuple[complex, Complexes, Complexes]:
    """Give the eigenvalue of largest size with its right and left eigenvector."""
    roots, right = np.linalg.eig(matrix)
    place = int(np.argmax(np.abs(roots)))
    left = np.linalg.solve(right.conj().T, np.eye(len(matrix))[:, place])
    return complex(roots[place]), right[:, place], left
