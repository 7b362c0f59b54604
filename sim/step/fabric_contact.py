"""Fabric that touches the craft it hangs from, in one step.

The lines of its grid, down the strips and across woven cloth, are stopped by rounded rods. Each
pushes at its point that is nearest to the rod, shared between the line's ends as that point stands
between them; so the push is the slope of an energy, and rods take and give no more than that.
"""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.quaternion import to_body, to_earth
from sim.numerics.vector import Vector, add, cross, dot, norm, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import (
    ABOVE,
    ANYWHERE,
    BESIDE,
    PITCH,
    WITHIN,
    CapsuleRecord,
    DrapeRecord,
)
from sim.params.fabric_work_record import FabricWorkRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.contact import contact_push, from_axis, nearest_shares
from sim.physics.drape.grid import FIRST, FIRST_HUNG, ONE, ROW
from sim.step.neck import hinge_rate
from sim.step.rotors import accumulate, as_vector

# Of nodes seen from the craft. Marks stand in the first rows of the scratch, zone by zone.
AHEAD, ASIDE, DEEP = range(3)


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


@compiled_inside
def may_come_near(x: float, y: float, x1: float, y1: float, square_m2: float) -> bool:
    """Tell whether a straight line may come within a distance of the origin, as seen from above.

    With m the middle's distance and h half the length it cannot where m > R + h, and surely not
    where m^2 > 2 (R^2 + h^2). The ends are (x, y) and (x1, y1) [m]; `square_m2` is 8 R^2.
    """
    a, b, c, d = x + x1, y + y1, x1 - x, y1 - y
    return bool(a * a + b * b < square_m2 + 2.0 * (c * c + d * d))


@compiled
def mark_astray(drape: DrapeRecord, work: FabricWorkRecord) -> tuple[int, int, int]:
    """Mark nodes whose lines come near the capsules above the rims, and within them.

    Gives how many these are, and how many come near those around the rims.
    """
    ahead, aside, deep = work.seen_m[AHEAD], work.seen_m[ASIDE], work.seen_m[DEEP]
    is_above, is_within = work.scratch[ABOVE], work.scratch[WITHIN]
    ceiling, inner, outer = drape.ceiling_m, drape.inner_m, drape.outer_m
    is_free, near, square = drape.node.is_free, outer * outer, 8.0 * inner * inner
    above, within, around = 0, 0, 0
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b = n - ROW, n + ONE
        x, y, x0, y0, x1, y1 = ahead[n], aside[n], ahead[a], aside[a], ahead[b], aside[b]
        out = max(x * x + y * y, x0 * x0 + y0 * y0, x1 * x1 + y1 * y1)
        close = may_come_near(x, y, x0, y0, square) | may_come_near(x, y, x1, y1, square)
        is_high = (is_free[n] > 0.0) & (min(deep[n], deep[a], deep[b]) < ceiling)
        is_close = (is_free[n] > 0.0) & close
        is_out = (is_free[n] > 0.0) & (out > near)
        is_above[n] = 1.0 if is_high else 0.0
        is_within[n] = 1.0 if is_close else 0.0
        above += int(is_high)
        within += int(is_close)
        around += int(is_out)
    return above, within, around


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
    reach, is_free, mark = drape.node.reach_m, drape.node.is_free, work.scratch[ANYWHERE]
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
def mark_beside(drape: DrapeRecord, work: FabricWorkRecord, capsule: CapsuleRecord) -> int:
    """Mark the nodes whose lines a capsule may touch as seen from above, and give how many."""
    ahead, aside = work.seen_m[AHEAD], work.seen_m[ASIDE]
    is_free, mark = drape.node.is_free, work.scratch[ANYWHERE]
    x, y, radius, near = capsule.round_m[0], capsule.round_m[1], capsule.round_m[2], 0
    square = 8.0 * radius * radius
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b = n - ROW, n + ONE
        x0, y0 = ahead[n] - x, aside[n] - y
        down = may_come_near(x0, y0, ahead[a] - x, aside[a] - y, square)
        beside = may_come_near(x0, y0, ahead[b] - x, aside[b] - y, square)
        is_near = (down | beside) & (is_free[n] > 0.0)
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
def press(
    craft: CraftRecord,
    state: StateRecord,
    work: WorkRecord,
    is_on_hinge: bool,
    ends: tuple[int, int, float],
    depth_m: float,
    away: Vector,
    mass_kg: float,
    step_s: float,
) -> None:
    """Push a line of the grid off a capsule, and the craft back from the same point.

    `ends` are its two nodes and how far from the first to the second it touches; `away`, earth
    axes, leads it out. Momentum and angular momentum are exchanged to rounding.
    """
    fabric, at = work.fabric, as_vector(state.body.position_m)
    one, other, share = ends
    place = between(fabric.node_m, one, other, share)
    turning = to_earth(work.rotation, as_vector(state.body.rate_rad_s))
    pivot = add(at, to_earth(work.rotation, as_vector(craft.neck.pivot_m)))
    carried = add(as_vector(state.body.velocity_m_s), cross(turning, subtract(place, at)))
    if is_on_hinge:
        rate = state.neck.rate_rad_s
        sweep = to_earth(work.rotation, hinge_rate(work.neck, rate[0], rate[1]))
        carried = add(carried, cross(sweep, subtract(place, pivot)))
    sliding = subtract(between(fabric.node_m_s, one, other, share), carried)
    push = contact_push(depth_m, away, sliding, mass_kg, step_s, craft.drape.capsule_friction)
    for i in range(3):
        fabric.outer_force_n[i, one] += (1.0 - share) * push[i]
        fabric.outer_force_n[i, other] += share * push[i]
        work.drape_force_n[i] -= push[i]
    accumulate(fabric.moment_n_m, cross(push, subtract(place, at)))
    if is_on_hinge:
        moment = to_body(work.rotation, cross(push, subtract(place, pivot)))
        work.neck.fabric_n_m[0] += moment[0]
        work.neck.fabric_n_m[1] += dot(as_vector(work.neck.pitch_axis), moment)


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
def touch_marked(
    craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float, mark: int, c: int
) -> None:
    """Push the lines of the nodes that are marked off a capsule."""
    drape, fabric, capsule = craft.drape, work.fabric, craft.drape.capsule[c]
    start, along = placed(craft, work, capsule)
    radius, per_square = capsule.radius_m, capsule.per_square_1_m2
    is_on_hinge = (capsule.on_head > 0) & (craft.neck.is_hinged > 0)
    for k in range(drape.panel_count):
        n = drape.panel.node[k]
        if fabric.scratch[mark, n] == 0.0:
            continue
        here, far = seen(fabric, n), drape.node.reach_m[n] + radius
        for kind in range(2 if drape.thread.stiffness_n_m[BESIDE, n] > 0.0 else 1):
            other = n - PITCH if kind == 0 else n + 1
            way = subtract(seen(fabric, other), here)
            apart = from_axis(add(here, scale(way, 0.5)), start, along, per_square)
            if dot(apart, apart) >= far * far:
                continue
            share, its_share = nearest_shares(here, way, start, along)
            apart = subtract(subtract(here, start), scale(along, its_share))
            apart = add(apart, scale(way, share))
            distance = norm(apart)
            if distance < radius:
                away = scale(to_earth(work.rotation, apart), 1.0 / max(distance, 1e-9))
                depth, mass = radius - distance, drape.panel.moved_mass_kg[k]
                ends = (n, other, share)
                press(craft, state, work, is_on_hinge, ends, depth, away, mass, step_s)


@compiled
def touch_craft(craft: CraftRecord, state: StateRecord, work: WorkRecord, step_s: float) -> None:
    """Push fabric off every capsule that it touches, zone by zone where some of it is."""
    drape, ends = craft.drape, craft.drape.zone_end
    if drape.capsule_count == 0:
        return
    see_nodes(drape, state, work)
    above, within, around = mark_astray(drape, work.fabric)
    for c in range(drape.capsule_count):
        capsule = drape.capsule[c]
        if c < ends[ANYWHERE]:
            start, along = placed(craft, work, capsule)
            per_square, radius = capsule.per_square_1_m2, capsule.radius_m
            if mark_near(drape, work.fabric, start, along, per_square, radius) > 0:
                touch_marked(craft, state, work, step_s, ANYWHERE, c)
        elif c < ends[ABOVE]:
            if above > 0:
                touch_marked(craft, state, work, step_s, ABOVE, c)
        elif c < ends[WITHIN]:
            if within > 0:
                touch_marked(craft, state, work, step_s, WITHIN, c)
        elif around > 0 and mark_beside(drape, work.fabric, capsule) > 0:
            touch_marked(craft, state, work, step_s, ANYWHERE, c)
