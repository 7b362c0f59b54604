"""Refuses masses and inertia tensors that no body can have."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

_ROUNDING = 1e-9


def why_mass_is_impossible(mass_kg: float) -> str:
    """Give the reason why a total mass cannot be, or an empty string.

    Parameters
    ----------
    mass_kg : float
        [kg] Mass of a whole craft.

    Returns
    -------
    str
        Reason, in words for the builder.
    """
    if 0.0 < mass_kg < math.inf:
        return ""
    return f"the craft weighs {mass_kg:g} kg in all: give its parts a mass above zero"


def why_inertia_is_impossible(inertia_kg_m2: NDArray[np.float64]) -> str:
    """Give the reason why an inertia tensor cannot be that of a body, or an empty string.

    The tensor must be symmetric, no principal moment negative, and none above the sum of the other
    two: with moments A, B, C of x, y, z, A + B - C is twice the sum of m z^2. A zero moment is
    allowed here: a thin rod has one.

    Parameters
    ----------
    inertia_kg_m2 : ndarray
        [kg m2] Shape (3, 3).

    Returns
    -------
    str
        Reason, in words for the builder.
    """
    if not bool(np.isfinite(inertia_kg_m2).all()):
        return "the inertia is not a finite number"
    size = float(np.abs(inertia_kg_m2).max())
    if float(np.abs(inertia_kg_m2 - inertia_kg_m2.T).max()) > _ROUNDING * size:
        return "the inertia tensor is not symmetric"
    small, middle, large = (float(moment) for moment in np.linalg.eigvalsh(inertia_kg_m2))
    seen = f"principal moments {small:.4g}, {middle:.4g}, {large:.4g} kg m2"
    if small < -_ROUNDING * size:
        return f"{seen}: none may be negative"
    if large > small + middle + _ROUNDING * size:
        return (
            f"{seen}: the largest may be at most the sum of the other two; look for swapped axes, "
            "a mistyped swing time, or g cm2 read as kg m2"
        )
    return ""


def why_craft_cannot_turn(inertia_kg_m2: NDArray[np.float64]) -> str:
    """Give the reason why a craft has no usable inertia, or an empty string.

    A craft made of one point, or of points on one line, has an axis without inertia: any moment
    about it would turn it infinitely fast.

    Parameters
    ----------
    inertia_kg_m2 : ndarray
        [kg m2] Shape (3, 3), a possible one.

    Returns
    -------
    str
        Reason, in words for the builder.
    """
    moments, axes = np.linalg.eigh(inertia_kg_m2)
    if float(moments[0]) > _ROUNDING * float(moments[2]):
        return ""
    axis = ("forward", "right", "up")[int(np.abs(axes[:, 0]).argmax())]
    return (
        f"the craft has no inertia about its {axis} axis: all its masses lie on one line; give "
        "parts a shape with a size instead of points"
    )
