"""What to beware of around any such craft, with the one figure that depends on its mass."""

from __future__ import annotations

from typing import Final

from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.report.number_text import digits, fixed
from sim.spec.airframe import CraftSpec

FOOT_POUND_J: Final = 0.3048 * 0.45359237 * STANDARD_GRAVITY_M_S2
INJURY_ENERGY_FT_LB: Final = 25.0
"""Kinetic energy on a person that 14 CFR 107.130 (a) (1) takes as its bound, in foot-pounds."""

INJURY_ENERGY_J: Final = INJURY_ENERGY_FT_LB * FOOT_POUND_J

DISCLAIMER: Final = (
    "This is a calculation from the numbers given, not a permission. Local aviation, event and fire"
    " rules, and licensed people where they are required, decide."
)


def injury_fall_height_m(mass_kg: float) -> float:
    """Give the fall that reaches the injury energy of 14 CFR 107, h = E / (m g), drag left out.

    Parameters
    ----------
    mass_kg : float
        [kg] Of the craft.

    Returns
    -------
    float
        [m] Height.
    """
    return INJURY_ENERGY_J / (mass_kg * STANDARD_GRAVITY_M_S2)


def cautions(craft: CraftSpec, mass_kg: float) -> tuple[str, ...]:
    """List what to beware of.

    Parameters
    ----------
    craft : CraftSpec
        Says whether there is fabric.
    mass_kg : float
        [kg] Whole craft.

    Returns
    -------
    tuple of str
        One sentence or two each.
    """
    fabric = ("Fabric must not reach a rotor, at rest, in wind or wet.",)
    return (
        "Spinning propellers cut: fit guards, keep your distance, disarm before touching.",
        *(fabric if craft.drapes else ()),
        "Lithium packs: charge them attended; keep them below 60 degrees C.",
        f"Nobody under or near the craft: with its {fixed(mass_kg, 2)} kg it has the energy of the"
        f" 25 ft lb ({fixed(INJURY_ENERGY_J, 1)} J) injury criterion of 14 CFR 107 after falling"
        f" {digits(injury_fall_height_m(mass_kg), 2)} m.",
        "First hops low, over soft ground, tethered where that is sensible, in less wind than the"
        " limit.",
    )
