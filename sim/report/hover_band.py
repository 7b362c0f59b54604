"""How far throttle and current in hover may stray before something is wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, final

from sim.analysis.check_result import LiftAnswer
from sim.mass.properties import MassProperties

THROTTLE_PER_THRUST: Final = 0.5
CURRENT_PER_THRUST: Final = 1.5


@final
@dataclass(frozen=True)
class HoverBand:
    """Hover figures with their spread, about two standard deviations.

    Attributes
    ----------
    throttle, throttle_plus_minus : float
        [-] Share of full throttle.
    current_a, current_plus_minus_a : float
        [A] Out of the pack.
    """

    throttle: float
    throttle_plus_minus: float
    current_a: float
    current_plus_minus_a: float


def hover_band(lift: LiftAnswer, mass: MassProperties) -> HoverBand | None:
    """Give the band within which hover agrees with the computation.

    A rotor at speed n gives T = k n^2 and takes P = c n^3. To carry a weight W it turns at
    n = (W / k)^(1/2) and takes P = c (W / k)^(3/2). With throttle as speed and current as power, to
    first order: throttle changes by half of the relative change of W / k, current by one and a half
    times.

    Parameters
    ----------
    lift : LiftAnswer
        With the hover trim and the spread of thrust.
    mass : MassProperties
        With the spread of mass.

    Returns
    -------
    HoverBand or None
        None when there is no hover.
    """
    if lift.hover_throttle is None or lift.hover_current_a is None:
        return None
    unsure = math.hypot(
        lift.thrust_plus_minus_n / lift.full_thrust_n, mass.mass_plus_minus_kg / mass.mass_kg
    )
    return HoverBand(
        throttle=lift.hover_throttle,
        throttle_plus_minus=THROTTLE_PER_THRUST * unsure * lift.hover_throttle,
        current_a=lift.hover_current_a,
        current_plus_minus_a=CURRENT_PER_THRUST * unsure * lift.hover_current_a,
    )
