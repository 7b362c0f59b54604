"""Fabric that touches the craft it hangs from, in one step.

The lines of its grid, down the strips and across woven cloth, are stopped by rounded rods, and the
cells between the lines by the rods' ends. Each line pushes at its point that is nearest to the rod,
shared between the line's ends as that point stands between them; so the push is the slope of an
energy, and rods take and give no more than that.
"""

from __future__ import annotations

import math

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector, add, dot, norm, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import BESIDE, PITCH, DrapeRecord
from sim.params.fabric_work_record import (
    CELL_AT_END,
    CELL_AT_START,
    LINE_DOWN,
    FabricWorkRecord,
)
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.contact import from_axis, nearest_shares
from sim.physics.drape.grid import FIRST, FIRST_HUNG, ONE, ROW
from sim.step.fabric_cell import list_cells, touch_cell
from sim.step.fabric_push import (
    AHEAD,
    ASIDE,
    DEEP,
    MARKED,
    between,
    meeting,
    placed,
    push_off,
    seen,
    who_meets,
)
from sim.step.rotors import as_vector, write_vector

# Beyond a capsule's radius; what may move before lines are listed again leaves room for rounding.
LISTED_M = 0.03
MOST_STRAYED_M = 0.029


@compiled
def see_nodes(drape: DrapeRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write all nodes in body axes [m], forward and right of the rims' middle, down of the CG."""
    x, y, z = work.fabric.node_m[0], work.fabric.node_m[1], work.fabric.node_m[2]
    seen_m = work.fabric.seen_m
    ahead, aside, deep = seen_m[AHEAD], seen_m[ASIDE], seen_m[DEEP]
    spin, at = work.rotation, as_vector(state.body.position_m)
    r00, r01, r02 = spin[0, 0], spin[0, 1], spin[0, 2]
    r10, r11, r12 = spin[1, 0], spin[1, 1], spin[1, 2]
    r20, r21, r22 = spin[2, 0], spin[2, 1], spin[2, 2]
    left, back = drape.axis_m[1], drape.axis_m[0]
    for n in range(FIRST, np.uint64(drape.node_end)):
        a, b, c = x[n] - at[0], y[n] - at[1], z[n] - at[2]
        ahead[n] = r00 * a + r10 * b + r20 * c - back
        aside[n] = r01 * a + r11 * b + r21 * c - left
        deep[n] = r02 * a + r12 * b + r22 * c


@compiled
def count_strayed(drape: DrapeRecord, work: FabricWorkRecord, room_m: float) -> int:
    """Give how many particles moved farther than a distance [m] since lines were listed."""
    ahead, aside, deep = work.seen_m[AHEAD], work.seen_m[ASIDE], work.seen_m[DEEP]
    x, y, z = work.listed_m[AHEAD], work.listed_m[ASIDE], work.listed_m[DEEP]
    is_free, square, strayed = drape.node.is_free, room_m * room_m, 0
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b, c = ahead[n] - x[n], aside[n] - y[n], deep[n] - z[n]
        strayed += int(is_free[n] * (a * a + b * b + c * c) > square)
    return strayed


@compiled
def mark_near(
    drape: DrapeRecord,
    work: FabricWorkRecord,
    start: Vector,
    along: Vector,
    per_square_1_m2: float,
    radius_m: float,
) -> int:
    """Mark the nodes whose lines may touch a capsule, and give how many."""
    ahead, aside, deep = work.seen_m[AHEAD], work.seen_m[ASIDE], work.seen_m[DEEP]
    reach, is_free, mark = drape.node.reach_m, drape.node.is_free, work.scratch[MARKED]
    near = 0
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b = n - ROW, n + ONE
        here = (ahead[n], aside[n], deep[n])
        down = scale(add(here, (ahead[a], aside[a], deep[a])), 0.5)
        beside = scale(add(here, (ahead[b], aside[b], deep[b])), 0.5)
        down = from_axis(down, start, along, per_square_1_m2)
        beside = from_axis(beside, start, along, per_square_1_m2)
        far = reach[n] + radius_m
        is_near = min(dot(down, down), dot(beside, beside)) < far * far
        is_near = is_near & (is_free[n] > 0.0)
        mark[n] = 1.0 if is_near else 0.0
        near += int(is_near)
    return near


@compiled
def head_strayed_m(craft: CraftRecord, work: WorkRecord) -> float:
    """Give how far [m] any capsule of a head that nods has moved since lines were listed."""
    most = 0.0
    if craft.neck.is_hinged > 0:
        for c in range(craft.drape.capsule_count):
            if craft.drape.capsule[c].on_head > 0:
                start, along = placed(craft, work, craft.drape.capsule[c])
                one = subtract(start, as_vector(work.fabric.listed_rod_m[c, 0]))
                other = subtract(add(start, along), as_vector(work.fabric.listed_rod_m[c, 1]))
                most = max(most, dot(one, one), dot(other, other))
    return math.sqrt(most)


@compiled
def meet(here: Vector, way: Vector, start: Vector, along: Vector) -> tuple[float, Vector]:
    """Give where on a line it is nearest to a rod's axis [-], and the way [m] from there to it."""
    share, its_share = nearest_shares(here, way, start, along)
    apart = subtract(subtract(here, start), scale(along, its_share))
    return share, add(apart, scale(way, share))


@compiled
def box_of_cloth(drape: DrapeRecord, work: FabricWorkRecord) -> tuple[Vector, Vector]:
    """Give the corners of a box with edges along the body's axes that holds all fabric."""
    low, high = (math.inf, math.inf, math.inf), (-math.inf, -math.inf, -math.inf)
    for k in range(drape.panel_count + drape.rim_count):
        rim = k - drape.panel_count
        here = seen(work, drape.panel.node[k] if rim < 0 else drape.rim[rim].node)
        low = (min(low[0], here[0]), min(low[1], here[1]), min(low[2], here[2]))
        high = (max(high[0], here[0]), max(high[1], here[1]), max(high[2], here[2]))
    return low, high


@compiled
def is_beside(box: tuple[Vector, Vector], start: Vector, end: Vector, far_m: float) -> bool:
    """Tell whether a rod ends before it is as near [m] to a box of `box_of_cloth`."""
    low, high = box
    return (
        (max(start[0], end[0]) + far_m < low[0])
        | (max(start[1], end[1]) + far_m < low[1])
        | (max(start[2], end[2]) + far_m < low[2])
        | (min(start[0], end[0]) - far_m > high[0])
        | (min(start[1], end[1]) - far_m > high[1])
        | (min(start[2], end[2]) - far_m > high[2])
    )


@compiled
def list_lines(craft: CraftRecord, work: WorkRecord) -> None:
    """List all lines and cells that are so near a capsule that they may soon touch it."""
    drape, fabric = craft.drape, work.fabric
    for i in range(3):
        for n in range(FIRST, np.uint64(drape.node_end)):
            fabric.listed_m[i, n] = fabric.seen_m[i, n]
    fabric.is_listed, listed, box = 1, 0, box_of_cloth(drape, fabric)
    for c in range(drape.capsule_count):
        start, along = placed(craft, work, drape.capsule[c])
        end = add(start, along)
        write_vector(fabric.listed_rod_m[c, 0], start)
        write_vector(fabric.listed_rod_m[c, 1], end)
        far, per_square = drape.capsule[c].radius_m + LISTED_M, drape.capsule[c].per_square_1_m2
        if is_beside(box, start, end, far):
            continue
        if not is_beside(box, start, start, far):
            listed = list_cells(drape, fabric, start, far, c, CELL_AT_START, listed)
        if per_square > 0.0 and not is_beside(box, end, end, far):
            listed = list_cells(drape, fabric, end, far, c, CELL_AT_END, listed)
        if mark_near(drape, fabric, start, along, per_square, far) == 0:
            continue
        for k in range(drape.panel_count):
            n = drape.panel.node[k]
            if fabric.scratch[MARKED, n] == 0.0:
                continue
            here = seen(fabric, n)
            for kind in range(2 if drape.thread.stiffness_n_m[BESIDE, n] > 0.0 else 1):
                other = n - PITCH if kind == LINE_DOWN else n + 1
                _, apart = meet(here, subtract(seen(fabric, other), here), start, along)
                if dot(apart, apart) < far * far:
                    fabric.line[listed] = meeting(c, k, kind)
                    listed += 1
    fabric.line_count = listed


@compiled
def touch_line(
    craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float, line: int
) -> None:
    """Push a line that is listed off its capsule."""
    drape, fabric = craft.drape, work.fabric
    c, k, kind = who_meets(line)
    capsule, n = drape.capsule[c], drape.panel.node[k]
    other = n - PITCH if kind == LINE_DOWN else n + 1
    start, along = placed(craft, work, capsule)
    radius, here = capsule.radius_m, seen(fabric, n)
    way, far = subtract(seen(fabric, other), here), drape.node.reach_m[n] + radius
    apart = from_axis(add(here, scale(way, 0.5)), start, along, capsule.per_square_1_m2)
    if dot(apart, apart) >= far * far:
        return
    share, apart = meet(here, way, start, along)
    if norm(apart) < radius:
        place, moving = fabric.node_m, fabric.node_m_s
        touch = (between(place, n, other, share), between(moving, n, other, share))
        mass = drape.panel.moved_mass_kg[k]
        push = push_off(craft, state, work, capsule, touch, apart, mass, step_s)
        for i in range(3):
            fabric.outer_force_n[i, n] += (1.0 - share) * push[i]
            fabric.outer_force_n[i, other] += share * push[i]


@compiled
def touch_craft(craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float) -> None:
    """Push fabric off every capsule that it touches.

    Lines and cells near enough are listed (Verlet 1967, from memory); no other can touch before
    something moved by as much, and the list is made anew before that. So it changes what is
    computed and never what comes out, whenever and for whatever state it was made.
    """
    drape, fabric = craft.drape, work.fabric
    if drape.capsule_count == 0:
        return
    see_nodes(drape, state, work)
    room = MOST_STRAYED_M - head_strayed_m(craft, work)
    if (fabric.is_listed == 0) | (room <= 0.0) or count_strayed(drape, fabric, room) > 0:
        list_lines(craft, work)
    for i in range(fabric.line_count):
        line = fabric.line[i]
        if who_meets(line)[2] < CELL_AT_START:
            touch_line(craft, state, work, step_s, line)
        else:
            touch_cell(craft, state, work, step_s, line)
