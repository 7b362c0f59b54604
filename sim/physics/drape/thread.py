"""Threads between neighbouring nodes: they pull and never push."""

from __future__ import annotations

import math

import numpy as np

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.drape_record import DrapeRecord
from sim.params.fabric_work_record import FabricWorkRecord
from sim.physics.drape.grid import FIRST, LEFT_BELOW, ONE, RIGHT_BELOW, ROW


@compiled
def thread_pull(
    apart: Vector,
    parting: Vector,
    per_square_1_m2: float,
    stiffness_n_m: float,
    lag_s: float,
    ease: float,
    per_ease: float,
) -> tuple[float, float]:
    """Give a thread's pull per metre between its ends [N/m], and its strain [-].

    `apart` [m] goes from end to end, `parting` [m/s] is its rate. Strain is Green's,
    e = (l^2 / r^2 - 1) / 2, which needs no root and differs from l/r - 1 by half its square.
    Stiffness sets in over a strain `ease`, so that the pull has a slope everywhere: it goes as
    e^2 / 2 ease up to there and as e - ease / 2 beyond. A damper along the thread sets in
    likewise, as a lag of the pull behind the rate of strain. The pull is never below zero.
    """
    square = apart[0] * apart[0] + apart[1] * apart[1] + apart[2] * apart[2]
    growth = apart[0] * parting[0] + apart[1] * parting[1] + apart[2] * parting[2]
    strain = max(0.5 * (square * per_square_1_m2 - 1.0), 0.0)
    eased = min(strain, ease)
    share = eased * per_ease
    taut = strain - eased + 0.5 * eased * share
    damped = share * lag_s * growth * per_square_1_m2
    return max(stiffness_n_m * (taut + damped), 0.0), strain


@compiled
def tighten(drape: DrapeRecord, work: FabricWorkRecord) -> None:
    """Write the pull [N/m] of all threads into the first rows of the scratch, by kind."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    down, beside, right, left = work.scratch[0], work.scratch[1], work.scratch[2], work.scratch[3]
    size, stiff, lag = drape.thread.per_square_1_m2, drape.thread.stiffness_n_m, drape.node
    size0, size1, size2, size3 = size[0], size[1], size[2], size[3]
    stiff0, stiff1, stiff2, stiff3 = stiff[0], stiff[1], stiff[2], stiff[3]
    lags, most = lag.thread_lag_s, work.strain
    ease, per_ease = drape.ease, 1.0 / drape.ease
    for n in range(FIRST, np.uint64(drape.node_end)):
        x0, y0, z0, u0, v0, w0, lag_s = x[n], y[n], z[n], u[n], v[n], w[n], lags[n]
        b = n + ROW
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        down[n], first = thread_pull(apart, parting, size0[n], stiff0[n], lag_s, ease, per_ease)
        b = n + ONE
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        beside[n], second = thread_pull(apart, parting, size1[n], stiff1[n], lag_s, ease, per_ease)
        b = n + RIGHT_BELOW
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        right[n], third = thread_pull(apart, parting, size2[n], stiff2[n], lag_s, ease, per_ease)
        b = n + LEFT_BELOW
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        left[n], fourth = thread_pull(apart, parting, size3[n], stiff3[n], lag_s, ease, per_ease)
        most[n] = max(most[n], first, second, third, fourth)


@compiled
def pull(drape: DrapeRecord, work: FabricWorkRecord, share: float) -> None:
    """Write the force on every node: a share of the outer force, and the pull of its eight threads.

    A thread pulls its first node towards the second, and the second as much towards the first.
    """
    down, beside, right, left = work.scratch[0], work.scratch[1], work.scratch[2], work.scratch[3]
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    outer_x, outer_y, outer_z = work.outer_force_n[0], work.outer_force_n[1], work.outer_force_n[2]
    force_x, force_y, force_z = work.force_n[0], work.force_n[1], work.force_n[2]
    for n in range(FIRST, np.uint64(drape.node_end)):
        a, b, c, d = n + ROW, n + ONE, n + RIGHT_BELOW, n + LEFT_BELOW
        e, f, g, h = n - ROW, n - ONE, n - RIGHT_BELOW, n - LEFT_BELOW
        to_a, to_b, to_c, to_d = down[n], beside[n], right[n], left[n]
        to_e, to_f, to_g, to_h = down[e], beside[f], right[g], left[h]
        x0, y0, z0 = x[n], y[n], z[n]
        ahead = to_a * (x[a] - x0) + to_b * (x[b] - x0) + to_c * (x[c] - x0) + to_d * (x[d] - x0)
        back = to_e * (x0 - x[e]) + to_f * (x0 - x[f]) + to_g * (x0 - x[g]) + to_h * (x0 - x[h])
        force_x[n] = share * outer_x[n] + (ahead - back)
        ahead = to_a * (y[a] - y0) + to_b * (y[b] - y0) + to_c * (y[c] - y0) + to_d * (y[d] - y0)
        back = to_e * (y0 - y[e]) + to_f * (y0 - y[f]) + to_g * (y0 - y[g]) + to_h * (y0 - y[h])
        force_y[n] = share * outer_y[n] + (ahead - back)
        ahead = to_a * (z[a] - z0) + to_b * (z[b] - z0) + to_c * (z[c] - z0) + to_d * (z[d] - z0)
        back = to_e * (z0 - z[e]) + to_f * (z0 - z[f]) + to_g * (z0 - z[g]) + to_h * (z0 - z[h])
        force_z[n] = share * outer_z[n] + (ahead - back)


@compiled
def greatest_strain(drape: DrapeRecord, work: FabricWorkRecord) -> float:
    """Give the greatest strain [-] of the step, as l/r - 1, and forget it."""
    most = 0.0
    for n in range(FIRST, np.uint64(drape.node_end)):
        most = max(most, work.strain[n])
        work.strain[n] = 0.0
    return math.sqrt(1.0 + 2.0 * most) - 1.0
