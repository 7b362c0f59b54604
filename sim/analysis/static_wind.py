"""The wind that takes all thrust to lean against: no wind limit can lie above it."""

from __future__ import annotations

import math

import numpy as np

from sim.pack.craft import PackedCraft
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2


def static_bound_m_s(packed: PackedCraft) -> float:
    """Give the wind [m/s] at which level trim takes all thrust, with parts' drag alone.

    tan(tilt) = D / W and T / W = 1 / cos(tilt) give V = sqrt(2 W tan(acos(W / T)) / (rho CdA)). The
    fabric is left out and the smaller of forward and sideways drag taken, so that this bounds the
    limit from above; infinite without drag, 0 when the thrust does not carry the weight.
    """
    record = packed.record
    areas = record["body"]["drag_area_m2"][:, : int(record.body_count)]
    area = float(min(areas[0].sum(), areas[1].sum()))
    weight = packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    thrust = float(np.sum(packed.full.thrust_n))
    if thrust <= weight:
        return 0.0
    if area <= 0.0:
        return math.inf
    tilt = math.acos(weight / thrust)
    return math.sqrt(2.0 * weight * math.tan(tilt) / (packed.air.density_kg_m3 * area))
