"""The air past every fabric panel and every part: wind, wash and their own motion.

All points stand in one block of arrays, panels first, so that the wash of a rotor on all of them is
one plain loop over numbers, which the compiler turns into vector instructions.
"""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.quaternion import to_earth
from sim.numerics.vector import Vector, add, cross
from sim.params.craft_record import CraftRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord, WindStateRecord
from sim.params.tally_record import RotorWorkRecord, WorkRecord
from sim.physics.rotor.outwash import FELT_UP_TO, ground_below, outwash_at
from sim.physics.rotor.wash import distance_from_disc, wash_at
from sim.step.neck import place_head
from sim.step.rotors import as_vector

LANES = 8


@compiled
def write_point(work: WorkRecord, k: int, place: Vector, velocity: Vector) -> None:
    """Write a point's place [m] and minus its velocity [m/s] as its first flow, earth axes."""
    for i in range(3):
        work.point_m[i, k] = place[i]
        work.point_flow_m_s[i, k] = -velocity[i]


@compiled
def place_parts(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Write the parts that feel the wind behind the panels."""
    body = state.body
    position, velocity = as_vector(body.position_m), as_vector(body.velocity_m_s)
    rate = as_vector(body.rate_rad_s)
    first = craft.drape.panel_count
    for i in range(craft.body_count):
        place = as_vector(craft.body[i].place_m)
        moving = add(velocity, to_earth(work.rotation, cross(rate, place)))
        write_point(work, first + i, add(position, to_earth(work.rotation, place)), moving)


@compiled
def any_below(work: WorkRecord, count: int, height_m: float) -> bool:
    """Tell whether any of the first points is lower than a height [m] above the ground."""
    down, below = work.point_m[2], 0
    for k in range(count):
        below += int(-down[k] < height_m)
    return below > 0


@compiled
def add_wind(wind: WindStateRecord, centre: Vector, work: WorkRecord, count: int) -> None:
    """Add mean wind, gust and their slopes about the craft's place [m] to every point's flow."""
    north, east, down = work.point_m[0], work.point_m[1], work.point_m[2]
    for i in range(3):
        slope, axis = wind.slope_1_s[i], work.point_flow_m_s[i]
        x, y, z = slope[0], slope[1], slope[2]
        base = wind.mean_m_s[i] + wind.gust_m_s[i]
        base -= x * centre[0] + y * centre[1] + z * centre[2]
        for k in range(count):
            axis[k] += base + x * north[k] + y * east[k] + z * down[k]


@compiled
def note_wind(work: WorkRecord, count: int) -> None:
    """Note the flow past the panels before any wash is added to it."""
    for i in range(3):
        noted, flow = work.fabric.wind_m_s[i], work.point_flow_m_s[i]
        for k in range(count):
            noted[k] = flow[k]


@compiled
def add_wash(spot: RotorWorkRecord, points: FloatArray, flow: FloatArray, count: int) -> None:
    """Add one rotor's wash [m/s] to the flow (3, n) at points (3, n) [m], earth axes."""
    x, y, z = points[0], points[1], points[2]
    u, v, w = flow[0], flow[1], flow[2]
    hub, axis = as_vector(spot.hub_earth_m), as_vector(spot.axis_earth)
    wake = as_vector(spot.wake_earth)
    radius_m, induced_m_s = spot.radius_m, spot.induced_m_s
    for k in range(count):
        offset = (x[k] - hub[0], y[k] - hub[1], z[k] - hub[2])
        wash = wash_at(offset, axis, wake, radius_m, induced_m_s)
        u[k] += wash[0]
        v[k] += wash[1]
        w[k] += wash[2]


@compiled
def add_outwash(spot: RotorWorkRecord, points: FloatArray, flow: FloatArray, count: int) -> None:
    """Do as `add_wash` near level ground, where the wash turns aside."""
    x, y, z = points[0], points[1], points[2]
    u, v, w = flow[0], flow[1], flow[2]
    hub, axis = as_vector(spot.hub_earth_m), as_vector(spot.axis_earth)
    wake = as_vector(spot.wake_earth)
    radius_m, induced_m_s = spot.radius_m, spot.induced_m_s
    ground = ground_below(-hub[2], -axis[2], radius_m)
    for k in range(count):
        offset = (x[k] - hub[0], y[k] - hub[1], z[k] - hub[2])
        wash = outwash_at(offset, axis, wake, radius_m, induced_m_s, ground)
        u[k] += wash[0]
        v[k] += wash[1]
        w[k] += wash[2]


@compiled
def whole_vectors(work: WorkRecord, count: int) -> int:
    """Fill up the block with points at rest at the origin to a multiple of `LANES`; give that.

    What is left over after whole vector instructions goes one by one, at four times the cost.
    """
    full = (count + LANES - 1) // LANES * LANES
    for k in range(count, full):
        write_point(work, k, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    return full


@compiled
def blow_on_points(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Complete the flow past all points.

    Wakes add where they meet; by momentum they would merge into a slower one. Points so high that
    the ground does not turn the wash past them are spared the sum.
    """
    place_parts(craft, state, work)
    if craft.neck.is_hinged > 0:
        place_head(craft, state, work)
    count = craft.drape.panel_count + craft.body_count
    full = whole_vectors(work, count)
    add_wind(state.wind, as_vector(state.body.position_m), work, full)
    note_wind(work, craft.drape.panel_count)
    for i in range(craft.rotor_count):
        spot = work.rotor[i]
        if any_below(work, count, FELT_UP_TO * spot.radius_m):
            add_outwash(spot, work.point_m, work.point_flow_m_s, full)
        else:
            add_wash(spot, work.point_m, work.point_flow_m_s, full)


@compiled
def nearest_disc(work: WorkRecord, count: int, place: Vector) -> float:
    """Give the distance [m] of a place [m], earth axes, from the nearest rotor disc."""
    nearest = 1e9
    for i in range(count):
        spot = work.rotor[i]
        hub, axis = spot.hub_earth_m, spot.axis_earth
        offset = (place[0] - hub[0], place[1] - hub[1], place[2] - hub[2])
        distance = distance_from_disc(offset, (axis[0], axis[1], axis[2]), spot.radius_m)
        nearest = min(nearest, distance)
    return nearest
