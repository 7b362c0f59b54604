"""Cells of woven cloth that the ends of rods meet, where no line of the grid runs.

A cell lies between two strips and two rows and is two triangles. The end of a rod, or a ball,
pushes at the cell's nearest point, shared among the three nodes of the triangle as that point
stands between them; so the push is the slope of an energy.
"""

from __future__ import annotations

import math

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector, add, cross, dot, norm, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import BESIDE, PITCH, DrapeRecord
from sim.params.fabric_work_record import CELL_AT_END, FabricWorkRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.contact import nearest_on_triangle
from sim.physics.drape.grid import FIRST_HUNG, ONE, ROW
from sim.step.fabric_push import (
    AHEAD,
    ASIDE,
    DEEP,
    MARKED,
    meeting,
    placed,
    push_off,
    seen,
    who_meets,
)

HALF_DIAGONAL = math.sqrt(2.0)


@compiled
def half_cells(node: int) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    """Give the nodes of both halves of a cell, which stands above the line beside a node.

    From strip to strip the cells are halved along the one and the other diagonal in turn.
    """
    above, right_above, right = node - PITCH, node - PITCH + 1, node + 1
    if node % 2 == 0:
        return (above, right_above, right), (above, right, node)
    return (right_above, node, above), (right_above, right, node)


@compiled
def amid(block: FloatArray, ends: tuple[int, int, int], shares: tuple[float, float]) -> Vector:
    """Give what stands between three columns of a block (3, n)."""
    one, other, third = ends
    rest = 1.0 - shares[0] - shares[1]
    return (
        rest * block[0, one] + shares[0] * block[0, other] + shares[1] * block[0, third],
        rest * block[1, one] + shares[0] * block[1, other] + shares[1] * block[1, third],
        rest * block[2, one] + shares[0] * block[2, other] + shares[1] * block[2, third],
    )


@compiled
def meet_half(
    work: FabricWorkRecord, ends: tuple[int, int, int], tip: Vector
) -> tuple[tuple[float, float], Vector]:
    """Give where half a cell is nearest to a place: shares, and the way [m] to there."""
    first, second, third = seen(work, ends[0]), seen(work, ends[1]), seen(work, ends[2])
    shares = nearest_on_triangle(tip, first, second, third)
    along, aside = subtract(second, first), subtract(third, first)
    there = add(first, add(scale(along, shares[0]), scale(aside, shares[1])))
    return shares, subtract(there, tip)


@compiled
def meet_cell(
    work: FabricWorkRecord, node: int, tip: Vector
) -> tuple[tuple[int, int, int], tuple[float, float], Vector]:
    """Give where a cell is nearest to a place: three nodes, shares, and the way [m] to there."""
    ends, its_ends = half_cells(node)
    shares, apart = meet_half(work, ends, tip)
    its_shares, its_apart = meet_half(work, its_ends, tip)
    if dot(its_apart, its_apart) < dot(apart, apart):
        return its_ends, its_shares, its_apart
    return ends, shares, apart


@compiled
def is_cell_far(work: FabricWorkRecord, node: int, tip: Vector, far_m: float) -> bool:
    """Tell whether no point of a cell can be as near [m] to a place, as far as its plane tells.

    Of the corners two stand above the plane across both diagonals, and two as much below it.
    """
    here, right = seen(work, node), seen(work, node + 1)
    above, right_above = seen(work, node - PITCH), seen(work, node - PITCH + 1)
    middle = scale(add(add(here, right), add(above, right_above)), 0.25)
    normal = cross(subtract(right_above, here), subtract(above, right))
    height, bulge = dot(subtract(tip, middle), normal), dot(subtract(here, middle), normal)
    gap = abs(height) - abs(bulge)
    return (gap > 0.0) & (gap * gap > far_m * far_m * dot(normal, normal))


@compiled
def mark_cells(drape: DrapeRecord, work: FabricWorkRecord, tip: Vector, far_m: float) -> int:
    """Mark the nodes whose cells may be as near [m] to a place, and give how many."""
    ahead, aside, deep = work.seen_m[AHEAD], work.seen_m[ASIDE], work.seen_m[DEEP]
    reach, tied, mark = drape.node.reach_m, drape.thread.stiffness_n_m[BESIDE], work.scratch[MARKED]
    near = 0
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b, c = n - ROW, n - ROW + ONE, n + ONE
        x = 0.25 * ((ahead[n] + ahead[c]) + (ahead[a] + ahead[b])) - tip[0]
        y = 0.25 * ((aside[n] + aside[c]) + (aside[a] + aside[b])) - tip[1]
        z = 0.25 * ((deep[n] + deep[c]) + (deep[a] + deep[b])) - tip[2]
        far = HALF_DIAGONAL * reach[n] + far_m
        is_near = (x * x + y * y + z * z < far * far) & (tied[n] > 0.0)
        mark[n] = 1.0 if is_near else 0.0
        near += int(is_near)
    return near


@compiled
def list_cells(
    drape: DrapeRecord,
    work: FabricWorkRecord,
    tip: Vector,
    far_m: float,
    capsule: int,
    kind: int,
    listed: int,
) -> int:
    """List all cells that are near an end of a capsule, and give how much is listed."""
    if mark_cells(drape, work, tip, far_m) == 0:
        return listed
    square = far_m * far_m
    for k in range(drape.panel_count):
        n = drape.panel.node[k]
        if work.scratch[MARKED, n] > 0.0 and not is_cell_far(work, n, tip, far_m):
            _, _, apart = meet_cell(work, n, tip)
            if dot(apart, apart) < square:
                work.line[listed] = meeting(capsule, k, kind)
                listed += 1
    return listed


@compiled
def touch_cell(
    craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float, line: int
) -> None:
    """Push a cell that is listed off the end of its capsule."""
    drape, fabric = craft.drape, work.fabric
    c, k, kind = who_meets(line)
    capsule, n = drape.capsule[c], drape.panel.node[k]
    tip, along = placed(craft, work, capsule)
    if kind == CELL_AT_END:
        tip = add(tip, along)
    ends, shares, apart = meet_cell(fabric, n, tip)
    if norm(apart) < capsule.radius_m:
        touch = (amid(fabric.node_m, ends, shares), amid(fabric.node_m_s, ends, shares))
        mass = drape.panel.moved_mass_kg[k]
        push = push_off(craft, state, work, capsule, touch, apart, mass, step_s)
        rest = 1.0 - shares[0] - shares[1]
        for i in range(3):
            fabric.outer_force_n[i, ends[0]] += rest * push[i]
            fabric.outer_force_n[i, ends[1]] += shares[0] * push[i]
            fabric.outer_force_n[i, ends[2]] += shares[1] * push[i]
