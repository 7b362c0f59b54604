"""Chord and twist of a blade at the middle of every annulus, from tables or from the pitch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


class Blade(NamedTuple):
    """A rotor's blades cut into annuli, lengths over the tip radius.

    Attributes
    ----------
    blades : int
        [-] Number of blades.
    radius : ndarray, shape (stations,)
        [-] Middle of each annulus.
    width : ndarray, shape (stations,)
        [-] Extent of each annulus along the blade.
    chord : ndarray, shape (stations,)
        [-] Chord over tip radius.
    twist : ndarray, shape (stations,)
        [rad] Chord line above the disc plane.
    """

    blades: int
    radius: FloatArray
    width: FloatArray
    chord: FloatArray
    twist: FloatArray


# Slender two-bladed electric propellers: chord over tip radius by station (from memory, unverified;
# the widest part lies near two fifths of the radius).
DEFAULT_CHORD: Final = (
    (0.15, 0.13),
    (0.25, 0.175),
    (0.40, 0.195),
    (0.55, 0.180),
    (0.70, 0.150),
    (0.85, 0.110),
    (0.95, 0.075),
    (1.00, 0.045),
)
DEFAULT_ROOT: Final = 0.15
DEFAULT_STATIONS: Final = 24
# Pitch is stamped for the flat lower face of the blade; the chord line from the trailing to the
# leading edge stands higher by about the nose height, 3.5 % of the chord (from memory of Clark Y).
FACE_TO_CHORD_RAD: Final = 0.035


def annuli(root: float, stations: int) -> tuple[FloatArray, FloatArray]:
    """Cut the blade into annuli that grow finer towards the tip.

    Parameters
    ----------
    root : float
        [-] Inner end of the working blade over the tip radius, 0 to below 1.
    stations : int
        [-] Number of annuli.

    Returns
    -------
    tuple of ndarray, shape (stations,)
        [-] Middle and width of each annulus.
    """
    edges = root + (1.0 - root) * np.sin(np.linspace(0.0, 0.5 * math.pi, stations + 1))
    return 0.5 * (edges[1:] + edges[:-1]), np.diff(edges)


def blade_from_functions(
    blades: int, chord: FloatArray, twist: FloatArray, *, root: float
) -> Blade:
    """Build a blade from chord and twist given at the middles of `annuli(root, len(chord))`.

    Parameters
    ----------
    blades : int
        [-] Number of blades.
    chord : ndarray, shape (stations,)
        [-] Chord over tip radius.
    twist : ndarray, shape (stations,)
        [rad] Chord line above the disc plane.
    root : float
        [-] Inner end of the working blade over the tip radius.

    Returns
    -------
    Blade
        [-] For the blade element functions.
    """
    radius, width = annuli(root, len(chord))
    return Blade(blades, radius, width, np.asarray(chord, float), np.asarray(twist, float))


def propeller_blade(
    diameter: float,
    pitch: float,
    blades: int,
    chord_table: Sequence[tuple[float, float]] = (),
    twist_table: Sequence[tuple[float, float]] = (),
    *,
    stations: int = DEFAULT_STATIONS,
) -> Blade:
    """Build a propeller blade from its tables, or from diameter and pitch where none is given.

    Parameters
    ----------
    diameter : float
        [m] Tip to tip.
    pitch : float
        [m] Advance of the lower face in one turn; used only without a twist table.
    blades : int
        [-] Number of blades.
    chord_table : sequence of (radius, chord)
        [-] Both over the tip radius, radius ascending; empty for a slender electric propeller.
    twist_table : sequence of (radius, angle)
        [-] and [rad] Chord line above the disc plane, radius ascending; empty to use the pitch.
    stations : int
        [-] Number of annuli.

    Returns
    -------
    Blade
        [-] From the root (15 % of the radius, or where the chord table starts) to the tip. Tables
        are read linearly and held beyond their ends.
    """
    table = chord_table or DEFAULT_CHORD
    root = min(table[0][0], 0.5) if chord_table else DEFAULT_ROOT
    radius, width = annuli(root, stations)
    chord = np.interp(radius, [row[0] for row in table], [row[1] for row in table])
    if twist_table:
        twist = np.interp(radius, [row[0] for row in twist_table], [row[1] for row in twist_table])
    else:
        twist = np.arctan(pitch / (math.pi * diameter * radius)) + FACE_TO_CHORD_RAD
    return Blade(blades, radius, width, chord, twist)


def solidity(blade: Blade) -> float:
    """Give blade area over disc area.

    Parameters
    ----------
    blade : Blade
        [-] The blade.

    Returns
    -------
    float
        [-] Solidity of the working blade.
    """
    return float(blade.blades / math.pi * np.sum(blade.chord * blade.width))
