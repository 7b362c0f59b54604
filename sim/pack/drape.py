"""From drapes to particles, threads and folds, with stiffness chosen from the stable step."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.pack.drape_cloth import Hanging, hanging
from sim.pack.drape_grid import Grid, add_folds, add_grid, add_threads
from sim.pack.drape_shelter import add_shelter
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.drape import DrapeSpec

STABLE_SHARE = 0.2
STABLE_BENDING_SHARE = 0.02
STRONG_WIND_M_S = 10.0
MOST_STRAIN = 0.02
EASE = 0.002
GROUND_FRICTION = 0.5
REACH = 1.1


@final
@dataclass(frozen=True)
class DrapePanels:
    """Which panels of the record a drape has: `count` of them from `first` on, strip by strip."""

    name: str
    first: int
    count: int


def parts_of_a_step(hung: Hanging, density_kg_m3: float, step_s: float) -> int:
    """Give in how many parts of a step the threads must pull so that they stretch little.

    Stiffness goes as the square of that number. The top thread of a strip carries its weight and,
    face-on, a wind of `STRONG_WIND_M_S`; its strain is to stay below `MOST_STRAIN`.
    """
    pressure = 0.5 * density_kg_m3 * STRONG_WIND_M_S**2
    pull = pressure * hung.normal_coefficient * hung.width_m * hung.length_m
    pull += hung.mass_kg * hung.rows * STANDARD_GRAVITY_M_S2
    moved = (hung.mass_kg + hung.entrained_kg) * (0.5 if hung.rows == 1 else 1.0)
    stiffness = STABLE_SHARE * moved / step_s**2
    return max(math.ceil(math.sqrt(pull / (stiffness * hung.height_m * MOST_STRAIN))), 1)


def _write_mechanics(grid: Grid, drape: Any, step_s: float) -> None:
    hung = grid.hung
    part_s = step_s / int(drape.parts)
    moved = np.full(hung.rows, hung.mass_kg + hung.entrained_kg)
    moved[-1] *= 0.5
    add_threads(grid, drape, STABLE_SHARE * moved / part_s**2)
    most = STABLE_BENDING_SHARE * float(moved[-1]) / step_s**2
    add_folds(grid, drape, most, STANDARD_GRAVITY_M_S2)


def write_drapes(
    drapes: tuple[DrapeSpec, ...],
    record: Any,
    centre_m: FloatArray,
    density_kg_m3: float,
    step_s: float,
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

    Returns
    -------
    tuple of DrapePanels
        Which panels each drape has.
    """
    hung = [hanging(drape, centre_m, density_kg_m3) for drape in drapes]
    if not hung:
        return ()
    record.parts = max(parts_of_a_step(each, density_kg_m3, step_s) for each in hung)
    record.ground_friction = GROUND_FRICTION
    record.ease = EASE
    record.reach_m = max(
        REACH * (float(np.linalg.norm(each.rim_m, axis=1).max()) + each.length_m) for each in hung
    )
    grids = [add_grid(each, record) for each in hung]
    for grid in grids:
        _write_mechanics(grid, record, step_s)
    add_shelter(grids, record)
    return tuple(DrapePanels(g.hung.name, g.first_panel, g.hung.panel_count) for g in grids)
