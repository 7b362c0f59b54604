"""Cloth that lies on the ground."""

from __future__ import annotations

import math

import numpy as np

from sim.numerics.compile import compiled
from sim.params.drape_record import DrapeRecord
from sim.params.fabric_work_record import FabricWorkRecord
from sim.physics.drape.grid import FIRST


@compiled
def lie_on_ground(drape: DrapeRecord, work: FabricWorkRecord) -> None:
    """Keep every free node above the ground: it stops sinking and rubs along it.

    The ground takes the sinking speed away; friction takes from the sideways speed at most that
    times Coulomb's coefficient, as the impulses of the two are.
    """
    z = work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    for n in range(FIRST, np.uint64(drape.node_end)):
        if z[n] <= 0.0 or drape.node.is_free[n] == 0.0:
            continue
        z[n] = 0.0
        sinking = max(w[n], 0.0)
        w[n] -= sinking
        sliding = math.sqrt(u[n] * u[n] + v[n] * v[n])
        if sliding > 0.0:
            kept = max(1.0 - drape.ground_friction * sinking / sliding, 0.0)
            u[n] *= kept
            v[n] *= kept
