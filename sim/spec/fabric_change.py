"""The same craft with one property of all its fabrics changed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sim.spec.airframe import CraftSpec
from sim.spec.drape import DrapeSpec
from sim.spec.fabric import FabricSpec
from sim.spec.quantity import Uncertain

DrapeChange = Callable[[DrapeSpec], DrapeSpec]


def with_drapes(craft: CraftSpec, change: DrapeChange) -> CraftSpec:
    """Give the craft with each drape changed.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    change : callable
        Makes the new drape of the old one.

    Returns
    -------
    CraftSpec
        A copy.
    """
    return craft.model_copy(update={"drapes": tuple(change(drape) for drape in craft.drapes)})


def with_fabrics(craft: CraftSpec, change: Callable[[FabricSpec], dict[str, Any]]) -> CraftSpec:
    """Give the craft with properties of each fabric changed.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    change : callable
        Gives the changed fields of a fabric, by name.

    Returns
    -------
    CraftSpec
        A copy.
    """

    def changed(drape: DrapeSpec) -> DrapeSpec:
        fabric = drape.fabric.model_copy(update=change(drape.fabric))
        return drape.model_copy(update={"fabric": fabric})

    return with_drapes(craft, changed)


def with_air_scaled(craft: CraftSpec, scale: float) -> CraftSpec:
    """Give the craft with the wash's force on all fabric scaled.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    scale : float
        [-] On the `air_factor` of each fabric.

    Returns
    -------
    CraftSpec
        A copy; its factors carry no spread.
    """
    return with_fabrics(
        craft, lambda fabric: {"air_factor": Uncertain(scale * fabric.air_factor.value)}
    )
