"""How much room the tips of the rotors have: to each other, and to the rim of the fabric."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np

from sim.mass.rim import rim_points_m
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.rim import RimSpec

POINTS_OF_RIM = 721


def _hub(craft: CraftSpec, index: int) -> FloatArray:
    rotor = craft.rotors[index]
    above = 0.0 if rotor.tilt is None else rotor.tilt.hub_above_pivot_m
    hub: FloatArray = np.asarray(rotor.place.body_m) - np.array([0.0, 0.0, above])
    return hub


def _disc_to_rim(hub: FloatArray, radius: float, rim: RimSpec) -> float:
    """Give the least distance [m] of a level disc from a level rim, over many points of the rim.

    Of a closed circle exactly: the nearest points lie in the vertical plane through both axes, on
    either side of the ring.
    """
    if rim.is_circular and rim.is_closed:
        middle, ring = np.asarray(rim.place.body_m), rim.radii_m[0]
        between = math.hypot(hub[0] - middle[0], hub[1] - middle[1])
        aside = np.array([abs(between - ring), between + ring])
        drop = np.full(2, hub[2] - middle[2])
    else:
        points = rim_points_m(rim, np.linspace(0.0, 1.0, POINTS_OF_RIM))
        aside = np.hypot(points[:, 0] - hub[0], points[:, 1] - hub[1])
        drop = points[:, 2] - hub[2]
    return float(np.hypot(np.maximum(aside - radius, 0.0), drop).min())


def tip_clearance_m(craft: CraftSpec, diameters_m: tuple[float, ...]) -> float:
    """Give the least room [m] of level discs to each other, seen from above, and to the rims.

    Parts and swinging fabric are not looked at: flights watch the fabric, the builder the parts.

    Parameters
    ----------
    craft : CraftSpec
    diameters_m : tuple of float
        [m] Of each rotor, in the order of the file.

    Returns
    -------
    float
        [m] Negative when discs overlap; inf for one rotor without fabric.
    """
    hubs = [_hub(craft, i) for i in range(len(craft.rotors))]
    rooms = [
        math.hypot(*(hubs[i][:2] - hubs[j][:2])) - 0.5 * (diameters_m[i] + diameters_m[j])
        for i, j in combinations(range(len(hubs)), 2)
    ]
    rooms += [
        _disc_to_rim(hub, 0.5 * diameter, drape.rim)
        for drape in craft.drapes
        for hub, diameter in zip(hubs, diameters_m, strict=True)
    ]
    return min(rooms, default=math.inf)
