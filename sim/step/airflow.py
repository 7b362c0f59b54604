"""The air past every fabric panel and every part: wind, wash and their own motion.

All points stand in one block of arrays, panels first, so that the wash of a rotor on all of them is
one plain loop over numbers, which the compiler turns into vector instructions.
"""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector, cross, dot
from sim.params.craft_record import LANES, CraftRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord, WindStateRecord
from sim.params.tally_record import RotorWorkRecord, WorkRecord
from sim.physics.rotor.outwash import FELT_UP_TO, ground_below, outwash_at
from sim.physics.rotor.wash import distance_from_disc, wash_at
from sim.step.air_now import air_at
from sim.step.neck import place_head
from sim.step.rotors import as_vector


@compiled
def whole_vectors(count: int) -> int:
    """Give the number of points, filled up to whole vectors.

    What is left over after whole vector instructions goes one by one, at four times the cost.
    """
    return (count + LANES - 1) // LANES * LANES


@compiled
def place_parts(craft: CraftRecord, state: StateRecord, work: WorkRecord, full: int) -> None:
    """Write place and minus the velocity of the parts that feel the wind behind the panels.

    Up to `full` points follow that are no parts; they stand at the CG. A place p turns with
    R (w x p), of which the row i is (R_i x w) p.
    """
    body, part = state.body, craft.body.place_m
    rate, x, y, z = as_vector(body.rate_rad_s), part[0], part[1], part[2]
    first = np.uint64(craft.drape.panel_count)
    for i in range(3):
        row = as_vector(work.rotation[i])
        turn = cross(row, rate)
        place, flow = work.point_m[i], work.point_flow_m_s[i]
        position, velocity = body.position_m[i], body.velocity_m_s[i]
        for k in range(first, np.uint64(full)):
            n = k - first
            place[k] = position + (row[0] * x[n] + row[1] * y[n] + row[2] * z[n])
            flow[k] = -velocity - (turn[0] * x[n] + turn[1] * y[n] + turn[2] * z[n])


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
    u, v, w = work.point_flow_m_s[0], work.point_flow_m_s[1], work.point_flow_m_s[2]
    first, second, third = (
        as_vector(wind.slope_1_s[0]),
        as_vector(wind.slope_1_s[1]),
        as_vector(wind.slope_1_s[2]),
    )
    air = air_at(wind, (-centre[0], -centre[1], -centre[2]))
    for k in range(count):
        place = (north[k], east[k], down[k])
        u[k] += air[0] + dot(first, place)
        v[k] += air[1] + dot(second, place)
        w[k] += air[2] + dot(third, place)


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
def blow_on_points(craft: CraftRecord, state: StateRecord, work: WorkRecord) -> None:
    """Complete the flow past all points.

    Wakes add where they meet; by momentum they would merge into a slower one. Points so high that
    the ground does not turn the wash past them are spared the sum.
    """
    count = craft.drape.panel_count + craft.body_count
    full = whole_vectors(count)
    place_parts(craft, state, work, full)
    if craft.neck.is_hinged > 0:
        place_head(craft, state, work)
    add_wind(state.wind, as_vector(state.body.position_m), work, full)
    if craft.drape.is_calibrated > 0:
        note_wind(work, craft.drape.panel_count)
    for i in range(craft.rotor_count):
        spot = work.rotor[i]
        if any_below(work, count, FELT_UP_TO * spot.radius_m):
            add_outwash(spot, work.point_m, work.point_flow_m_s, full)
        else:
            add_wash(spot, work.point_m, work.point_flow_m_s, full)


@compiled
def nearest_disc(work: WorkRecord, count: int, place: Vector) -> tuple[float, int]:
    """Give the distance [m] of a place [m], earth axes, from the nearest rotor disc, and which."""
    nearest, which = 1e9, 0
    for i in range(count):
        spot = work.rotor[i]
        hub, axis = spot.hub_earth_m, spot.axis_earth
        offset = (place[0] - hub[0], place[1] - hub[1], place[2] - hub[2])
        distance = distance_from_disc(offset, (axis[0], axis[1], axis[2]), spot.radius_m)
        if distance < nearest:
            nearest, which = distance, i
    return nearest, which
