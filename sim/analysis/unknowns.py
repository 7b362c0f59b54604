"""Question 5, what am I unsure of: each unsure figure moved by its spread, one at a time."""

from __future__ import annotations

import numpy as np

from sim.analysis.check_result import Unknown
from sim.analysis.head import LEAST_LEVER_M, pivots_above_centre_m
from sim.analysis.measurements import measurement_of
from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft
from sim.pack.rotor import KnownMaps
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2, AirOfTheDay
from sim.spec.airframe import CraftSpec
from sim.spec.unsure import UnsureFigure, unsure_figures, with_figures

SHOWN = 8
LEAST_SHARE = 1e-4


def spread_text(figure: UnsureFigure) -> str:
    """Give a figure's spread as a share of its value, or in millimetres where that is zero."""
    if figure.value:
        return f"{100.0 * figure.plus_minus / abs(figure.value):.2g} %"
    return f"{1000.0 * figure.plus_minus:.3g} mm"


def _figures(craft: CraftSpec, air: AirOfTheDay, maps: KnownMaps) -> tuple[float, float]:
    """Give thrust-to-weight at full command [-] and the rotors' height above the CG [m]."""
    packed = pack_craft(craft, air, known_maps=maps)
    thrust = float(np.sum(packed.full.thrust_n))
    whole = mass_properties(craft, with_drape=True)
    ratio = thrust / (packed.whole_mass_kg * STANDARD_GRAVITY_M_S2)
    return ratio, pivots_above_centre_m(craft, whole)


def unknowns(craft: CraftSpec, air: AirOfTheDay) -> tuple[Unknown, ...]:
    """Move every unsure figure up by its spread and tell what it does; largest share first.

    One at a time and to first order: how unknowns act together is not told. Each is shown with the
    answer it moves most, as a share of what that answer has to spare (thrust-to-weight above 1,
    lever above 3 cm).
    """
    maps: KnownMaps = {}
    ratio, lever = _figures(craft, air, maps)
    by_tilt = craft.layout == "bicopter"
    found: list[tuple[float, Unknown]] = []
    for figure in unsure_figures(craft):
        changed = with_figures(craft, (figure,), (figure.value + figure.plus_minus,))
        new_ratio, new_lever = _figures(changed, air, maps)
        by_ratio = abs(new_ratio - ratio) / max(abs(ratio - 1.0), 0.05)
        by_lever = (
            abs(new_lever - lever) / max(abs(lever - LEAST_LEVER_M), 0.01) if by_tilt else 0.0
        )
        share = max(by_ratio, by_lever)
        if share < LEAST_SHARE:
            continue
        on_lever = by_lever > by_ratio
        found.append(
            (
                share,
                Unknown(
                    name=figure.name,
                    plus_minus=spread_text(figure),
                    effect_on="rotors above the CG" if on_lever else "thrust-to-weight",
                    effect=1000.0 * (new_lever - lever) if on_lever else new_ratio - ratio,
                    unit="mm" if on_lever else "",
                    measurement=measurement_of(figure).words,
                ),
            )
        )
    found.sort(key=lambda entry: -entry[0])
    return tuple(unknown for _, unknown in found[:SHOWN])
