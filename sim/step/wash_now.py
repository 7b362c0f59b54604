"""All rotors together at a point: their wash, and how near the nearest disc is."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.tally_record import WorkRecord
from sim.physics.rotor.wash import distance_from_disc, wash_at


@compiled
def wash_of_all(work: WorkRecord, count: int, place: Vector) -> Vector:
    """Give the wash [m/s] at a place [m], both in earth axes.

    Wakes add where they meet (a simplification; they would merge).
    """
    vx, vy, vz = 0.0, 0.0, 0.0
    for i in range(count):
        spot = work.rotor[i]
        hub, axis, wake = spot.hub_earth_m, spot.axis_earth, spot.wake_earth
        speed = wash_at(
            (place[0] - hub[0], place[1] - hub[1], place[2] - hub[2]),
            (axis[0], axis[1], axis[2]),
            (wake[0], wake[1], wake[2]),
            spot.radius_m,
            spot.induced_m_s,
        )
        vx -= speed * axis[0]
        vy -= speed * axis[1]
        vz -= speed * axis[2]
    return (vx, vy, vz)


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
