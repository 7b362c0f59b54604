"""Scratch of the present step for loose fabric, coordinate by coordinate."""

from __future__ import annotations

from typing import Annotated

from sim.params.drape_record import MAX_CAPSULES, MAX_NODES, MAX_PANELS, MAX_RIM_POINTS
from sim.params.record import FloatArray, IntArray, Quantity

# The first rows serve panels, then threads; from here on they are the folds' and stay zero where
# nothing folds.
FOLD_ROW = 6
SCRATCH_ROWS = 12
# What of each panel a capsule may meet: its lines down and across with its length, and the cell
# beside it with either end.
MEETINGS = 4
LINE_DOWN, LINE_BESIDE, CELL_AT_START, CELL_AT_END = range(MEETINGS)
MAX_LINES = MEETINGS * MAX_CAPSULES * MAX_PANELS


class FabricWorkRecord:
    """Nodes in the present step, earth axes; what a panel feels stands at its lower node."""

    node_m: Annotated[FloatArray, Quantity("m", "places", (3, MAX_NODES))]
    node_m_s: Annotated[FloatArray, Quantity("m/s", "velocities", (3, MAX_NODES))]
    seen_m: Annotated[
        FloatArray,
        Quantity("m", "places, forward, right of the rims' middle, down of the CG", (3, MAX_NODES)),
    ]
    air_n: Annotated[FloatArray, Quantity("N", "of the air on the panels", (3, MAX_NODES))]
    outer_force_n: Annotated[
        FloatArray, Quantity("N", "on nodes, all but the threads'", (3, MAX_NODES))
    ]
    force_n: Annotated[FloatArray, Quantity("N", "on nodes, all", (3, MAX_NODES))]
    strain: Annotated[FloatArray, Quantity("-", "greatest of a node's warp and weft", (MAX_NODES,))]
    scratch: Annotated[FloatArray, Quantity("-", "of one law at a time", (SCRATCH_ROWS, MAX_NODES))]
    rim_force_n: Annotated[FloatArray, Quantity("N", "on rim points", (3, MAX_RIM_POINTS))]
    wind_m_s: Annotated[
        FloatArray, Quantity("m/s", "air past panels but for the wash", (3, MAX_PANELS))
    ]
    listed_m: Annotated[
        FloatArray, Quantity("m", "as `seen_m`, when lines were listed", (3, MAX_NODES))
    ]
    listed_rod_m: Annotated[
        FloatArray, Quantity("m", "both ends of the capsules then", (MAX_CAPSULES, 2, 3))
    ]
    line: Annotated[
        IntArray, Quantity("-", "what is near: capsule, panel, which meeting", (MAX_LINES,))
    ]
    moment_n_m: Annotated[FloatArray, Quantity("N m", "on the body about its CG", (3,))]
    is_listed: Annotated[int, Quantity("-", "1 once lines are listed")]
    line_count: Annotated[int, Quantity("-", "lines that are listed")]
