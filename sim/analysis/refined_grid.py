"""A frequency grid refined until the response runs smoothly along it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
from numpy.typing import NDArray

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]
Response: TypeAlias = Callable[[Reals], Complexes]

# Greatest change of ln L and ln(1 + L) between samples: a quarter in size, 14 degrees in turn.
_CHANGE_AT_MOST = 0.25
_POINTS_AT_MOST = 20_000
_CLOSEST = 1e-9
_ZOOM_POINTS = 17
_ZOOMS = 8
_PEAKS_REFINED = 5


@final
@dataclass(frozen=True)
class Samples:
    """A response at some frequencies.

    Attributes
    ----------
    frequencies_rad_s : (m,) array
        [rad/s] Positive and ascending.
    values : (m,) array
        The response, finite.
    """

    frequencies_rad_s: Reals
    values: Complexes


def refine(response: Response, frequencies_rad_s: Reals) -> Samples:
    """Halve the steps of a grid until L changes little from each point to the next.

    Changes are seen both from 0, for the crossings, and from -1, for the distance. A jump, as at an
    undamped resonance, is halved down to a billionth of its frequency and left. Where the size of L
    turns back just short of 1, or its phase just short of half a turn, the turning point itself is
    looked up, and added if it lies beyond: so two crossings close together are not missed.

    Parameters
    ----------
    response : callable
        L at an array of frequencies.
    frequencies_rad_s : (m,) array
        [rad/s] Frequencies to start from, positive and ascending.

    Returns
    -------
    Samples
        L on the finer grid; places where L is not finite are left out.
    """
    grid, values = frequencies_rad_s, response(frequencies_rad_s)
    while True:
        finite = np.isfinite(values)
        grid, values = grid[finite], values[finite]
        coarse = np.maximum(_changes(values), _changes(1.0 + values)) > _CHANGE_AT_MOST
        coarse &= np.diff(grid) > _CLOSEST * grid[:-1]
        places = np.flatnonzero(coarse)
        if not places.size or grid.size + places.size > _POINTS_AT_MOST:
            return _with_turning_points(response, Samples(grid, values))
        between = np.sqrt(grid[places] * grid[places + 1])
        grid = np.insert(grid, places + 1, between)
        values = np.insert(values, places + 1, response(between))


def highest(
    response: Response, height: Callable[[Complexes], Reals], samples: Samples
) -> tuple[float, float]:
    """Find the highest point of a function of the response, refined around its highest samples.

    Parameters
    ----------
    response : callable
        L at an array of frequencies.
    height : callable
        The function of L.
    samples : Samples
        L where it is known already, fine enough to show every peak.

    Returns
    -------
    tuple of float and float
        [rad/s] the place, and the function there.
    """
    grid = samples.frequencies_rad_s
    values = _without_nan(height(samples.values))
    inner = np.concatenate([[-np.inf], values, [-np.inf]])
    peaks = np.flatnonzero((inner[1:-1] >= inner[:-2]) & (inner[1:-1] >= inner[2:]))
    peaks = peaks[np.argsort(-values[peaks], kind="stable")][:_PEAKS_REFINED]
    best = (float(grid[peaks[0]]), float(values[peaks[0]]))
    low, high = grid[np.maximum(peaks - 1, 0)], grid[np.minimum(peaks + 1, grid.size - 1)]
    for tops, heights in _zooms(response, height, low, high):
        top = int(np.argmax(heights))
        if heights[top] > best[1]:
            best = (float(tops[top]), float(heights[top]))
    return best


def _zooms(
    response: Response, height: Callable[[Complexes], Reals], low: Reals, high: Reals
) -> Iterator[tuple[Reals, Reals]]:
    """Zoom in on the highest places of brackets, all at once; give them and the heights there."""
    rows = np.arange(low.size)
    for _ in range(_ZOOMS):
        places = np.geomspace(low, high, _ZOOM_POINTS, axis=1)
        heights = _without_nan(height(response(places.ravel()))).reshape(places.shape)
        top = np.argmax(heights, axis=1)
        low = places[rows, np.maximum(top - 1, 0)]
        high = places[rows, np.minimum(top + 1, _ZOOM_POINTS - 1)]
        yield places[rows, top], heights[rows, top]


def _without_nan(values: Reals) -> Reals:
    return np.where(np.isnan(values), -np.inf, values)


def _changes(values: Complexes) -> Reals:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.abs(np.log(values[1:] / values[:-1]))


def _size(values: Complexes) -> Reals:
    with np.errstate(divide="ignore"):
        return np.log(np.abs(values))


def _turn(values: Complexes) -> Reals:
    return np.angle(-values)


def _with_turning_points(response: Response, samples: Samples) -> Samples:
    """Add the turning points that lie beyond |L| = 1 or beyond the negative real axis."""
    grid = samples.frequencies_rad_s
    added = [grid]
    for measure in (_size, _turn):
        for side in (1.0, -1.0):
            heights = side * measure(samples.values)
            middle = heights[1:-1]
            near = (middle >= heights[:-2]) & (middle >= heights[2:])
            near &= (middle < 0.0) & (middle > -_CHANGE_AT_MOST)
            peaks = np.flatnonzero(near) + 1
            if peaks.size:
                low, high = grid[peaks - 1], grid[peaks + 1]
                added.append(_beyond(response, lambda v: side * measure(v), low, high))  # noqa: B023
    finer = np.unique(np.concatenate(added))
    if finer.size == grid.size:
        return samples
    return Samples(finer, response(finer))


def _beyond(
    response: Response, height: Callable[[Complexes], Reals], low: Reals, high: Reals
) -> Reals:
    """Give the highest places of brackets, all zoomed at once, where the height is positive."""
    *_, (places, heights) = _zooms(response, height, low, high)
    result: Reals = places[heights > 0.0]
    return result
