"""What a steady wind and the wash do to each drape: download, side force and its place, room."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.fabric_watch import FabricWatch
from sim.mass.from_spec import mass_properties
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.airframe import CraftSpec

WHOLE: Final = "all fabric"
LEAST_SIDE_FORCE_N: Final = 1e-3


@final
@dataclass(frozen=True, eq=False)
class DrapeLoad:
    """Mean load of one drape, or of all of them, in one wind.

    Attributes
    ----------
    name : str
        Of the drape; "all fabric" for all.
    download_n : float
        [N] Downward part of the air's force; negative lifts.
    side_force_n : float
        [N] Part along the wind.
    across_n : float
        [N] Level part to the right of where the wind goes.
    height_m : float or None
        [m] At which the side force acts, above the CG of the craft with its fabric hung; None
        when there is hardly any.
    moment_n_m : float
        [N m] With which air and shifted fabric tip the craft's top downwind, about that CG.
    clearance_m : tuple of float
        [m] Least distance to each rotor's disc.
    """

    name: str
    download_n: float
    side_force_n: float
    across_n: float
    height_m: float | None
    moment_n_m: float
    clearance_m: tuple[float, ...]


@final
@dataclass(frozen=True, eq=False)
class HungFabric:
    """What the loads are measured against.

    Attributes
    ----------
    names : tuple of str
        Of the drapes.
    panels : tuple of slice
        Which panels belong to each.
    mass_kg : ndarray, shape (panels,)
        [kg] At each panel's lower end.
    rest_m : ndarray, shape (panels, 3)
        [m] Where that end hangs in still air, from the body's CG, earth axes.
    centre_m : ndarray, shape (3,)
        [m] CG of the craft with its fabric hung, from the body's CG.
    """

    names: tuple[str, ...]
    panels: tuple[slice, ...]
    mass_kg: FloatArray
    rest_m: FloatArray
    centre_m: FloatArray


def drape_panels(craft: CraftSpec) -> Iterator[slice]:
    """Give which panels belong to each drape: they stand in the order of the file."""
    first = 0
    for drape in craft.drapes:
        yield slice(first, first + drape.panel_count)
        first += drape.panel_count


def hung_fabric(craft: CraftSpec, packed: PackedCraft, still: FabricWatch) -> HungFabric:
    """Give what loads are measured against, from a watch in still air."""
    count = int(packed.record.drape.panel_count)
    whole = mass_properties(craft, with_drape=True)
    return HungFabric(
        names=tuple(drape.name for drape in craft.drapes),
        panels=tuple(drape_panels(craft)),
        mass_kg=np.array(packed.record.drape.panel.mass_kg[:count]),
        rest_m=np.mean(still.particle_m - still.body_m[:, None, :], axis=0),
        centre_m=np.asarray(whole.centre_m - packed.mass.centre_m),
    )


def drape_loads(
    hung: HungFabric, watch: FabricWatch, downwind: FloatArray
) -> tuple[tuple[DrapeLoad, ...], DrapeLoad]:
    """Give the load of each drape, and of all together.

    Parameters
    ----------
    hung : HungFabric
        Which panels are whose, and where they hang in still air.
    watch : FabricWatch
        Of the same craft.
    downwind : ndarray, shape (3,)
        [-] Level unit vector along which the wind blows, earth axes.
    """
    each = tuple(
        _load(name, panels, hung, watch, downwind)
        for name, panels in zip(hung.names, hung.panels, strict=True)
    )
    return each, _load(WHOLE, slice(0, len(hung.mass_kg)), hung, watch, downwind)


def _load(
    name: str, panels: slice, hung: HungFabric, watch: FabricWatch, downwind: FloatArray
) -> DrapeLoad:
    right = np.array([-downwind[1], downwind[0], 0.0])
    air = watch.air_n[:, panels]
    along = air @ downwind
    centre = watch.body_m + hung.centre_m
    arm = watch.middle_m[:, panels] - centre[:, None, :]
    height = -arm[..., 2]
    side = float(along.sum(axis=1).mean())
    by_air = along * height + air[..., 2] * (arm @ downwind)
    hanging = watch.particle_m[:, panels] - watch.body_m[:, None, :] - hung.rest_m[panels]
    by_shift = STANDARD_GRAVITY_M_S2 * hung.mass_kg[panels] * (hanging @ downwind)
    return DrapeLoad(
        name=name,
        download_n=float(air[..., 2].sum(axis=1).mean()),
        side_force_n=side,
        across_n=float((air @ right).sum(axis=1).mean()),
        height_m=float((along * height).sum(axis=1).mean()) / side
        if abs(side) > LEAST_SIDE_FORCE_N
        else None,
        moment_n_m=float((by_air + by_shift).sum(axis=1).mean()),
        clearance_m=tuple(float(room) for room in watch.clearance_m(panels)),
    )
