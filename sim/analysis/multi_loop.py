r"""Margins of several loops that vary at the same time: their joint disk, and one delay for all.

The joint disk margin is the inverse of the greatest structured singular value over frequency of
S + (sigma - 1)/2 I (P. Seiler, A. Packard, P. Gahinet, An Introduction to Disk Margins, IEEE
Control Systems Magazine 40(5), 2020). It is bracketed: inside the smaller disk nothing
destabilises, and on the edge of the larger one a combination is known that does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from sim.analysis.disk_margin import DiskMargin
from sim.analysis.loop_margins import Margin
from sim.analysis.structured_value import (
    balanced,
    greatest_lower_bound,
    least_upper_bound,
    upper_bounds,
)

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]
Sensitivity: TypeAlias = Callable[[Reals], Complexes]

# How much of the guaranteed margin may be given away to end the search early.
_GIVEN_AWAY = 1e-4
_SINGULAR = 1e-6
_ZOOMS = 4
_ZOOM_POINTS = 17


@final
@dataclass(frozen=True)
class JointDisk:
    """The disk margin of several loops, between two bounds.

    Attributes
    ----------
    guaranteed : DiskMargin
        Every loop bears any factor in this disk while all the others vary within theirs, too.
    reached : DiskMargin
        On the edge of this disk a combination of factors is known that destabilises.
    factors : tuple of complex
        That combination, one factor per loop, at the frequency of `reached`; 1 where a loop need
        not change.
    """

    guaranteed: DiskMargin
    reached: DiskMargin
    factors: tuple[complex, ...]

    @property
    def gap(self) -> float:
        """[-] By how much of itself the guaranteed margin might be larger."""
        return self.reached.alpha / self.guaranteed.alpha - 1.0


def joint_disk_margin(sensitivity: Sensitivity, grid: Reals, sigma: float = 0.0) -> JointDisk:
    """Find the disk that every loop bears while all the others vary within theirs, too.

    Parameters
    ----------
    sensitivity : callable
        S = (I + L)^-1 at an array of m frequencies [rad/s], shape (m, p, p).
    grid : (m,) array
        [rad/s] Where to look, ascending, fine enough to show every peak of S.
    sigma : float
        [-] Skew of the disk, from -1 to 1.
    """
    places, matrices = _shifted(sensitivity, grid, sigma)
    weights = balanced(matrices)
    bounds = upper_bounds(matrices, weights)
    # The search only lowers a bound: once the next one is below the best result, none that follows
    # can be the worst frequency. Weights that are good at one frequency are good near it.
    worst, peak = 0.0, 0
    while True:
        index = int(np.argmax(bounds))
        if bounds[index] <= worst * (1.0 + _GIVEN_AWAY):
            break
        found = least_upper_bound(matrices[index], weights[index])
        alike = upper_bounds(matrices, np.broadcast_to(found.weights, weights.shape))
        better = alike < bounds
        weights[better], bounds[better] = found.weights, alike[better]
        bounds[index] = 0.0
        if found.value > worst:
            worst, peak = found.value, index
    left_over = max(float(bounds.max()), worst)
    low, high = places[max(peak - 1, 0)], places[min(peak + 1, places.size - 1)]
    at, found = float(places[peak]), least_upper_bound(matrices[peak], weights[peak])
    for _ in range(_ZOOMS):
        near, values = _shifted(sensitivity, np.geomspace(low, high, _ZOOM_POINTS), sigma)
        alike = upper_bounds(
            values, np.broadcast_to(found.weights, (len(near), len(found.weights)))
        )
        top = int(np.argmax(alike))
        low, high = near[max(top - 1, 0)], near[min(top + 1, near.size - 1)]
        tried = least_upper_bound(values[top], found.weights)
        if tried.value > found.value:
            at, found = float(near[top]), tried
    left_over = max(left_over, found.value)
    _, here = _shifted(sensitivity, np.array([at]), sigma)
    below = greatest_lower_bound(here[0], found)
    return JointDisk(
        DiskMargin(1.0 / left_over, at, sigma),
        DiskMargin(1.0 / below.value, at, sigma),
        _factors(_needed(below.factors, here[0]), sigma),
    )


def joint_delay_margin(sensitivity: Sensitivity, grid: Reals) -> Margin:
    """Find the least delay [s] that destabilises when it is added to all the loops together.

    With L = S^-1 - I and T the delay, det(I + L exp(-j w T)) = 0 where an eigenvalue of L of size 1
    is turned to -1.
    """

    def ranked(frequencies: Reals) -> Complexes:
        values = sensitivity(frequencies)
        loops = np.asarray(np.linalg.inv(values), dtype=np.complex128) - np.eye(values.shape[1])
        roots = np.asarray(np.linalg.eigvals(loops), dtype=np.complex128)
        return np.take_along_axis(roots, np.argsort(-np.abs(roots), axis=1), axis=1)

    def excess(w: float, rank: int) -> float:
        return float(np.log(np.abs(ranked(np.array([w]))[0, rank])))

    logs = np.log(np.abs(ranked(grid)))
    best = Margin(np.inf, None)
    # The k-th largest size is a continuous function of frequency, whichever root it belongs to.
    for rank in range(logs.shape[1]):
        for index in np.flatnonzero(logs[:-1, rank] * logs[1:, rank] < 0.0):
            low, high = float(grid[index]), float(grid[index + 1])
            if excess(low, rank) * excess(high, rank) > 0.0:
                continue
            w = float(brentq(excess, low, high, args=(rank,), rtol=1e-13))
            lag = float(np.angle(-ranked(np.array([w]))[0, rank]))
            delay = (lag if lag >= 0.0 else lag + 2.0 * np.pi) / w
            if delay < best.value:
                best = Margin(delay, w)
    return best


def _needed(delta: Complexes, matrix: Complexes) -> Complexes:
    """Leave out of a combination that destabilises what it does not need: det(I - D M) = 0."""
    kept = delta.copy()
    for k in range(len(delta)):
        tried = kept.copy()
        tried[k] = 0.0
        left = np.linalg.svd(np.eye(len(delta)) - tried[:, None] * matrix, compute_uv=False)
        if left[-1] < _SINGULAR:
            kept = tried
    return kept


def _factors(delta: Complexes, sigma: float) -> tuple[complex, ...]:
    """Turn complex variations of the loops into their factors."""
    with np.errstate(divide="ignore", invalid="ignore"):
        factors = (1.0 + 0.5 * (1.0 - sigma) * delta) / (1.0 - 0.5 * (1.0 + sigma) * delta)
    return tuple(complex(factor) for factor in factors)


def _shifted(sensitivity: Sensitivity, grid: Reals, sigma: float) -> tuple[Reals, Complexes]:
    """Give S + (sigma - 1)/2 I where it is finite, and the frequencies of those places."""
    values = sensitivity(grid)
    shifted = values + 0.5 * (sigma - 1.0) * np.eye(values.shape[1])[None, :, :]
    kept = np.isfinite(shifted).all(axis=(1, 2))
    return grid[kept], shifted[kept]
