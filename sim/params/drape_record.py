"""Loose fabric as compiled code sees it: nodes on a grid of fixed pitch, and what is between them.

Every drape is laid on a grid: a row of rim points, then rows of particles, each the lower edge of
its panel. A row has room for PITCH nodes; wider drapes go in several blocks. Woven cloth has a copy
("ghost") of the neighbour at either end of a row. So the node above is always PITCH places back,
those beside are one place away, and whatever threads, bending and air do to all fabric is a few
plain loops over arrays, which the compiler turns into vector instructions.
"""

from __future__ import annotations

from typing import Annotated

from sim.params.record import FloatArray, IntArray, Quantity

MAX_PANELS = 384
MAX_RIM_POINTS = 384
PITCH = 10
FIRST_NODE = 16
NODES_AT_ONCE = 8
MAX_NODES = 648
MAX_GHOSTS = 256
MAX_CAPSULES = 16
DOWN, BESIDE, DOWN_RIGHT, DOWN_LEFT = range(4)
THREAD_KINDS = 4
FOLD_KINDS = 2


class PanelRecord:
    """Where panels and their particles stand among the nodes, strip by strip."""

    node: Annotated[IntArray, Quantity("-", "node of the particle", (MAX_PANELS,))]
    above: Annotated[
        IntArray, Quantity("-", "particle above; below zero: rim point -1-k", (MAX_PANELS,))
    ]
    rim: Annotated[IntArray, Quantity("-", "rim point that the strip hangs from", (MAX_PANELS,))]
    mass_kg: Annotated[
        FloatArray, Quantity("kg", "fabric that weighs on the particle", (MAX_PANELS,))
    ]
    height_m: Annotated[FloatArray, Quantity("m", "of the cloth, down the strip", (MAX_PANELS,))]
    width_m: Annotated[FloatArray, Quantity("m", "of the cloth, to the air", (MAX_PANELS,))]
    moved_mass_kg: Annotated[
        FloatArray, Quantity("kg", "fabric and entrained air of the particle", (MAX_PANELS,))
    ]
    wash_factor: Annotated[
        FloatArray, Quantity("-", "on the speed of the rotors' wash, calibrated", (MAX_PANELS,))
    ]


class NodeRecord:
    """What stands at the nodes; rim points, ghosts and unused nodes have zeros."""

    mass_kg: Annotated[FloatArray, Quantity("kg", "fabric that weighs there", (MAX_NODES,))]
    per_moved_mass_1_kg: Annotated[
        FloatArray, Quantity("1/kg", "one over fabric and entrained air", (MAX_NODES,))
    ]
    is_free: Annotated[FloatArray, Quantity("-", "1 for a particle, else 0", (MAX_NODES,))]
    area_m2: Annotated[FloatArray, Quantity("m2", "of the panel above it, one-sided", (MAX_NODES,))]
    normal_coefficient: Annotated[
        FloatArray, Quantity("-", "force face-on over q area", (MAX_NODES,))
    ]
    tangent_coefficient: Annotated[
        FloatArray, Quantity("-", "force edge-on over q area", (MAX_NODES,))
    ]
    is_round: Annotated[FloatArray, Quantity("-", "1 for a strand, 0 for cloth", (MAX_NODES,))]
    is_woven: Annotated[
        FloatArray, Quantity("-", "1 where neighbours say which way it faces", (MAX_NODES,))
    ]
    along: Annotated[
        FloatArray, Quantity("-", "width of a strip that hangs alone, body axes", (3, MAX_NODES))
    ]
    reach_m: Annotated[
        FloatArray, Quantity("m", "half of its longest thread up or beside, taut", (MAX_NODES,))
    ]
    lost_outside: Annotated[
        FloatArray, Quantity("-", "share of air speed lost before its outer face", (MAX_NODES,))
    ]
    lost_inside: Annotated[
        FloatArray, Quantity("-", "share of air speed lost before its inner face", (MAX_NODES,))
    ]
    thread_lag_s: Annotated[
        FloatArray, Quantity("s", "of its threads' pull behind the rate of strain", (MAX_NODES,))
    ]
    fold_lag_s: Annotated[
        FloatArray, Quantity("s", "of bending behind its rate, from the loss", (MAX_NODES,))
    ]


class RimPointRecord:
    """A point of the craft from which fabric hangs."""

    place_m: Annotated[FloatArray, Quantity("m", "body axes from the CG", (3,))]
    tangent: Annotated[FloatArray, Quantity("-", "unit vector along the rim, body axes", (3,))]
    node: Annotated[int, Quantity("-", "its node")]


class GhostRecord:
    """Nodes that copy others."""

    node: Annotated[IntArray, Quantity("-", "the copy", (MAX_GHOSTS,))]
    of: Annotated[IntArray, Quantity("-", "what it copies", (MAX_GHOSTS,))]


class ThreadRecord:
    """Threads of each kind, by the first of their two nodes; without stiffness there is none."""

    per_square_1_m2: Annotated[
        FloatArray, Quantity("1/m2", "one over the square of its length", (THREAD_KINDS, MAX_NODES))
    ]
    stiffness_n_m: Annotated[
        FloatArray, Quantity("N/m", "chosen from the stable step", (THREAD_KINDS, MAX_NODES))
    ]


class CapsuleRecord:
    """A rounded rod of the craft that fabric cannot pass."""

    place_m: Annotated[FloatArray, Quantity("m", "one end, body axes from the CG", (3,))]
    along_m: Annotated[FloatArray, Quantity("m", "from that end to the other", (3,))]
    per_square_1_m2: Annotated[
        float, Quantity("1/m2", "one over the square of that length; 0 for a ball")
    ]
    radius_m: Annotated[float, Quantity("m", "at which fabric is stopped")]
    on_head: Annotated[int, Quantity("-", "1 when it belongs to the head")]


class DrapeRecord:
    """All fabric of the craft."""

    panel_count: Annotated[int, Quantity("-", "panels, and so particles, in use")]
    rim_count: Annotated[int, Quantity("-", "rim points in use")]
    node_end: Annotated[int, Quantity("-", "one past the last node, in whole blocks")]
    ghost_count: Annotated[int, Quantity("-", "ghosts in use")]
    capsule_count: Annotated[int, Quantity("-", "capsules in use")]
    axis_m: Annotated[FloatArray, Quantity("m", "forward, right of the rims' middle", (2,))]
    parts: Annotated[int, Quantity("-", "parts of a step in which threads pull; 0 as 1")]
    is_woven: Annotated[int, Quantity("-", "1 when any of it has diagonal threads")]
    bends: Annotated[int, Quantity("-", "1 when any of it has folds")]
    ease: Annotated[float, Quantity("-", "strain over which a thread stiffens")]
    reach_m: Annotated[float, Quantity("m", "of any fabric from the CG, at most")]
    ground_friction: Annotated[float, Quantity("-", "Coulomb coefficient, cloth on the ground")]
    panel: Annotated[PanelRecord, Quantity("-", "panels")]
    rim: Annotated[list[RimPointRecord], Quantity("-", "rim points", (MAX_RIM_POINTS,))]
    node: Annotated[NodeRecord, Quantity("-", "nodes")]
    ghost: Annotated[GhostRecord, Quantity("-", "ghosts")]
    thread: Annotated[ThreadRecord, Quantity("-", "threads")]
    fold_stiffness_n_m: Annotated[
        FloatArray,
        Quantity("N/m", "of folds down, beside, by their middle", (FOLD_KINDS, MAX_NODES)),
    ]
    capsule: Annotated[list[CapsuleRecord], Quantity("-", "of the craft", (MAX_CAPSULES,))]
    capsule_friction: Annotated[float, Quantity("-", "Coulomb coefficient, cloth on the craft")]
    is_calibrated: Annotated[int, Quantity("-", "1 when any wash factor is not 1")]
    is_all_woven: Annotated[int, Quantity("-", "1 when no strip hangs alone")]
