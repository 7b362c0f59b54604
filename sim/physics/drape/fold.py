"""Bending of cloth: what resists when three neighbouring nodes leave a straight line."""

from __future__ import annotations

import numpy as np

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.vector import Vector
from sim.params.drape_record import DrapeRecord
from sim.params.fabric_work_record import FOLD_ROW, FabricWorkRecord
from sim.physics.drape.grid import FIRST, FIRST_HUNG, ONE, ROW

LEAST_BENT_M = 1e-3


@compiled_inside
def fold_push(bent: Vector, bending: Vector, stiffness_n_m: float, lag_s: float) -> Vector:
    """Give the force [N] of a fold on either of its ends, reversed; twice as much on its middle.

    `bent` [m] is d = x- - 2 x + x+, `bending` [m/s] its rate. The curvature is d over the square of
    the spacing h, and the energy of a strip of width b and flexural rigidity B is c d^2 / 2 with
    c = B b / h^3. The forces -c d, 2 c d, -c d sum to nothing and, as all lie along d, turn
    nothing. The loss acts as a lag behind the growth of d; where d is less than LEAST_BENT_M it
    fades, since there is no direction left along which it turns nothing.
    """
    square = bent[0] * bent[0] + bent[1] * bent[1] + bent[2] * bent[2]
    growth = bent[0] * bending[0] + bent[1] * bending[1] + bent[2] * bending[2]
    each = stiffness_n_m * (1.0 + lag_s * growth / (square + LEAST_BENT_M * LEAST_BENT_M))
    return (each * bent[0], each * bent[1], each * bent[2])


@compiled_inside
def fold_along(drape: DrapeRecord, work: FabricWorkRecord, way: int, step: np.uint64) -> None:
    """Write the force of all folds one way, from node to node a step on, into rows of the scratch.

    Way 0 is down the strips, way 1 across them; each has three rows.
    """
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    row = FOLD_ROW + 3 * way
    fx, fy, fz = work.scratch[row], work.scratch[row + 1], work.scratch[row + 2]
    stiffness, lag = drape.fold_stiffness_n_m[way], drape.node.fold_lag_s
    for n in range(FIRST_HUNG, np.uint64(drape.node_end)):
        a, b = n - step, n + step
        bent = (
            x[a] - 2.0 * x[n] + x[b],
            y[a] - 2.0 * y[n] + y[b],
            z[a] - 2.0 * z[n] + z[b],
        )
        bending = (
            u[a] - 2.0 * u[n] + u[b],
            v[a] - 2.0 * v[n] + v[b],
            w[a] - 2.0 * w[n] + w[b],
        )
        fx[n], fy[n], fz[n] = fold_push(bent, bending, stiffness[n], lag[n])


@compiled
def bend(drape: DrapeRecord, work: FabricWorkRecord) -> None:
    """Add the force of all folds, down the strips and across them, to the outer force.

    The natural state of cloth is flat.
    """
    fold_along(drape, work, 0, ROW)
    fold_along(drape, work, 1, ONE)
    for axis in range(3):
        down, beside = work.scratch[FOLD_ROW + axis], work.scratch[FOLD_ROW + 3 + axis]
        force = work.outer_force_n[axis]
        for n in range(FIRST, np.uint64(drape.node_end)):
            ends = down[n - ROW] + down[n + ROW] + beside[n - ONE] + beside[n + ONE]
            force[n] += 2.0 * (down[n] + beside[n]) - ends
