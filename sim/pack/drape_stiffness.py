"""How stiff threads and folds of a drape may be, and must be."""

from __future__ import annotations

import math

import numpy as np

from sim.pack.drape_cloth import Hanging
from sim.params.record import FloatArray

STABLE = 4.0
SAFETY = 0.8
SHEAR_SHARE = 0.05
STRONG_WIND_M_S = 10.0
MOST_STRAIN = 0.02
SNAP, SNAP_LENGTH_M, SNAP_OF_STRANDS = 0.5, 0.6, 0.1
STABLE_BENDING_SHARE = 0.02


def moved_kg(hung: Hanging) -> FloatArray:
    """Give what must be moved at each row's particles [kg], half of it at the hem."""
    moved = np.full(hung.rows, hung.mass_kg + hung.entrained_kg)
    moved[-1] *= 0.5
    return moved


def _tightest(hung: Hanging) -> float:
    """Give the largest eigenvalue of warp and weft, taut, in units of stiffness over moved mass.

    Threads that all pulled the same way would be stiffer than they are in any direction, so this
    bounds what they do.
    """
    rows, strips = hung.rows, hung.strips
    moved = np.repeat(moved_kg(hung)[None], strips, axis=0).ravel() / (
        hung.mass_kg + hung.entrained_kg
    )
    laplace = np.zeros((rows * strips, rows * strips))

    def tie(one: int, other: int, stiffness: float) -> None:
        for a, b in ((one, other), (other, one)):
            if a >= 0:
                laplace[a, a] += stiffness
                if b >= 0:
                    laplace[a, b] -= stiffness

    for strip in range(strips):
        beside = (strip + 1) % strips
        has_next = hung.is_woven and (hung.is_closed or strip < strips - 1)
        for row in range(rows):
            k, other = strip * rows + row, beside * rows + row
            stiffness = 0.5 if row == rows - 1 else 1.0
            tie(k, k - 1 if row else -1, stiffness)
            if has_next:
                tie(k, other, stiffness)
    root = 1.0 / np.sqrt(moved)
    return float(np.linalg.eigvalsh(root[:, None] * laplace * root[None])[-1])


def stable_share(hung: Hanging) -> float:
    """Give the stiffness of a whole thread over moved mass and the square of a part of the step.

    Semi-implicit Euler is stable while h^2 w^2 (1 + 2 lag / h) < 4 for the fastest mode w, with
    the lag of the dampers, loss h / sqrt(share). SAFETY leaves room for shear, bending,
    contact, and threads that stiffen as they stretch.
    """
    limit, loss = SAFETY * STABLE / _tightest(hung), hung.loss_factor
    return (math.sqrt(loss * loss + limit) - loss) ** 2


def parts_of_a_step(hung: Hanging, step_s: float) -> int:
    """Give in how many parts of a step warp and weft must pull so that they stretch little.

    A thread that is pulled at a speed v stretches by v over the speed of waves in it, and these go
    a spacing in a part of a step over the root of `stable_share`. Cloth that flutters in a wind V
    snaps with a share of V that grows as the root of its length, SNAP for 0.6 m, less where the
    wind blows through; strands do not flutter. Found by experiment with the fabrics of the table in
    all cuts in 10 m/s that starts at once: the greatest strain stays below MOST_STRAIN.
    """
    snap = SNAP * math.sqrt(hung.length_m / SNAP_LENGTH_M) * min(hung.normal_coefficient, 1.0)
    if hung.is_round:
        snap = SNAP_OF_STRANDS
    spacing = min(hung.height_m, float(hung.spacing_m.min())) if hung.is_woven else hung.height_m
    strain = snap * STRONG_WIND_M_S * step_s / (math.sqrt(stable_share(hung)) * spacing)
    return max(math.ceil(strain / MOST_STRAIN), 1)


def most_bending_n_m(hung: Hanging, step_s: float) -> float:
    """Give the stiffest fold [N/m] that the step bears."""
    return STABLE_BENDING_SHARE * float(moved_kg(hung)[-1]) / step_s**2
