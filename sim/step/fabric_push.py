"""What lines and cells of fabric share when they touch the craft: places, and the push between."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_body, to_earth
from sim.numerics.vector import Vector, add, cross, dot, norm, scale, subtract
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import MAX_PANELS, CapsuleRecord
from sim.params.fabric_work_record import MEETINGS, FabricWorkRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.contact import contact_push
from sim.step.neck import hinge_rate
from sim.step.rotors import accumulate, as_vector

AHEAD, ASIDE, DEEP = range(3)
MARKED = 0


@compiled
def meeting(capsule: int, panel: int, kind: int) -> int:
    """Give the number of a meeting in the list of what is near."""
    return (capsule * MAX_PANELS + panel) * MEETINGS + kind


@compiled
def who_meets(number: int) -> tuple[int, int, int]:
    """Give capsule, panel and kind of a meeting."""
    whole, kind = number // MEETINGS, number % MEETINGS
    return whole // MAX_PANELS, whole % MAX_PANELS, kind


@compiled
def seen(work: FabricWorkRecord, node: int) -> Vector:
    """Give a node as `see_nodes` wrote it."""
    return (work.seen_m[AHEAD, node], work.seen_m[ASIDE, node], work.seen_m[DEEP, node])


@compiled
def is_nodding(craft: CraftRecord, capsule: CapsuleRecord) -> bool:
    """Tell whether a capsule belongs to a head on a hinge."""
    return (capsule.on_head > 0) & (craft.neck.is_hinged > 0)


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
    capsule: CapsuleRecord,
    touch: tuple[Vector, Vector],
    apart: Vector,
    mass_kg: float,
    step_s: float,
) -> Vector:
    """Give the push [N] of a capsule on the fabric, and push the craft back from the same point.

    `touch` are place and velocity of the fabric where it touches; `apart` [m], in the axes of nodes
    as they are seen, goes there from the capsule's axis and is shorter than its radius. Momentum
    and angular momentum are exchanged to rounding.
    """
    fabric, at = work.fabric, as_vector(state.body.position_m)
    is_on_hinge = is_nodding(craft, capsule)
    distance = norm(apart)
    away = scale(to_earth(work.rotation, apart), 1.0 / max(distance, 1e-9))
    place, moving = touch
    turning = to_earth(work.rotation, as_vector(state.body.rate_rad_s))
    carried = add(as_vector(state.body.velocity_m_s), cross(turning, subtract(place, at)))
    from_pivot = subtract(
        subtract(place, at), to_earth(work.rotation, as_vector(craft.neck.pivot_m))
    )
    if is_on_hinge:
        rate = state.neck.rate_rad_s
        sweep = to_earth(work.rotation, hinge_rate(work.neck, rate[0], rate[1]))
        carried = add(carried, cross(sweep, from_pivot))
    sliding = subtract(moving, carried)
    push = contact_push(
        capsule.radius_m - distance, away, sliding, mass_kg, step_s, craft.drape.capsule_friction
    )
    for i in range(3):
        work.drape_force_n[i] -= push[i]
    accumulate(fabric.moment_n_m, cross(push, subtract(place, at)))
    if is_on_hinge:
        moment = to_body(work.rotation, cross(push, from_pivot))
        work.neck.fabric_n_m[0] += moment[0]
        work.neck.fabric_n_m[1] += dot(as_vector(work.neck.pitch_axis), moment)
    return push


@compiled
def placed(craft: CraftRecord, work: WorkRecord, capsule: CapsuleRecord) -> tuple[Vector, Vector]:
    """Give where a capsule starts, as nodes are seen, and how it runs, the head as it nods."""
    start, along = as_vector(capsule.place_m), as_vector(capsule.along_m)
    if is_nodding(craft, capsule):
        pivot, turned = as_vector(craft.neck.pivot_m), work.neck.head_rotation
        start = add(pivot, to_earth(turned, subtract(start, pivot)))
        along = to_earth(turned, along)
    axis = craft.drape.axis_m
    return (start[0] - axis[0], start[1] - axis[1], start[2]), along
