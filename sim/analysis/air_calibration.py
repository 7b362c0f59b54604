"""The fabric's air factor that explains two hover throttles, with and without the fabric.

The ratio of both throttles is compared with that of the model, so that what is wrong with rotors,
motors and pack alike drops out. One reading gives one number: all drapes share the scale, and it
takes up whatever is wrong with the wash and with the cloth's coefficients.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Final, final

from scipy.optimize import brentq

from sim.analysis.fabric_watch import steady_wind_flight, watch_fabric
from sim.errors import Fault, InputFaults
from sim.pack.craft import pack_craft
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.airframe import CraftSpec
from sim.spec.fabric_change import with_air_scaled, with_fabrics
from sim.spec.quantity import Uncertain
from sim.spec.scenario import ScenarioSpec
from sim.spec.variants import without_fabric

LARGEST_SCALE: Final = 10.0
FIRST_SCALE: Final = 1.25
OUT_OF_REACH: Final = 10.0
NUDGE: Final = 0.1
FINE: Final = 1e-3


@final
@dataclass(frozen=True)
class AirCalibration:
    """What a pair of hover throttles says about the wash on the fabric.

    Attributes
    ----------
    with_fabric, without_fabric : Uncertain
        [-] The readings.
    scale : float
        [-] On the present air factors.
    air_factors : tuple of Uncertain
        [-] New air factor of each drape.
    plus_minus : float
        [-] Of the scale, about two standard deviations.
    causes : tuple of (str, float)
        What that is made of: name and share of the scale it moves [-].
    modelled_ratio, measured_ratio : float
        [-] Throttle with over throttle without fabric, at the present factors and as read.
    """

    with_fabric: Uncertain
    without_fabric: Uncertain
    scale: float
    air_factors: tuple[Uncertain, ...]
    plus_minus: float
    causes: tuple[tuple[str, float], ...]
    modelled_ratio: float
    measured_ratio: float

    @property
    def may_be_nothing(self) -> bool:
        """Whether the readings are too coarse to tell the wash from none at all."""
        return self.plus_minus >= self.scale


def throttle_ratio(
    craft: CraftSpec, scenario: ScenarioSpec, air: AirOfTheDay
) -> Callable[[float], float]:
    """Give a function from the scale of the air factors to the ratio of hover throttles.

    Parameters
    ----------
    craft : CraftSpec
        With fabric.
    scenario : ScenarioSpec
        Its height; the hover is in still air.
    air : AirOfTheDay
        Of its day.

    Returns
    -------
    callable
        Throttle with fabric over throttle without [-]; each scale is flown once. `OUT_OF_REACH`
        where the craft no longer holds a hover.

    Raises
    ------
    InputFaults
        When it does not hold a hover without its fabric.
    """
    bare = _hover_throttle(without_fabric(craft), scenario, air)
    if bare is None:
        what = "without its fabric the craft does not hold a hover: nothing can be calibrated"
        raise InputFaults((Fault(craft.name, 0, 0, what),))

    @cache
    def ratio(scale: float) -> float:
        throttle = _hover_throttle(with_air_scaled(craft, scale), scenario, air)
        return OUT_OF_REACH if throttle is None else throttle / bare

    return ratio


def _hover_throttle(craft: CraftSpec, scenario: ScenarioSpec, air: AirOfTheDay) -> float | None:
    """Give the mean throttle in still air [-]; None when the craft does not hold its place."""
    packed = pack_craft(craft, air)
    watch = watch_fabric(packed, steady_wind_flight(packed, scenario, 0.0))
    return None if watch.held else watch.mean_throttle


def calibrated_air(
    craft: CraftSpec,
    scenario: ScenarioSpec,
    air: AirOfTheDay,
    with_fabric: Uncertain,
    bare: Uncertain,
) -> AirCalibration:
    """Find the scale of the air factors that explains two hover throttles.

    Parameters
    ----------
    craft : CraftSpec
        With fabric, in the state (wet or dry) in which it hovered.
    scenario, air : ScenarioSpec, AirOfTheDay
        Height and air of the hover.
    with_fabric, bare : Uncertain
        [-] Throttles read with the same pack at the same charge.

    Raises
    ------
    InputFaults
        When no scale up to `LARGEST_SCALE` explains them.
    """
    ratio = throttle_ratio(craft, scenario, air)
    wanted = with_fabric.value / bare.value
    scale = scale_that_explains(ratio, wanted)
    if scale is None:
        most = last_hover(ratio)
        why = _why_not(bare, wanted, ratio(0.0), ratio(most), most)
        raise InputFaults((Fault("readings", 0, 0, why),))
    slope = slope_at(ratio, scale)
    heavier = with_fabrics(
        craft,
        lambda fabric: {
            "areal_density_kg_m2": Uncertain(
                fabric.areal_density_kg_m2.value + fabric.areal_density_kg_m2.plus_minus
            )
        },
    )
    by_mass = throttle_ratio(heavier, scenario, air)(scale) - ratio(scale)
    causes = (
        ("the reading with fabric", wanted * with_fabric.plus_minus / with_fabric.value / slope),
        ("the reading without fabric", wanted * bare.plus_minus / bare.value / slope),
        ("the mass of the fabric", abs(by_mass / slope)),
    )
    spread = math.hypot(*(share for _, share in causes))
    factors = tuple(
        Uncertain(scale * drape.fabric.air_factor.value, spread * drape.fabric.air_factor.value)
        for drape in craft.drapes
    )
    return AirCalibration(
        with_fabric=with_fabric,
        without_fabric=bare,
        scale=scale,
        air_factors=factors,
        plus_minus=spread,
        causes=causes,
        modelled_ratio=ratio(1.0),
        measured_ratio=wanted,
    )


def scale_that_explains(ratio: Callable[[float], float], wanted: float) -> float | None:
    """Give the scale at which a ratio of throttles is the one that was read.

    Parameters
    ----------
    ratio : callable
        From `throttle_ratio`; it rises with the scale.
    wanted : float
        [-] The ratio that was read.

    Returns
    -------
    float or None
        [-] None when it is not between the ratios at no scale and at the largest, up to
        `LARGEST_SCALE`, with which the craft still hovers.
    """
    if ratio(0.0) >= wanted:
        return None
    high = FIRST_SCALE
    while ratio(high) < wanted:
        if high >= LARGEST_SCALE:
            return None
        high = min(2.0 * high, LARGEST_SCALE)
    found = float(brentq(lambda s: ratio(float(s)) - wanted, 0.0, high, xtol=FINE))
    return None if ratio(found + 2.0 * FINE) >= OUT_OF_REACH else found


def slope_at(ratio: Callable[[float], float], scale: float) -> float:
    """Give how a ratio rises with the scale, over a tenth of it to either side that hovers."""
    above, below = scale * (1.0 + NUDGE), scale * (1.0 - NUDGE)
    if ratio(above) >= OUT_OF_REACH:
        above = scale
    return (ratio(above) - ratio(below)) / (above - below)


def last_hover(ratio: Callable[[float], float]) -> float:
    """Give the largest scale, up to `LARGEST_SCALE`, with which the craft still hovers, to FINE."""
    low, high = 0.0, LARGEST_SCALE
    if ratio(high) < OUT_OF_REACH:
        return high
    while high - low > FINE:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if ratio(middle) < OUT_OF_REACH else (low, middle)
    return low


def _why_not(bare: Uncertain, wanted: float, least: float, most: float, scale: float) -> str:
    """Say why the readings cannot be explained, and what would be."""
    low, high = 100.0 * bare.value * least, 100.0 * bare.value * most
    read = 100.0 * bare.value
    if least >= OUT_OF_REACH:
        return "the craft does not hold a hover with its fabric: nothing can be calibrated"
    if wanted <= least:
        return (
            f"with {read:.3g} % without the fabric, the fabric's weight alone asks for"
            f" {low:.3g} %, and {100.0 * bare.value * wanted:.3g} % was read with it: weigh the"
            " fabric, and read both at the same charge of the pack"
        )
    if scale < LARGEST_SCALE:
        return (
            f"with {read:.3g} % without the fabric, {scale:.3g} times the computed force of"
            f" the wash asks for {high:.3g} %, and with more the craft no longer holds its place"
            f" in still air; {100.0 * bare.value * wanted:.3g} % was read: read both at the same"
            " charge of the pack; look for cloth that blocks a rotor"
        )
    return (
        f"with {read:.3g} % without the fabric, even {LARGEST_SCALE:g} times the computed force of"
        f" the wash asks for only {high:.3g} %, and {100.0 * bare.value * wanted:.3g} % was read:"
        " read both at the same charge of the pack; look for cloth that blocks a rotor"
    )
