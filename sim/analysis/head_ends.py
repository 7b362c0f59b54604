"""The head mass at which lift and pitch authority give out, from mass and balance alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, final

import numpy as np
from scipy.optimize import brentq

from sim.analysis.head import HEAVIEST_TRIED_KG, LEAST_THRUST_TO_WEIGHT
from sim.analysis.head_change import with_head
from sim.analysis.head_gates import HeadStudy, authority_left, lift_ratio
from sim.mass.from_spec import mass_properties
from sim.params.record import FloatArray

LIGHTEST_TRIED_KG: Final = 1e-3
SAMPLES: Final = 24
CLOSE_KG: Final = 1e-4
NEAR: Final = 1.5


def last_crossing_kg(left: Callable[[float], float], near_kg: float | None = None) -> float | None:
    """Give the heaviest head [kg] with something left, beyond which nothing is.

    Parameters
    ----------
    left : callable
        What is left at a head mass [kg]; negative where nothing is.
    near_kg : float, optional
        [kg] Where it is looked for first.

    Returns
    -------
    float or None
        0 when nothing is left at any mass; None when something is left at the heaviest tried.
    """
    if near_kg:
        low, high = near_kg / NEAR, min(near_kg * NEAR, HEAVIEST_TRIED_KG)
        if left(low) >= 0.0 > left(high):
            return float(brentq(left, low, high, xtol=CLOSE_KG))
    masses = np.geomspace(LIGHTEST_TRIED_KG, HEAVIEST_TRIED_KG, SAMPLES)
    for k in range(SAMPLES - 1, -1, -1):
        if left(float(masses[k])) < 0.0:
            continue
        if k == SAMPLES - 1:
            return None
        return float(brentq(left, float(masses[k]), float(masses[k + 1]), xtol=CLOSE_KG))
    return 0.0


def lift_end_kg(study: HeadStudy, up_m: float) -> float | None:
    """Give the heaviest head [kg] that leaves the thrust that is asked; see `last_crossing_kg`."""

    def left(mass_kg: float) -> float:
        craft = with_head(study.craft, mass_kg, up_m)
        return lift_ratio(study, mass_properties(craft, with_drape=True)) - LEAST_THRUST_TO_WEIGHT

    return last_crossing_kg(left)


def authority_end_kg(study: HeadStudy, up_m: float, near_kg: float | None = None) -> float | None:
    """Give the heaviest head [kg] that leaves pitch authority; see `last_crossing_kg`."""

    def left(mass_kg: float) -> float:
        craft = with_head(study.craft, mass_kg, up_m)
        return authority_left(study, craft, mass_properties(craft, with_drape=True))

    return last_crossing_kg(left, near_kg)


@final
@dataclass(frozen=True)
class Borders:
    """Where the two cheap gates give out over the height of the head.

    Attributes
    ----------
    up_m : ndarray, shape (n,)
        [m] Heights of the head's place in the craft file.
    lift_kg, authority_kg : ndarray, shape (n,)
        [kg] Heaviest heads; nan where none of those tried gives out.
    """

    up_m: FloatArray
    lift_kg: FloatArray
    authority_kg: FloatArray


def borders(study: HeadStudy, least_up_m: float, most_up_m: float, count: int) -> Borders:
    """Find the borders of lift and authority at evenly spaced heights [m]."""
    heights = np.linspace(least_up_m, most_up_m, count)
    lift = lift_end_kg(study, float(heights[0]))
    authority: list[float] = []
    near: float | None = None
    for up in heights:
        near = authority_end_kg(study, float(up), near)
        authority.append(np.nan if near is None else near)
    return Borders(
        up_m=heights,
        lift_kg=np.full(count, np.nan if lift is None else lift),
        authority_kg=np.array(authority),
    )
