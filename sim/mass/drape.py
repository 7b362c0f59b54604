"""Mass, place and inertia of fabric that hangs straight down from its rim."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sim.mass.properties import PartMass
from sim.mass.rim import rim_points_m, strip_cloth_m, strip_points_m
from sim.spec.drape import DrapeSpec

Array = NDArray[np.float64]

_PLACES_OF_SHEET: Final = 720
_ROUNDING: Final = 1e-13


def drape_mass(drape: DrapeSpec) -> PartMass:
    """Give the fabric of one drape as it hangs straight down.

    Parameters
    ----------
    drape : DrapeSpec
        Cut, sizes and fabric.

    Returns
    -------
    PartMass
        The fabric, wet if its file says so. A sheet is a curtain along its rim, ribbons and
        tentacles are upright lines at their rim points; gathering adds mass and no size.
    """
    length, density = drape.length_m, drape.fabric.density_now_kg_m2
    mass = drape.strips * strip_cloth_m(drape) * length.value * density.value
    spread = mass * math.hypot(length.plus_minus / length.value, density.plus_minus / density.value)
    middle, around = _rim_middle_and_inertia(drape)
    upright = length.value**2 / 12.0 * np.diag([1.0, 1.0, 0.0])
    return PartMass(
        name=drape.name,
        mass_kg=mass,
        mass_plus_minus_kg=spread,
        place_m=middle + np.array([0.0, 0.0, length.value / 2.0]),
        place_plus_minus_m=np.array(drape.rim.place.plus_minus_m),
        inertia_kg_m2=mass * (around + upright),
    )


def rim_mass(drape: DrapeSpec, mass_kg: float) -> PartMass:
    """Give the part of the fabric that the rim itself carries, as points or a line on the rim.

    Parameters
    ----------
    drape : DrapeSpec
        Rim and strips.
    mass_kg : float
        [kg] What the whole rim carries.

    Returns
    -------
    PartMass
        One line of the ledger, without spread.
    """
    middle, around = _rim_middle_and_inertia(drape)
    return PartMass(
        name=f"{drape.name} at its rim",
        mass_kg=mass_kg,
        mass_plus_minus_kg=0.0,
        place_m=middle,
        place_plus_minus_m=np.zeros(3),
        inertia_kg_m2=mass_kg * around,
    )


def hanging_points_m(drape: DrapeSpec) -> Array:
    """Give points along the rim of which each bears an equal share of the fabric.

    Parameters
    ----------
    drape : DrapeSpec
        A sheet hangs from the whole rim, ribbons and tentacles from a point each.

    Returns
    -------
    ndarray, shape (n, 3)
        [m] Body axes from the origin of the craft file.
    """
    if not drape.is_sheet:
        return strip_points_m(drape)
    shares = (np.arange(_PLACES_OF_SHEET) + 0.5) / _PLACES_OF_SHEET
    return rim_points_m(drape.rim, shares)


def _rim_middle_and_inertia(drape: DrapeSpec) -> tuple[Array, Array]:
    """Give the middle [m] of what hangs and the inertia [m2] of a kilogram spread along the rim.

    What is nothing but rounding is set to zero, so that a symmetric craft stays symmetric.
    """
    place = np.array(drape.rim.place.body_m)
    hung = hanging_points_m(drape) - place
    size = float(np.abs(hung).max()) or 1.0
    aside = _without_rounding(hung.mean(axis=0), size)
    apart = hung - aside
    inertia = (apart**2).sum() / len(apart) * np.eye(3) - apart.T @ apart / len(apart)
    return place + aside, _without_rounding(inertia, size**2)


def _without_rounding(values: Array, size: float) -> Array:
    return np.where(np.abs(values) < _ROUNDING * size, 0.0, values)
