"""Fabric that touches the craft it hangs from, in one step.

The lines of its grid, down the strips and across woven cloth, are stopped by rounded rods, and the
cells of woven cloth between them by the rods' ends, which would go through where no line runs. Each
pushes at its point that is nearest to the rod, shared among the nodes as that point stands between
them; so the push is the slope of an energy, and rods take and give no more than that.
"""

from __future__ import annotations

import math

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_body, to_earth
from sim.numerics.vector import Vector, add, cross, dot, norm, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import BESIDE, MAX_PANELS, PITCH, CapsuleRecord, DrapeRecord
from sim.params.fabric_work_record import MEETINGS, FabricWorkRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.contact import (
    contact_push,
    from_axis,
    nearest_on_triangle,
    nearest_shares,
)
from sim.physics.drape.grid import FIRST, FIRST_HUNG, ONE, ROW
from sim.step.neck import hinge_rate
from sim.step.rotors import accumulate, as_vector, write_vector

AHEAD, ASIDE, DEEP = range(3)
MARKED = 0
LINE_DOWN, LINE_BESIDE, CELL_AT_START, CELL_AT_END = range(MEETINGS)
HALF_DIAGONAL = math.sqrt(2.0)
# Beyond a capsule's radius; what may move before lines are listed again leaves room for rounding.
LISTED_M = 0.02
MOST_STRAYED_M = 0.019


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
def seen(work: FabricWorkRecord, node: int) -> Vector:
    """Give a node as `see_nodes` wrote it."""
    return (work.seen_m[AHEAD, node], work.seen_m[ASIDE, node], work.seen_m[DEEP, node])


@compiled
def between(block: FloatArray, one: int, other: int, share: float) -> Vector:
    """Give what stands between two columns of a block (3, n)."""
    rest = 1.0 - share
    return (
        rest * block[0, one] + share * block[0, other],
        rest * block[1, one] + share * block[1, other],
        rest * block[2, one] + share * block[2, other],
    )


@compiled
def push_off(
    craft: CraftRecord,
    state: StateRecord,
    work: WorkRecord,
    is_on_hinge: bool,
    touch: tuple[Vector, Vector],
    depth_m: float,
    away: Vector,
    mass_kg: float,
    step_s: float,
) -> Vector:
    """Give the push [N] of a capsule on the fabric, and push the craft back from the same point.

    `touch` are place and velocity of the fabric where it touches; `away`, earth axes, leads it out.
    Momentum and angular momentum are exchanged to rounding.
    """
    fabric, at = work.fabric, as_vector(state.body.position_m)
    place, moving = touch
    turning = to_earth(work.rotation, as_vector(state.body.rate_rad_s))
    pivot = add(at, to_earth(work.rotation, as_vector(craft.neck.pivot_m)))
    carried = add(as_vector(state.body.velocity_m_s), cross(turning, subtract(place, at)))
    if is_on_hinge:
        rate = state.neck.rate_rad_s
        sweep = to_earth(work.rotation, hinge_rate(work.neck, rate[0], rate[1]))
        carried = add(carried, cross(sweep, subtract(place, pivot)))
    sliding = subtract(moving, carried)
    push = contact_push(depth_m, away, sliding, mass_kg, step_s, craft.drape.capsule_friction)
    for i in range(3):
        work.drape_force_n[i] -= push[i]
    accumulate(fabric.moment_n_m, cross(push, subtract(place, at)))
    if is_on_hinge:
        moment = to_body(work.rotation, cross(push, subtract(place, pivot)))
        work.neck.fabric_n_m[0] += moment[0]
        work.neck.fabric_n_m[1] += dot(as_vector(work.neck.pitch_axis), moment)
    return push


@compiled
def placed(craft: CraftRecord, work: WorkRecord, capsule: CapsuleRecord) -> tuple[Vector, Vector]:
    """Give where a capsule starts, as nodes are seen, and how it runs, the head as it nods."""
    start, along = as_vector(capsule.place_m), as_vector(capsule.along_m)
    if (capsule.on_head > 0) & (craft.neck.is_hinged > 0):
        pivot, turned = as_vector(craft.neck.pivot_m), work.neck.head_rotation
        start = add(pivot, to_earth(turned, subtract(start, pivot)))
        along = to_earth(turned, along)
    axis = craft.drape.axis_m
    return (start[0] - axis[0], start[1] - axis[1], start[2]), along


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
    return shares, subtract(amid(work.seen_m, ends, shares), tip)


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
    drape: DrapeRecord, work: FabricWorkRecord, tip: Vector, far_m: float, first: int, listed: int
) -> int:
    """List all cells that are near an end of a capsule, and give how much is listed.

    `first` is the meeting of the first panel.
    """
    if mark_cells(drape, work, tip, far_m) == 0:
        return listed
    square = far_m * far_m
    for k in range(drape.panel_count):
        n = drape.panel.node[k]
        if work.scratch[MARKED, n] > 0.0 and not is_cell_far(work, n, tip, far_m):
            _, _, apart = meet_cell(work, n, tip)
            if dot(apart, apart) < square:
                work.line[listed] = first + k * MEETINGS
                listed += 1
    return listed


@compiled
def list_lines(craft: CraftRecord, work: WorkRecord) -> None:
    """List all lines and cells that are so near a capsule that they may soon touch it."""
    drape, fabric = craft.drape, work.fabric
    for i in range(3):
        for n in range(FIRST, np.uint64(drape.node_end)):
            fabric.listed_m[i, n] = fabric.seen_m[i, n]
    fabric.is_listed, listed = 1, 0
    for c in range(drape.capsule_count):
        start, along = placed(craft, work, drape.capsule[c])
        end = add(start, along)
        write_vector(fabric.listed_rod_m[c, 0], start)
        write_vector(fabric.listed_rod_m[c, 1], end)
        far, per_square = drape.capsule[c].radius_m + LISTED_M, drape.capsule[c].per_square_1_m2
        first = c * MAX_PANELS * MEETINGS
        listed = list_cells(drape, fabric, start, far, first + CELL_AT_START, listed)
        if per_square > 0.0:
            listed = list_cells(drape, fabric, end, far, first + CELL_AT_END, listed)
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
                    fabric.line[listed] = first + k * MEETINGS + kind
                    listed += 1
    fabric.line_count = listed


@compiled
def touch_line(
    craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float, line: int
) -> None:
    """Push a line that is listed off its capsule."""
    drape, fabric = craft.drape, work.fabric
    k, kind, c = line // MEETINGS % MAX_PANELS, line % MEETINGS, line // (MEETINGS * MAX_PANELS)
    capsule, n = drape.capsule[c], drape.panel.node[k]
    other = n - PITCH if kind == LINE_DOWN else n + 1
    start, along = placed(craft, work, capsule)
    radius, here = capsule.radius_m, seen(fabric, n)
    way, far = subtract(seen(fabric, other), here), drape.node.reach_m[n] + radius
    apart = from_axis(add(here, scale(way, 0.5)), start, along, capsule.per_square_1_m2)
    if dot(apart, apart) >= far * far:
        return
    share, apart = meet(here, way, start, along)
    distance = norm(apart)
    if distance < radius:
        away = scale(to_earth(work.rotation, apart), 1.0 / max(distance, 1e-9))
        depth, mass = radius - distance, drape.panel.moved_mass_kg[k]
        is_on_hinge = (capsule.on_head > 0) & (craft.neck.is_hinged > 0)
        place = between(fabric.node_m, n, other, share)
        touch = (place, between(fabric.node_m_s, n, other, share))
        push = push_off(craft, state, work, is_on_hinge, touch, depth, away, mass, step_s)
        for i in range(3):
            fabric.outer_force_n[i, n] += (1.0 - share) * push[i]
            fabric.outer_force_n[i, other] += share * push[i]


@compiled
def touch_cell(
    craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float, line: int
) -> None:
    """Push a cell that is listed off the end of its capsule."""
    drape, fabric = craft.drape, work.fabric
    k, kind, c = line // MEETINGS % MAX_PANELS, line % MEETINGS, line // (MEETINGS * MAX_PANELS)
    capsule, n = drape.capsule[c], drape.panel.node[k]
    tip, along = placed(craft, work, capsule)
    if kind == CELL_AT_END:
        tip = add(tip, along)
    radius = capsule.radius_m
    if is_cell_far(fabric, n, tip, radius):
        return
    ends, shares, apart = meet_cell(fabric, n, tip)
    distance = norm(apart)
    if distance < radius:
        away = scale(to_earth(work.rotation, apart), 1.0 / max(distance, 1e-9))
        depth, mass = radius - distance, drape.panel.moved_mass_kg[k]
        is_on_hinge = (capsule.on_head > 0) & (craft.neck.is_hinged > 0)
        touch = (amid(fabric.node_m, ends, shares), amid(fabric.node_m_s, ends, shares))
        push = push_off(craft, state, work, is_on_hinge, touch, depth, away, mass, step_s)
        rest = 1.0 - shares[0] - shares[1]
        for i in range(3):
            fabric.outer_force_n[i, ends[0]] += rest * push[i]
            fabric.outer_force_n[i, ends[1]] += shares[0] * push[i]
            fabric.outer_force_n[i, ends[2]] += shares[1] * push[i]


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
        if line % MEETINGS < CELL_AT_START:
            touch_line(craft, state, work, step_s, line)
        else:
            touch_cell(craft, state, work, step_s, line)
