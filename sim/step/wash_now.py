"""The wash of all rotors together at a point."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.tally_record import WorkRecord
from sim.physics.rotor.wash import wash_at


@compiled
def wash_of_all(work: WorkRecord, count: int, x: float, y: float, z: float) -> tuple[Vector, float]:
    """Give the wash [m/s] at a point [m], both in earth axes, and its distance [m] to the nearest
    disc.

    Wakes add where they meet (a simplification; they would merge).
    """
    vx, vy, vz, nearest = 0.0, 0.0, 0.0, 1e9
    for i in range(count):
        spot = work.rotor[i]
        axis = (spot.axis_earth[0], spot.axis_earth[1], spot.axis_earth[2])
        speed, distance = wash_at(
            (x - spot.hub_earth_m[0], y - spot.hub_earth_m[1], z - spot.hub_earth_m[2]),
            axis,
            (spot.wake_earth[0], spot.wake_earth[1], spot.wake_earth[2]),
            spot.radius_m,
            spot.induced_m_s,
        )
        vx -= speed * axis[0]
        vy -= speed * axis[1]
        vz -= speed * axis[2]
        nearest = min(nearest, distance)
    return (vx, vy, vz), nearest
