"""Inertia of simple solids of even density, each about its own centre of gravity.

The place of a part in a craft file is the place of its centre of gravity, for every shape. For a
hemispherical shell that point lies on the axis, half a radius from the rim's plane towards the
dome (`hemispherical_shell_centre_offset`).

Formulas: Meriam, J. L. and Kraige, L. G., Engineering Mechanics: Dynamics, table D/4 (from memory
of the table; each is checked in the tests by integration).
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
Along = Literal["forward", "right", "up"]

_AXIS: dict[Along, int] = {"forward": 0, "right": 1, "up": 2}


def _about_axis(along: Along, axial: float, transverse: float) -> Matrix:
    """Give a diagonal tensor, shape (3, 3), from the moments along and across an axis."""
    moments = [transverse, transverse, transverse]
    moments[_AXIS[along]] = axial
    return np.diag(np.asarray(moments, dtype=np.float64))


def point() -> Matrix:
    """Give the inertia of a point: none.

    Returns
    -------
    ndarray
        [kg m2] Zeros, shape (3, 3), body axes.
    """
    return np.zeros((3, 3))


def rod(mass_kg: float, length_m: float, along: Along) -> Matrix:
    """Give the inertia of a thin straight rod, m L^2 / 12 across it.

    Parameters
    ----------
    mass_kg, length_m : float
        [kg], [m] Mass and length.
    along : {"forward", "right", "up"}
        Axis it lies along.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    return _about_axis(along, 0.0, mass_kg * length_m**2 / 12.0)


def tube(
    mass_kg: float, length_m: float, radius_m: float, inner_radius_m: float, along: Along
) -> Matrix:
    """Give the inertia of a tube open at both ends, m (R^2 + r^2) / 2 along its axis.

    Across it the moment is m (3 (R^2 + r^2) + L^2) / 12.

    Parameters
    ----------
    mass_kg, length_m : float
        [kg], [m] Mass and length.
    radius_m, inner_radius_m : float
        [m] Outer and inner radius.
    along : {"forward", "right", "up"}
        Its axis.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    squares = radius_m**2 + inner_radius_m**2
    transverse = mass_kg * (3.0 * squares + length_m**2) / 12.0
    return _about_axis(along, mass_kg * squares / 2.0, transverse)


def cylinder(mass_kg: float, length_m: float, radius_m: float, along: Along) -> Matrix:
    """Give the inertia of a solid cylinder, m R^2 / 2 along its axis.

    Parameters
    ----------
    mass_kg, length_m, radius_m : float
        [kg], [m], [m] Mass, length and radius.
    along : {"forward", "right", "up"}
        Its axis.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    return tube(mass_kg, length_m, radius_m, 0.0, along)


def disc(mass_kg: float, radius_m: float, along: Along) -> Matrix:
    """Give the inertia of a thin flat disc, m R^2 / 2 along its axis and half of it across.

    Parameters
    ----------
    mass_kg, radius_m : float
        [kg], [m] Mass and radius.
    along : {"forward", "right", "up"}
        The axis it faces.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    return tube(mass_kg, 0.0, radius_m, 0.0, along)


def box(mass_kg: float, forward_m: float, right_m: float, up_m: float) -> Matrix:
    """Give the inertia of a solid box, m (b^2 + c^2) / 12 about the axis of side a.

    Parameters
    ----------
    mass_kg : float
        [kg] Mass.
    forward_m, right_m, up_m : float
        [m] Length of the sides.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    x2, y2, z2 = forward_m**2, right_m**2, up_m**2
    return np.diag([y2 + z2, x2 + z2, x2 + y2]) * (mass_kg / 12.0)


def panel(mass_kg: float, length_m: float, width_m: float, along: Along) -> Matrix:
    """Give the inertia of a thin flat rectangle that faces along an axis.

    Parameters
    ----------
    mass_kg : float
        [kg] Mass.
    length_m : float
        [m] Its side along the first of forward, right, up that it does not face.
    width_m : float
        [m] Its other side.
    along : {"forward", "right", "up"}
        The axis it faces.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    sides = [length_m, width_m]
    sides.insert(_AXIS[along], 0.0)
    return box(mass_kg, sides[0], sides[1], sides[2])


def sphere(mass_kg: float, radius_m: float) -> Matrix:
    """Give the inertia of a solid sphere, 2/5 m R^2.

    Parameters
    ----------
    mass_kg, radius_m : float
        [kg], [m] Mass and radius.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    return np.eye(3) * (0.4 * mass_kg * radius_m**2)


def spherical_shell(mass_kg: float, radius_m: float) -> Matrix:
    """Give the inertia of a thin hollow sphere, 2/3 m R^2.

    Parameters
    ----------
    mass_kg, radius_m : float
        [kg], [m] Mass and radius.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    return np.eye(3) * (2.0 / 3.0 * mass_kg * radius_m**2)


def hemispherical_shell(mass_kg: float, radius_m: float, along: Along) -> Matrix:
    """Give the inertia of a thin open half sphere about its own centre of gravity.

    Along its axis 2/3 m R^2; across it 2/3 m R^2 - m (R/2)^2 = 5/12 m R^2.

    Parameters
    ----------
    mass_kg, radius_m : float
        [kg], [m] Mass and radius.
    along : {"forward", "right", "up"}
        Axis of symmetry.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    square = mass_kg * radius_m**2
    return _about_axis(along, 2.0 / 3.0 * square, 5.0 / 12.0 * square)


def hemispherical_shell_centre_offset(radius_m: float) -> float:
    """Give how far the centre of gravity lies from the rim's plane, towards the dome: R / 2.

    Parameters
    ----------
    radius_m : float
        [m] Radius.

    Returns
    -------
    float
        [m] Distance along the axis of symmetry.
    """
    return radius_m / 2.0
