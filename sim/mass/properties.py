"""Mass, centre of gravity and inertia of a whole craft, with the ledger they were summed from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@final
@dataclass(frozen=True, eq=False)
class PartMass:
    """One part, as far as its mass goes.

    Attributes
    ----------
    name : str
        Name in the ledger.
    mass_kg, mass_plus_minus_kg : float
        [kg] Mass and its uncertainty, about two standard deviations.
    place_m, place_plus_minus_m : ndarray
        [m] Centre of gravity in body axes (forward, right, down) from the origin of the craft file,
        and its uncertainty along each axis; shape (3,).
    inertia_kg_m2 : ndarray
        [kg m2] Inertia about its own centre of gravity, body axes, shape (3, 3).
    """

    name: str
    mass_kg: float
    mass_plus_minus_kg: float
    place_m: Array
    place_plus_minus_m: Array
    inertia_kg_m2: Array


@final
@dataclass(frozen=True, eq=False)
class LedgerLine:
    """What one part adds to the whole.

    Attributes
    ----------
    name : str
        Name of the part.
    mass_kg : float
        [kg] Mass.
    place_m : ndarray
        [m] Its centre of gravity in body axes from the origin of the craft file, shape (3,).
    inertia_kg_m2 : ndarray
        [kg m2] What it adds to the inertia about the centre of the whole, shape (3, 3).
    """

    name: str
    mass_kg: float
    place_m: Array
    inertia_kg_m2: Array


@final
@dataclass(frozen=True, eq=False)
class MassProperties:
    """Mass, centre of gravity and inertia of a craft.

    Every `plus_minus` is about two standard deviations, to first order, all inputs independent.

    Attributes
    ----------
    mass_kg, mass_plus_minus_kg : float
        [kg] Mass.
    centre_m, centre_plus_minus_m : ndarray
        [m] Centre of gravity in body axes (forward, right, down) from the origin of the craft file,
        shape (3,).
    inertia_kg_m2 : ndarray
        [kg m2] Inertia about the centre of gravity in body axes, shape (3, 3); products of inertia
        stand off the diagonal with their minus sign.
    inertia_plus_minus_kg_m2 : ndarray
        [kg m2] Uncertainty of the diagonal: roll, pitch, yaw; shape (3,).
    principal_moments_kg_m2 : ndarray
        [kg m2] Smallest first, shape (3,).
    principal_axes : ndarray
        [1] Their axes as columns, right-handed, shape (3, 3).
    ledger : tuple of LedgerLine
        What each part adds.
    notes : tuple of str
        A sentence for each figure that was measured rather than summed.
    """

    mass_kg: float
    mass_plus_minus_kg: float
    centre_m: Array
    centre_plus_minus_m: Array
    inertia_kg_m2: Array
    inertia_plus_minus_kg_m2: Array
    principal_moments_kg_m2: Array
    principal_axes: Array
    ledger: tuple[LedgerLine, ...]
    notes: tuple[str, ...] = ()


def principal(inertia_kg_m2: Array) -> tuple[Array, Array]:
    """Give the principal moments, smallest first, and their axes as right-handed columns.

    Parameters
    ----------
    inertia_kg_m2 : ndarray
        [kg m2] Symmetric, shape (3, 3).

    Returns
    -------
    moments, axes : ndarray
        [kg m2] Shape (3,), and [1] shape (3, 3).
    """
    moments, axes = np.linalg.eigh(inertia_kg_m2)
    if np.linalg.det(axes) < 0.0:
        axes[:, 2] = -axes[:, 2]
    return moments, axes
