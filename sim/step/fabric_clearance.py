"""How near fabric comes to a rotor disc."""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.craft_record import CraftRecord
from sim.params.drape_record import BESIDE, DrapeRecord
from sim.params.fabric_work_record import FabricWorkRecord
from sim.params.tally_record import WorkRecord
from sim.physics.drape.grid import FIRST_HUNG, ONE, ROW
from sim.physics.rotor.wash import square_from_disc
from sim.step.airflow import nearest_disc
from sim.step.fabric import place_ghosts
from sim.step.rotors import as_vector

FAR_M = 1e9


@compiled
def middle_of(work: FabricWorkRecord, one: np.uint64, other: np.uint64) -> Vector:
    """Give the middle [m], earth axes, of the line from one node to another."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    return (0.5 * (x[one] + x[other]), 0.5 * (y[one] + y[other]), 0.5 * (z[one] + z[other]))


@compiled
def look_near(craft: CraftRecord, work: WorkRecord, k: int, place: Vector) -> None:
    """Note the distance [m] of a place on panel k to the nearest disc if it is the least."""
    distance, rotor = nearest_disc(work, craft.rotor_count, place)
    if distance < work.clearance_m:
        work.clearance_m, work.near_panel, work.near_rotor = distance, k, rotor


@compiled
def look_from_disc(work: WorkRecord, drape: DrapeRecord, rotor: int) -> None:
    """Lower the square [m^2] of every node's distance from any disc to that from this one."""
    x, y, z = work.fabric.node_m[0], work.fabric.node_m[1], work.fabric.node_m[2]
    far, spot = work.fabric.scratch[0], work.rotor[rotor]
    hub, axis, radius = as_vector(spot.hub_earth_m), as_vector(spot.axis_earth), spot.radius_m
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        apart = (x[n] - hub[0], y[n] - hub[1], z[n] - hub[2])
        far[n] = min(far[n], square_from_disc(apart, axis, radius))


@compiled
def measure_clearance(craft: CraftRecord, work: WorkRecord) -> None:
    """Write the least distance [m] of any particle, or middle between two, to any rotor disc.

    Middles are looked at only where they may be nearer than all particles. Panel and rotor are
    noted.
    """
    drape, fabric, far = craft.drape, work.fabric, work.fabric.scratch[0]
    weft, reach, work.clearance_m = drape.thread.stiffness_n_m[BESIDE], drape.node.reach_m, FAR_M
    place_ghosts(drape, fabric)
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        far[n] = FAR_M * FAR_M
    for i in range(craft.rotor_count):
        look_from_disc(work, drape, i)
    nearest = 0
    for k in range(drape.panel_count):
        if far[drape.panel.node[k]] < far[drape.panel.node[nearest]]:
            nearest = k
    at = np.uint64(drape.panel.node[nearest])
    look_near(craft, work, nearest, middle_of(fabric, at, at))
    for k in range(drape.panel_count):
        at = np.uint64(drape.panel.node[k])
        within = work.clearance_m + reach[at]
        if far[at] < within * within:
            look_near(craft, work, k, middle_of(fabric, at, at - ROW))
            if weft[at] > 0.0:
                look_near(craft, work, k, middle_of(fabric, at, at + ONE))
