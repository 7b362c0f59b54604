"""From drapes to particles, threads and folds, with stiffness chosen from the stable step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.pack.drape_capsules import write_capsules
from sim.pack.drape_cloth import hanging
from sim.pack.drape_grid import Grid, add_folds, add_grid, add_threads
from sim.pack.drape_shelter import add_shelter
from sim.pack.drape_stiffness import (
    SHEAR_SHARE,
    most_bending_n_m,
    moved_kg,
    parts_of_a_step,
    stable_share,
)
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.airframe import CraftSpec
from sim.spec.drape import DrapeSpec

EASE = 0.002
GROUND_FRICTION = 0.5
CRAFT_FRICTION = 0.3
REACH = 1.1


@final
@dataclass(frozen=True)
class DrapePanels:
    """Which panels of the record a drape has: `count` of them from `first` on, strip by strip."""

    name: str
    first: int
    count: int


def _write_mechanics(grid: Grid, drape: Any, step_s: float) -> None:
    hung, part_s = grid.hung, step_s / int(drape.parts)
    moved = moved_kg(hung)
    shear = SHEAR_SHARE * moved / step_s**2
    add_threads(grid, drape, stable_share(hung) * moved / part_s**2, shear)
    add_folds(grid, drape, most_bending_n_m(hung, step_s), STANDARD_GRAVITY_M_S2)


def write_drapes(
    drapes: tuple[DrapeSpec, ...],
    record: Any,
    centre_m: FloatArray,
    density_kg_m3: float,
    step_s: float,
    craft: CraftSpec | None = None,
) -> tuple[DrapePanels, ...]:
    """Fill in the drape record of a craft.

    Parameters
    ----------
    drapes : tuple of DrapeSpec
        Cuts, sizes, fabrics.
    record : record
        `DrapeRecord` to fill in, blank.
    centre_m : ndarray, shape (3,)
        [m] CG without free fabric, body axes from the file's origin.
    density_kg_m3 : float
        [kg/m3] Of the air, part of which moves with the cloth.
    step_s : float
        [s] Of the integration, from which the threads' stiffness follows: a particle's springs
        together stay below a fixed share of its mass over the square of a part of the step. Their
        damping follows from the fabric's loss factor, c = loss sqrt(k m).
    craft : CraftSpec, optional
        Its parts and head stop the fabric; without it nothing does.

    Returns
    -------
    tuple of DrapePanels
        Which panels each drape has.
    """
    hung = [hanging(drape, centre_m, density_kg_m3) for drape in drapes]
    if not hung:
        return ()
    record.parts = max(parts_of_a_step(each, step_s) for each in hung)
    record.ground_friction = GROUND_FRICTION
    record.ease = EASE
    record.reach_m = max(
        REACH * (float(np.linalg.norm(each.rim_m, axis=1).max()) + each.length_m) for each in hung
    )
    grids = [add_grid(each, record) for each in hung]
    for grid in grids:
        _write_mechanics(grid, record, step_s)
    add_shelter(grids, record)
    record.is_calibrated = int(any(each.wash_factor != 1.0 for each in hung))
    record.is_all_woven = int(all(each.is_woven for each in hung))
    if craft is not None:
        write_capsules(craft, hung, record, centre_m, CRAFT_FRICTION)
    return tuple(DrapePanels(g.hung.name, g.first_panel, g.hung.panel_count) for g in grids)
