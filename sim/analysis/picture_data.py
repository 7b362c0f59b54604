"""What only the pictures of a check need: power over throttle, authority, swings of the fabric."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.authority import AuthorityAnswer, authority_answer
from sim.analysis.condition_margins import ConditionMargins
from sim.analysis.mode_shape import ModeShape, mode_shapes, telling_shapes
from sim.analysis.operating_point import observed
from sim.analysis.power_point import PowerPoint
from sim.analysis.power_rig import Rig
from sim.analysis.trim import Trim
from sim.pack.craft import PackedCraft
from sim.spec.airframe import CraftSpec

SLICE_RAYS: Final = 36
THROTTLES: Final = tuple(float(x) for x in np.linspace(0.1, 1.0, 10))


@final
@dataclass(frozen=True)
class PictureData:
    """What only pictures need.

    Attributes
    ----------
    curve : tuple of PowerPoint
        All rotors at rising throttle, the last at full.
    hover : PowerPoint or None
        Each rotor at its thrust in the trim, on the stand; None without a trim.
    authority : AuthorityAnswer or None
        In the trim; None without one.
    shapes : tuple of ModeShape
        Swings of the fabric worth drawing; empty without a linear model.
    """

    curve: tuple[PowerPoint, ...]
    hover: PowerPoint | None
    authority: AuthorityAnswer | None
    shapes: tuple[ModeShape, ...]


def picture_data(
    craft: CraftSpec, packed: PackedCraft, trim: Trim | None, found: ConditionMargins | None
) -> PictureData:
    """Find what only pictures need.

    Parameters
    ----------
    craft, packed : as written, as packed
    trim : Trim or None
        Hover.
    found : ConditionMargins or None
        With the linear model at that trim.
    """
    rig = Rig(craft, packed)
    curve = tuple(rig.at_throttle(f"{x:.0%} throttle", x) for x in THROTTLES)
    if trim is None:
        return PictureData(curve, None, None, ())
    spots = observed(trim).rotor[: rig.count]
    thrusts = np.array([float(spot.thrust_n) for spot in spots])
    names = tuple(rotor.name for rotor in craft.rotors)
    shapes: tuple[ModeShape, ...] = ()
    if found is not None:
        shapes = telling_shapes(mode_shapes(found.model, packed.record, trim.state))
    return PictureData(
        curve=curve,
        hover=rig.at_thrust("hover", thrusts),
        authority=authority_answer(packed, trim, names, slice_rays=SLICE_RAYS),
        shapes=shapes,
    )
