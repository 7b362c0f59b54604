"""Threads between neighbouring nodes: they pull and never push."""

from __future__ import annotations

import math

import numpy as np

from sim.numerics.compile import compiled, compiled_inside
from sim.numerics.vector import Vector
from sim.params.drape_record import BESIDE, DOWN, DOWN_LEFT, DOWN_RIGHT, DrapeRecord
from sim.params.fabric_work_record import FabricWorkRecord
from sim.physics.drape.grid import FIRST, LEFT_BELOW, ONE, RIGHT_BELOW, ROW

TWO, THREE, FOUR = np.uint64(2), np.uint64(3), np.uint64(4)


@compiled_inside
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


@compiled_inside
def tighten_straight(drape: DrapeRecord, work: FabricWorkRecord) -> None:
    """Write the pull [N/m] of weft and warp into two rows of the scratch."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    first, second = work.scratch[0], work.scratch[1]
    sizes, stiff = drape.thread.per_square_1_m2, drape.thread.stiffness_n_m
    size, its_size = sizes[BESIDE], sizes[DOWN]
    stiffness, its_stiffness = stiff[BESIDE], stiff[DOWN]
    lags, most = drape.node.thread_lag_s, work.strain
    ease, per_ease = drape.ease, 1.0 / drape.ease
    for n in range(FIRST, np.uint64(drape.node_end)):
        x0, y0, z0, u0, v0, w0, lag = x[n], y[n], z[n], u[n], v[n], w[n], lags[n]
        b = n + ONE
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        first[n], strain = thread_pull(apart, parting, size[n], stiffness[n], lag, ease, per_ease)
        b = n + ROW
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        second[n], also = thread_pull(
            apart, parting, its_size[n], its_stiffness[n], lag, ease, per_ease
        )
        most[n] = max(most[n], strain, also)


@compiled_inside
def tighten_askew(drape: DrapeRecord, work: FabricWorkRecord) -> None:
    """Do as `tighten_straight` for the diagonals, whose strain is the give of cloth on the bias."""
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    u, v, w = work.node_m_s[0], work.node_m_s[1], work.node_m_s[2]
    first, second = work.scratch[0], work.scratch[1]
    sizes, stiff = drape.thread.per_square_1_m2, drape.thread.stiffness_n_m
    size, its_size = sizes[DOWN_RIGHT], sizes[DOWN_LEFT]
    stiffness, its_stiffness = stiff[DOWN_RIGHT], stiff[DOWN_LEFT]
    lags = drape.node.thread_lag_s
    ease, per_ease = drape.ease, 1.0 / drape.ease
    for n in range(FIRST, np.uint64(drape.node_end)):
        x0, y0, z0, u0, v0, w0, lag = x[n], y[n], z[n], u[n], v[n], w[n], lags[n]
        b = n + RIGHT_BELOW
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        first[n], _ = thread_pull(apart, parting, size[n], stiffness[n], lag, ease, per_ease)
        b = n + LEFT_BELOW
        apart, parting = (x[b] - x0, y[b] - y0, z[b] - z0), (u[b] - u0, v[b] - v0, w[b] - w0)
        second[n], _ = thread_pull(
            apart, parting, its_size[n], its_stiffness[n], lag, ease, per_ease
        )


@compiled
def pull_straight(drape: DrapeRecord, work: FabricWorkRecord, share: float) -> None:
    """Write the force on every node: a share of the outer force, and what warp and weft pull.

    A thread pulls its first node towards the second, and the second as much towards the first.
    """
    tighten_straight(drape, work)
    first, second = work.scratch[0], work.scratch[1]
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    outer_x, outer_y, outer_z = work.outer_force_n[0], work.outer_force_n[1], work.outer_force_n[2]
    force_x, force_y, force_z = work.force_n[0], work.force_n[1], work.force_n[2]
    for n in range(FIRST, np.uint64(drape.node_end)):
        a, b, c, d = n + ONE, n + ROW, n - ONE, n - ROW
        to_a, to_b, to_c, to_d = first[n], second[n], first[c], second[d]
        ahead = to_a * (x[a] - x[n]) + to_b * (x[b] - x[n])
        back = to_c * (x[n] - x[c]) + to_d * (x[n] - x[d])
        force_x[n] = share * outer_x[n] + (ahead - back)
        ahead = to_a * (y[a] - y[n]) + to_b * (y[b] - y[n])
        back = to_c * (y[n] - y[c]) + to_d * (y[n] - y[d])
        force_y[n] = share * outer_y[n] + (ahead - back)
        ahead = to_a * (z[a] - z[n]) + to_b * (z[b] - z[n])
        back = to_c * (z[n] - z[c]) + to_d * (z[n] - z[d])
        force_z[n] = share * outer_z[n] + (ahead - back)


@compiled
def pull_askew(drape: DrapeRecord, work: FabricWorkRecord) -> None:
    """Add to the outer force on every node what the threads of both diagonals pull."""
    tighten_askew(drape, work)
    first, second = work.scratch[0], work.scratch[1]
    x, y, z = work.node_m[0], work.node_m[1], work.node_m[2]
    outer_x, outer_y, outer_z = work.outer_force_n[0], work.outer_force_n[1], work.outer_force_n[2]
    for n in range(FIRST, np.uint64(drape.node_end)):
        a, b, c, d = n + RIGHT_BELOW, n + LEFT_BELOW, n - RIGHT_BELOW, n - LEFT_BELOW
        to_a, to_b, to_c, to_d = first[n], second[n], first[c], second[d]
        ahead = to_a * (x[a] - x[n]) + to_b * (x[b] - x[n])
        back = to_c * (x[n] - x[c]) + to_d * (x[n] - x[d])
        outer_x[n] += ahead - back
        ahead = to_a * (y[a] - y[n]) + to_b * (y[b] - y[n])
        back = to_c * (y[n] - y[c]) + to_d * (y[n] - y[d])
        outer_y[n] += ahead - back
        ahead = to_a * (z[a] - z[n]) + to_b * (z[b] - z[n])
        back = to_c * (z[n] - z[c]) + to_d * (z[n] - z[d])
        outer_z[n] += ahead - back


@compiled
def greatest_strain(drape: DrapeRecord, work: FabricWorkRecord) -> float:
    """Give the greatest strain [-] of warp and weft in the step, as l/r - 1, and forget it."""
    end, strain = np.uint64(drape.node_end), work.strain
    a, b, c, d = 0.0, 0.0, 0.0, 0.0
    # Whole blocks, four at a time: each waits only for the fourth before it.
    for n in range(FIRST, end, FOUR):
        a, b = max(a, strain[n]), max(b, strain[n + ONE])
        c, d = max(c, strain[n + TWO]), max(d, strain[n + THREE])
    for n in range(FIRST, end):
        strain[n] = 0.0
    return math.sqrt(1.0 + 2.0 * max(a, b, c, d)) - 1.0
