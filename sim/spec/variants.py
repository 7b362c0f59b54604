"""The same craft with its fabric wet or dry, without it, or without its head."""

from __future__ import annotations

from sim.spec.airframe import CraftSpec
from sim.spec.fabric_change import with_fabrics


def with_fabric_wet(craft: CraftSpec, wet: bool) -> CraftSpec:  # noqa: FBT001 - agreed form
    """Give the craft with all its fabric soaked, or all of it dry.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    wet : bool
        True: every fabric weighs its `wet_factor` times as much.

    Returns
    -------
    CraftSpec
        A copy; the craft itself when it has no fabric.
    """
    return with_fabrics(craft, lambda _: {"wet": wet})


def without_fabric(craft: CraftSpec) -> CraftSpec:
    """Give the craft with no fabric hung on it.

    Parameters
    ----------
    craft : CraftSpec
        As read.

    Returns
    -------
    CraftSpec
        A copy; rims that are parts of the craft stay on it.
    """
    return craft.model_copy(update={"drapes": ()})


def without_head(craft: CraftSpec) -> CraftSpec:
    """Give the craft with no head, and no neck under it.

    Parameters
    ----------
    craft : CraftSpec
        As read.

    Returns
    -------
    CraftSpec
        A copy.
    """
    return craft.model_copy(update={"head": None})
