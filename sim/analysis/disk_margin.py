"""Disk margins: how much gain and phase may vary at the same time, in one loop or in several.

Source: P. Seiler, A. Packard, P. Gahinet, An Introduction to Disk Margins, IEEE Control Systems
Magazine 40(5), 2020.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize, minimize_scalar

from sim.analysis.refined_grid import Response, Samples, highest

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]

_BALANCINGS = 30


@final
@dataclass(frozen=True)
class DiskMargin:
    r"""The largest disk of loop factors that leaves the closed loop stable.

    The loop is multiplied by any

    .. math:: f = \frac{1 + \tfrac{1 - \sigma}{2}\delta}{1 - \tfrac{1 + \sigma}{2}\delta},
        \quad |\delta| < \alpha.

    Attributes
    ----------
    alpha : float
        [-] Size of the disk, 1 / max |S + (sigma - 1) / 2|.
    frequency_rad_s : float
        [rad/s] Where the disk is used up.
    sigma : float
        [-] Skew; 0 treats gain rise and gain fall alike.
    """

    alpha: float
    frequency_rad_s: float
    sigma: float = 0.0

    @property
    def gain_low(self) -> float:
        """[-] Least real factor in the disk; negative when even a change of sign is borne."""
        return (2.0 - self.alpha * (1.0 - self.sigma)) / (2.0 + self.alpha * (1.0 + self.sigma))

    @property
    def gain_high(self) -> float:
        """[-] Greatest real factor in the disk, infinite when the disk is not bounded."""
        room = 2.0 - self.alpha * (1.0 + self.sigma)
        return (2.0 + self.alpha * (1.0 - self.sigma)) / room if room > 0.0 else float("inf")

    @property
    def phase_rad(self) -> float:
        """[rad] Turn to either side that the disk holds at unchanged gain.

        The edge of the disk has the real intercepts g1 and g2; it meets the unit circle where the
        cosine of the turn is (1 + g1 g2) / (g1 + g2), here written without infinite intercepts.
        """
        square = self.alpha**2
        cosine = (4.0 - square * (1.0 + self.sigma**2)) / (4.0 + square * (1.0 - self.sigma**2))
        return float(np.arccos(np.clip(cosine, -1.0, 1.0)))


def disk_margin_of(response: Response, samples: Samples, sigma: float = 0.0) -> DiskMargin:
    """Find the disk margin of a stable loop.

    Parameters
    ----------
    response : callable
        L at an array of frequencies [rad/s].
    samples : Samples
        L where it is known already, fine enough to show every peak of S.
    sigma : float
        [-] Skew of the disk, from -1 to 1.
    """

    def size(values: Complexes) -> Reals:
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.abs(1.0 / (1.0 + values) + 0.5 * (sigma - 1.0))

    place, worst = highest(response, size, samples)
    return DiskMargin(1.0 / worst, place, sigma)


def multi_loop_disk_margin(
    sensitivity: Callable[[Reals], Complexes], grid: Reals, sigma: float = 0.0
) -> DiskMargin:
    r"""Find the disk that every loop bears while all the others vary within theirs, too.

    The margin is the inverse of the greatest structured singular value of S + (sigma - 1)/2 I for
    independent complex factors, bounded from above by diagonal scaling,

    .. math:: \mu(M) \le \min_D \bar\sigma(D M D^{-1}),

    which is exact up to three loops and on the safe side beyond (Packard and Doyle, The Complex
    Structured Singular Value, Automatica 29(1), 1993).

    Parameters
    ----------
    sensitivity : callable
        S = (I + L)^-1 at an array of m frequencies [rad/s], shape (m, p, p).
    grid : (m,) array
        [rad/s] Where to look, ascending, fine enough to show every peak of S.
    sigma : float
        [-] Skew of the disk, from -1 to 1.
    """
    places, shifted = _shifted(sensitivity, grid, sigma)
    weights = _balanced(shifted)
    bounds = np.linalg.norm(_scaled(shifted, weights), ord=2, axis=(1, 2))
    # The search only lowers a bound: once the next bound is below the best result, none that
    # follows can be the worst frequency.
    worst, peak = 0.0, 0
    for index in np.argsort(-bounds, kind="stable"):
        if bounds[index] <= worst:
            break
        found = _least_bound(shifted[index], weights[index])
        worst, peak = max((worst, peak), (found, int(index)))

    def inverse(logarithm: float) -> float:
        _, near = _shifted(sensitivity, np.array([np.exp(logarithm)]), sigma)
        return -_least_bound(near[0], _balanced(near)[0]) if near.size else 0.0

    bracket = np.log([places[max(peak - 1, 0)], places[min(peak + 1, places.size - 1)]])
    refined = minimize_scalar(inverse, bounds=tuple(bracket), method="bounded")
    if -refined.fun > worst:
        return DiskMargin(float(-1.0 / refined.fun), float(np.exp(refined.x)), sigma)
    return DiskMargin(1.0 / worst, float(places[peak]), sigma)


def _shifted(
    sensitivity: Callable[[Reals], Complexes], grid: Reals, sigma: float
) -> tuple[Reals, Complexes]:
    """Give S + (sigma - 1)/2 I where it is finite, and the frequencies of those places."""
    values = sensitivity(grid)
    shifted = values + 0.5 * (sigma - 1.0) * np.eye(values.shape[1])[None, :, :]
    kept = np.isfinite(shifted).all(axis=(1, 2))
    return grid[kept], shifted[kept]


def _scaled(matrices: Complexes, log_weights: Reals) -> Complexes:
    """Give D M D^-1 with D = exp of the weights, for each matrix."""
    return matrices * np.exp(log_weights[:, :, None] - log_weights[:, None, :])


def _balanced(matrices: Complexes) -> Reals:
    """Give log weights that make each row as long as its column (Osborne 1960)."""
    count, size, _ = matrices.shape
    sizes = np.abs(matrices) ** 2
    sizes[:, np.arange(size), np.arange(size)] = 0.0
    sizes += 1e-30
    weights = np.zeros((count, size))
    for _ in range(_BALANCINGS):
        for k in range(size):
            scaled = sizes * np.exp(2.0 * (weights[:, :, None] - weights[:, None, :]))
            rows, columns = scaled[:, k, :].sum(axis=1), scaled[:, :, k].sum(axis=1)
            weights[:, k] += 0.25 * np.log(columns / rows)
    return weights - weights[:, :1]


def _least_bound(matrix: Complexes, start: Reals) -> float:
    """Lower the largest singular value of D M D^-1 by a direct search over the weights."""
    if matrix.shape[0] == 1:
        return float(np.abs(matrix[0, 0]))

    def bound(free: Reals) -> float:
        weights = np.concatenate([[0.0], free])
        return float(np.linalg.norm(_scaled(matrix[None], weights[None])[0], ord=2))

    options = {"xatol": 1e-10, "fatol": 1e-13, "maxiter": 4000}
    found = minimize(bound, start[1:], method="Nelder-Mead", options=options)
    return float(min(found.fun, bound(start[1:])))
