"""Measured mass, centre of gravity and inertia in place of summed ones."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import final

import numpy as np
from numpy.typing import NDArray

from sim.mass.assemble import refuse
from sim.mass.plausible import why_inertia_is_impossible, why_mass_is_impossible
from sim.mass.properties import MassProperties, principal
from sim.spec.quantity import Uncertain

STANDARD_GRAVITY_M_S2 = 9.80665

_AXES = ("roll", "pitch", "yaw")


Three = tuple[Uncertain, Uncertain, Uncertain]


@final
@dataclass(frozen=True)
class Measured:
    """What was measured on the whole craft, without its drape; None where nothing was.

    Attributes
    ----------
    mass_kg : Uncertain or None
        [kg] Mass on the scales.
    centre_m : tuple of three Uncertain, or None
        [m] Centre of gravity, body axes from the origin of the craft file.
    inertia_kg_m2 : tuple of three Uncertain, or None
        [kg m2] Roll, pitch, yaw, about the centre of gravity.
    """

    mass_kg: Uncertain | None = None
    centre_m: Three | None = None
    inertia_kg_m2: Three | None = None


def bifilar_inertia(mass_kg: float, spacing_m: float, length_m: float, period_s: float) -> float:
    """Give the inertia from a swing on two strings, I = m g d^2 T^2 / (16 pi^2 L).

    The body hangs on two parallel strings, its centre of gravity midway between them, and twists
    about the vertical through small angles.

    Parameters
    ----------
    mass_kg : float
        [kg] m, mass of the body that hangs.
    spacing_m : float
        [m] d, distance between the strings.
    length_m : float
        [m] L, length of each string.
    period_s : float
        [s] T, time of one full twist to and fro.

    Returns
    -------
    float
        [kg m2] Inertia about the vertical through the centre of gravity.

    References
    ----------
    From memory of Jardin, M. R. and Mueller, E. R. (2009), Optimized measurements of unmanned-air-
    vehicle mass moment of inertia with a bifilar pendulum, Journal of Aircraft 46. It follows from
    m g (d/2)^2 / L being the stiffness in twist.
    """
    stiffness = mass_kg * STANDARD_GRAVITY_M_S2 * spacing_m**2 / (4.0 * length_m)
    return stiffness * (period_s / (2.0 * math.pi)) ** 2


def swung_inertia(
    mass_kg: Uncertain, spacing_m: float, length_m: float, period_s: Uncertain
) -> Uncertain:
    """Give the inertia from a swing with its first-order spread.

    Parameters
    ----------
    mass_kg : Uncertain
        [kg] Mass of the body that hangs.
    spacing_m, length_m : float
        [m] Distance between the strings, and their length.
    period_s : Uncertain
        [s] Time of one full twist to and fro.

    Returns
    -------
    Uncertain
        [kg m2] Inertia about the vertical; twice the relative spread of the period counts.
    """
    value = bifilar_inertia(mass_kg.value, spacing_m, length_m, period_s.value)
    from_mass = mass_kg.plus_minus / mass_kg.value
    from_period = 2.0 * period_s.plus_minus / period_s.value
    return Uncertain(value, value * math.hypot(from_mass, from_period))


def apply_measured(summed: MassProperties, measured: Measured) -> MassProperties:
    """Put measured values in place of summed ones.

    A measured mass scales the summed inertia by measured over summed mass: what is missing from
    the list of parts is taken to be spread like the parts. Measured moments replace the diagonal;
    the products of inertia stay. The ledger stays as summed.

    Parameters
    ----------
    summed : MassProperties
        The sum of the parts.
    measured : Measured
        What was measured.

    Returns
    -------
    MassProperties
        With a note for each measured figure.

    Raises
    ------
    InputFaults
        When the result is impossible.
    """
    notes: list[str] = []
    whole = summed
    if measured.mass_kg is not None:
        mass = measured.mass_kg.value
        refuse([why_mass_is_impossible(mass)])
        notes.append(f"mass {mass:.4g} kg measured; the parts sum to {summed.mass_kg:.4g} kg")
        scale = mass / summed.mass_kg
        whole = replace(
            whole,
            mass_kg=mass,
            mass_plus_minus_kg=measured.mass_kg.plus_minus,
            inertia_kg_m2=summed.inertia_kg_m2 * scale,
            inertia_plus_minus_kg_m2=summed.inertia_plus_minus_kg_m2 * scale,
        )
    if measured.centre_m is not None:
        centre = _values(measured.centre_m)
        away_mm = float(np.linalg.norm(centre - summed.centre_m)) * 1000.0
        notes.append(f"centre of gravity measured, {away_mm:.0f} mm from that of the parts")
        whole = replace(whole, centre_m=centre, centre_plus_minus_m=_spreads(measured.centre_m))
    if measured.inertia_kg_m2 is not None:
        moments = _values(measured.inertia_kg_m2)
        for name, seen, sum_of_parts in zip(
            _AXES, moments, np.diag(whole.inertia_kg_m2), strict=True
        ):
            notes.append(f"{name} inertia {seen:.4g} kg m2 measured; parts {sum_of_parts:.4g}")
        inertia = whole.inertia_kg_m2.copy()
        np.fill_diagonal(inertia, moments)
        refuse([why_inertia_is_impossible(inertia)])
        whole = replace(
            whole,
            inertia_kg_m2=inertia,
            inertia_plus_minus_kg_m2=_spreads(measured.inertia_kg_m2),
        )
    principal_moments, principal_axes = principal(whole.inertia_kg_m2)
    return replace(
        whole,
        principal_moments_kg_m2=principal_moments,
        principal_axes=principal_axes,
        notes=(*summed.notes, *notes),
    )


def _values(three: Three) -> NDArray[np.float64]:
    return np.array([one.value for one in three])


def _spreads(three: Three) -> NDArray[np.float64]:
    return np.array([one.plus_minus for one in three])
