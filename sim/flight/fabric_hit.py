"""Where fabric got into a rotor: which fabric, where on it, and which rotor."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

from sim.pack.craft import PackedCraft
from sim.params.tally_record import Stop

SIDES: Final = (
    "ahead",
    "ahead on the right",
    "on the right",
    "behind on the right",
    "behind",
    "behind on the left",
    "on the left",
    "ahead on the left",
)
ROUND_M: Final = 0.01


def fabric_hit(packed: PackedCraft, tally: Any) -> str:
    """Say where fabric got into a rotor; empty for a flight that ended otherwise.

    Parameters
    ----------
    packed : PackedCraft
        What flew.
    tally : record
        See `TallyRecord`.

    Returns
    -------
    str
        Such as "skirt, on the left, 40 cm below its rim, into rotor left".
    """
    if Stop(int(tally.stop)) is not Stop.FABRIC_IN_ROTOR:
        return ""
    drape, k = packed.record.drape, int(tally.near_panel)
    its = next(each for each in packed.panels if each.first <= k < each.first + each.count)
    row, above = 1, int(drape.panel.above[k])
    while above >= 0:
        row, above = row + 1, int(drape.panel.above[above])
    below = round(100.0 * row * float(drape.panel.height_m[k]))
    own = np.unique(drape.panel.rim[its.first : its.first + its.count])
    places = np.array(drape["rim"]["place_m"])
    apart = places[int(drape.panel.rim[k])] - places[own].mean(axis=0)
    side = ""
    if math.hypot(apart[0], apart[1]) > ROUND_M:
        turn = math.atan2(apart[1], apart[0]) / (2.0 * math.pi)
        side = f", {SIDES[round(len(SIDES) * turn) % len(SIDES)]}"
    rotor = packed.rotors[int(tally.near_rotor)]
    return f"{its.name}{side}, {below} cm below its rim, into rotor {rotor}"
