"""How much room the tips of the rotors have: to each other, and to the rim of the fabric."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np

from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec


def _hub(craft: CraftSpec, index: int) -> FloatArray:
    rotor = craft.rotors[index]
    above = 0.0 if rotor.tilt is None else rotor.tilt.hub_above_pivot_m
    hub: FloatArray = np.asarray(rotor.place.body_m) - np.array([0.0, 0.0, above])
    return hub


def _disc_to_ring(hub: FloatArray, radius: float, middle: FloatArray, ring: float) -> float:
    """Give the least distance [m] of a level disc from a level circle, both about vertical axes.

    The nearest points lie in the vertical plane through both axes, on either side of the ring.
    """
    apart = math.hypot(hub[0] - middle[0], hub[1] - middle[1])
    drop = float(hub[2] - middle[2])
    sides = (max(abs(apart - ring) - radius, 0.0), max(apart + ring - radius, 0.0))
    return min(math.hypot(side, drop) for side in sides)


def tip_clearance_m(craft: CraftSpec, diameters_m: tuple[float, ...]) -> float:
    """Give the least room [m] of level discs to each other, seen from above, and to the rim.

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
    if craft.drape is not None:
        rim = craft.drape.rim
        middle = np.asarray(rim.place.body_m)
        rooms += [
            _disc_to_ring(hub, 0.5 * diameter, middle, rim.radius_m)
            for hub, diameter in zip(hubs, diameters_m, strict=True)
        ]
    return min(rooms, default=math.inf)
