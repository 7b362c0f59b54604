"""Points along the rim of a drape, and where its strips hang."""

from __future__ import annotations

import math
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sim.spec.drape import DrapeSpec
from sim.spec.rim import RimSpec

Array = NDArray[np.float64]

_NODES: Final = 4097


def rim_length_m(rim: RimSpec) -> float:
    """Give the length of a rim along itself.

    Parameters
    ----------
    rim : RimSpec
        Ring, oval, arc or rod.

    Returns
    -------
    float
        [m] Exact for circles and rods; of ovals by the arc-length integral.
    """
    if rim.is_straight:
        return rim.length_m
    if rim.is_circular:
        return rim.radii_m[0] * rim.spread_rad
    return float(_travelled(rim)[-1])


def rim_points_m(rim: RimSpec, shares: Array) -> Array:
    """Give points of a rim.

    Parameters
    ----------
    rim : RimSpec
        Ring, oval, arc or rod.
    shares : ndarray, shape (n,)
        [-] How far along the rim, 0 to 1. A closed rim starts at its foremost point and an arc at
        its left end as seen from the middle, both clockwise seen from above; a rod starts behind or
        at the left.

    Returns
    -------
    ndarray, shape (n, 3)
        [m] Body axes (forward, right, down) from the origin of the craft file.
    """
    middle = np.array(rim.place.body_m)
    return middle + _from_middle_m(rim, np.asarray(shares, dtype=np.float64))


def rim_tangents(rim: RimSpec, shares: Array) -> Array:
    """Give unit vectors along a rim, in the direction in which shares grow.

    Parameters
    ----------
    rim : RimSpec
        Ring, oval, arc or rod.
    shares : ndarray, shape (n,)
        [-] As in `rim_points_m`.

    Returns
    -------
    ndarray, shape (n, 3)
        [-] Body axes.
    """
    shares = np.asarray(shares, dtype=np.float64)
    if rim.is_straight:
        along = (1.0, 0.0, 0.0) if rim.along == "forward" else (0.0, 1.0, 0.0)
        return np.tile(np.array(along), (len(shares), 1))
    forward, right = rim.radii_m
    angle = _angle_rad(rim, shares)
    tangent = np.stack(
        [-forward * np.sin(angle), right * np.cos(angle), np.zeros_like(angle)], axis=1
    )
    unit: Array = tangent / np.linalg.norm(tangent, axis=1)[:, None]
    return unit


def strip_shares(drape: DrapeSpec) -> Array:
    """Give where along the rim the middles of the strips hang.

    Parameters
    ----------
    drape : DrapeSpec
        Its strips share the rim evenly.

    Returns
    -------
    ndarray, shape (strips,)
        [-] From 0 on a closed rim, else each in the middle of its own piece of the rim.
    """
    first = 0.0 if drape.rim.is_closed else 0.5
    shares: Array = (np.arange(drape.strips) + first) / drape.strips
    return shares


def strip_points_m(drape: DrapeSpec) -> Array:
    """Give the rim points from which the strips hang.

    Parameters
    ----------
    drape : DrapeSpec
        Strips and rim.

    Returns
    -------
    ndarray, shape (strips, 3)
        [m] Body axes from the origin of the craft file.
    """
    return rim_points_m(drape.rim, strip_shares(drape))


def strip_width_m(drape: DrapeSpec) -> float:
    """Give how wide one strip is to the air.

    Parameters
    ----------
    drape : DrapeSpec
        Sheets share the rim, gathered by their fullness; a tentacle is as wide as it is thick.

    Returns
    -------
    float
        [m] Width.
    """
    if drape.is_sheet:
        return rim_length_m(drape.rim) * drape.fullness / drape.strips
    return drape.width_m


def strip_cloth_m(drape: DrapeSpec) -> float:
    """Give how wide the cloth of one strip is when it is laid flat, which is what weighs.

    Parameters
    ----------
    drape : DrapeSpec
        A tentacle is a tube of cloth: pi times as wide as it is thick.

    Returns
    -------
    float
        [m] Width.
    """
    return math.pi * drape.width_m if drape.cut == "tentacles" else strip_width_m(drape)


def _from_middle_m(rim: RimSpec, shares: Array) -> Array:
    if rim.is_straight:
        return ((shares - 0.5) * rim.length_m)[:, None] * rim_tangents(rim, shares)
    forward, right = rim.radii_m
    angle = _angle_rad(rim, shares)
    return np.stack([forward * np.cos(angle), right * np.sin(angle), np.zeros_like(angle)], axis=1)


def _ends_rad(rim: RimSpec) -> tuple[float, float]:
    """Give the directions between which the rim runs."""
    if rim.is_closed:
        return 0.0, rim.spread_rad
    return rim.faces_rad - 0.5 * rim.spread_rad, rim.faces_rad + 0.5 * rim.spread_rad


def _on_oval(rim: RimSpec, direction: Array) -> Array:
    """Give the parameter t of the oval (a cos t, b sin t) that lies in a direction, unbroken."""
    forward, right = rim.radii_m
    turn = np.arctan2(forward * np.sin(direction), right * np.cos(direction))
    unbroken: Array = turn + 2.0 * math.pi * np.round((direction - turn) / (2.0 * math.pi))
    return unbroken


def _angle_rad(rim: RimSpec, shares: Array) -> Array:
    """Give the parameter of the oval at shares of its length."""
    if rim.is_circular:
        first, last = _ends_rad(rim)
        return first + shares * (last - first)
    travelled = _travelled(rim)
    return np.asarray(np.interp(shares * travelled[-1], travelled, _nodes(rim)))


def _nodes(rim: RimSpec) -> Array:
    first, last = _on_oval(rim, np.array(_ends_rad(rim)))
    return np.linspace(first, last, _NODES)


@cache
def _travelled(rim: RimSpec) -> Array:
    """Give the way along an oval [m] up to each node, by Simpson's rule between nodes."""
    forward, right = rim.radii_m
    nodes = _nodes(rim)
    step = nodes[1] - nodes[0]
    middles = nodes[:-1] + 0.5 * step
    quick = np.hypot(forward * np.sin(nodes), right * np.cos(nodes))
    between = np.hypot(forward * np.sin(middles), right * np.cos(middles))
    pieces = (quick[:-1] + 4.0 * between + quick[1:]) * step / 6.0
    return np.concatenate([[0.0], np.cumsum(pieces)])
