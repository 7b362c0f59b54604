"""Sum of parts by the parallel-axis theorem, with first-order spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sim.errors import Fault, InputFaults
from sim.mass.plausible import why_inertia_is_impossible, why_mass_is_impossible
from sim.mass.properties import LedgerLine, MassProperties, PartMass, principal

Array = NDArray[np.float64]


def point_inertia(offset_m: Array) -> Array:
    """Give the inertia of one kilogram at an offset, (d . d) 1 - d d^T.

    Parameters
    ----------
    offset_m : ndarray
        [m] d, shape (3,).

    Returns
    -------
    ndarray
        [m2] Shape (3, 3).
    """
    return np.asarray(offset_m @ offset_m * np.eye(3) - np.outer(offset_m, offset_m))


def assemble(parts: Sequence[PartMass]) -> MassProperties:
    """Combine parts into a whole: J = sum of Ji + mi ((d . d) 1 - d d^T), d from the common centre.

    The spread is exact to first order: with M the total mass, c the centre and d = r - c,
    dM = dm; dc = d dm / M and m dr / M; dJ = (Ji / m + (d . d) 1 - d d^T) dm (the part keeps its
    shape) and, on the diagonal, 2 m d dr for each axis across it. The shift of the centre drops
    out of dJ because the sum of m d is zero.

    Parameters
    ----------
    parts : sequence of PartMass
        At least one, of positive total mass.

    Returns
    -------
    MassProperties
        The whole, about its own centre of gravity.

    Raises
    ------
    InputFaults
        When the total mass is not positive or a part's inertia is impossible.
    """
    mass = float(sum(part.mass_kg for part in parts))
    reasons = [why_mass_is_impossible(mass)]
    for part in parts:
        reason = why_inertia_is_impossible(part.inertia_kg_m2)
        reasons.append(f"{part.name}: {reason}" if reason else "")
    refuse(reasons)

    centre = np.asarray(sum(part.mass_kg * part.place_m for part in parts)) / mass
    ledger = tuple(
        LedgerLine(
            part.name,
            part.mass_kg,
            part.place_m,
            part.inertia_kg_m2 + part.mass_kg * point_inertia(part.place_m - centre),
        )
        for part in parts
    )
    inertia = np.asarray(sum(line.inertia_kg_m2 for line in ledger))
    moments, axes = principal(inertia)
    mass_variance, centre_variance, inertia_variance = _variances(parts, mass, centre)
    return MassProperties(
        mass_kg=mass,
        mass_plus_minus_kg=mass_variance**0.5,
        centre_m=centre,
        centre_plus_minus_m=np.sqrt(centre_variance),
        inertia_kg_m2=inertia,
        inertia_plus_minus_kg_m2=np.sqrt(inertia_variance),
        principal_moments_kg_m2=moments,
        principal_axes=axes,
        ledger=ledger,
    )


def join(whole: MassProperties, *parts: PartMass) -> MassProperties:
    """Add parts to a whole that is known only as a whole.

    Parameters
    ----------
    whole : MassProperties
        Such as measured; its spreads are taken as independent.
    *parts : PartMass
        What is added, such as the fabrics.

    Returns
    -------
    MassProperties
        Of all. The ledger has one line for the whole and one for each part.
    """
    as_part = PartMass(
        "the craft as measured",
        whole.mass_kg,
        whole.mass_plus_minus_kg,
        whole.centre_m,
        whole.centre_plus_minus_m,
        whole.inertia_kg_m2,
    )
    both = assemble((as_part, *parts))
    without_own = replace(as_part, inertia_kg_m2=np.zeros((3, 3)))
    _, _, variance = _variances((without_own, *parts), both.mass_kg, both.centre_m)
    spread = np.sqrt(variance + whole.inertia_plus_minus_kg_m2**2)
    return replace(both, inertia_plus_minus_kg_m2=spread, notes=whole.notes)


def refuse(reasons: Sequence[str]) -> None:
    """Raise all reasons that are not empty, as faults of the craft's masses.

    Parameters
    ----------
    reasons : sequence of str
        Reasons, in words for the builder; empty ones are passed over.

    Raises
    ------
    InputFaults
        When any is not empty.
    """
    faults = tuple(Fault("mass properties", 0, 0, reason) for reason in reasons if reason)
    if faults:
        raise InputFaults(faults)


def _variances(
    parts: Sequence[PartMass], mass_kg: float, centre_m: Array
) -> tuple[float, Array, Array]:
    """Give the squares of the spreads of mass, centre (3,) and diagonal inertia (3,)."""
    of_mass, of_centre, of_inertia = 0.0, np.zeros(3), np.zeros(3)
    across = np.ones((3, 3)) - np.eye(3)
    for part in parts:
        offset = part.place_m - centre_m
        per_kilogram = np.diag(point_inertia(offset)).copy()
        if part.mass_kg > 0.0:
            per_kilogram += np.diag(part.inertia_kg_m2) / part.mass_kg
        of_mass += part.mass_plus_minus_kg**2
        of_centre += (offset / mass_kg * part.mass_plus_minus_kg) ** 2
        of_centre += (part.mass_kg / mass_kg * part.place_plus_minus_m) ** 2
        of_inertia += (per_kilogram * part.mass_plus_minus_kg) ** 2
        of_inertia += across @ (2.0 * part.mass_kg * offset * part.place_plus_minus_m) ** 2
    return of_mass, of_centre, of_inertia
