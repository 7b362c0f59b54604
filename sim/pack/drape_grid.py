"""A drape on the grid of nodes, and the threads and folds between them."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.errors import Fault, InputFaults
from sim.pack.drape_cloth import Hanging
from sim.params.drape_record import (
    BESIDE,
    DOWN,
    DOWN_LEFT,
    DOWN_RIGHT,
    FIRST_NODE,
    MAX_NODES,
    NODES_AT_ONCE,
    PITCH,
)
from sim.params.record import FloatArray, IntArray

LEAST_BENDING = 0.005
FIRST_SWING = 1.2024
TAUT = 1.05
ROOM = MAX_NODES - FIRST_NODE


@final
@dataclass(frozen=True)
class Grid:
    """Where a drape's particles and rim points stand in the record.

    Attributes
    ----------
    node : ndarray of int, shape (rows + 1, strips)
        Node numbers, the rim first.
    ghosts : ndarray of int, shape (n, 2)
        Copies, and the nodes that they copy.
    first_panel : int
    """

    hung: Hanging
    node: IntArray
    ghosts: IntArray
    first_panel: int


def add_grid(hung: Hanging, drape: Any) -> Grid:
    """Lay a drape on the grid behind those that the record has, and fill in nodes and panels.

    Raises
    ------
    InputFaults
        When the grid has not so many rows.
    """
    if not drape.node_end:
        drape.node_end = FIRST_NODE
    room = PITCH - 2 if hung.is_woven else PITCH
    blocks = math.ceil(hung.strips / room)
    size = (hung.rows + 1) * PITCH
    start = int(drape.node_end)
    end = start + _whole(blocks * size)
    if end > ROOM:
        text = f"{hung.strips} strips of {hung.rows} rows are too many for the grid of the fabric"
        raise InputFaults((Fault(hung.name, 0, 0, f"{text}; give fewer strips or rows"),))
    edges = np.linspace(0, hung.strips, blocks + 1).astype(int)
    row = PITCH * np.arange(hung.rows + 1)[:, None]
    columns = [
        start + block * size + row + np.arange(last - first) + (1 if hung.is_woven else 0)
        for block, (first, last) in enumerate(itertools.pairwise(edges))
    ]
    node = np.concatenate(columns, axis=1)
    ghosts = _ghosts(hung, node, edges) if hung.is_woven else np.zeros((0, 2), dtype=np.int64)
    grid = Grid(hung, node, ghosts, int(drape.panel_count))
    at = slice(int(drape.ghost_count), int(drape.ghost_count) + len(ghosts))
    drape.ghost.node[at], drape.ghost.of[at] = ghosts[:, 0], ghosts[:, 1]
    drape.ghost_count += len(ghosts)
    drape.node_end = end
    _write_panels(grid, drape)
    for strip in range(hung.strips):
        rim = drape.rim[int(drape.rim_count) + strip]
        rim.place_m[:] = hung.rim_m[strip]
        rim.tangent[:] = hung.tangent[strip]
        rim.node = node[0, strip]
    drape.rim_count += hung.strips
    drape.panel_count += hung.panel_count
    return grid


def _whole(count: int) -> int:
    return -(-count // NODES_AT_ONCE) * NODES_AT_ONCE


def _ghosts(hung: Hanging, node: IntArray, edges: IntArray) -> IntArray:
    """Give copies at either end of every row of every block.

    Of the neighbour strip; beside an open edge, of the edge itself.
    """
    pairs = []
    for first, last in itertools.pairwise(edges):
        left, right = first - 1, last
        if hung.is_closed:
            left, right = left % hung.strips, right % hung.strips
        left, right = max(left, 0), min(right, hung.strips - 1)
        pairs.append(np.stack([node[:, first] - 1, node[:, left]], axis=1))
        pairs.append(np.stack([node[:, last - 1] + 1, node[:, right]], axis=1))
    return np.concatenate(pairs)


def _write_panels(grid: Grid, drape: Any) -> None:
    hung, panel, nodes, own = grid.hung, drape.panel, drape.node, grid.node[1:]
    share = np.ones(own.shape)
    share[-1] = 0.5
    nodes.mass_kg[own] = hung.mass_kg * share
    moved = (hung.mass_kg + hung.entrained_kg) * share
    nodes.per_moved_mass_1_kg[own] = 1.0 / moved
    nodes.is_free[own] = 1.0
    nodes.area_m2[own] = hung.width_m * hung.height_m
    nodes.normal_coefficient[own] = hung.normal_coefficient
    nodes.tangent_coefficient[own] = hung.tangent_coefficient
    nodes.is_round[own] = float(hung.is_round)
    nodes.is_woven[own] = float(hung.is_woven)
    spacing = float(hung.spacing_m.max()) if hung.is_woven else 0.0
    nodes.reach_m[own] = 0.5 * TAUT * max(hung.height_m, spacing)
    if not hung.is_woven:
        nodes.along[:, own] = hung.tangent.T[:, None, :]
    at = slice(grid.first_panel, grid.first_panel + hung.panel_count)
    panel.node[at] = own.T.ravel()
    above = grid.first_panel + np.arange(hung.panel_count).reshape(hung.strips, hung.rows) - 1
    above[:, 0] = -1 - int(drape.rim_count) - np.arange(hung.strips)
    panel.above[at] = above.ravel()
    panel.rim[at] = np.repeat(int(drape.rim_count) + np.arange(hung.strips), hung.rows)
    panel.mass_kg[at] = (hung.mass_kg * share).T.ravel()
    panel.moved_mass_kg[at] = moved.T.ravel()
    panel.height_m[at], panel.width_m[at] = hung.height_m, hung.width_m
    panel.wash_factor[at] = hung.wash_factor


def add_threads(grid: Grid, drape: Any, stiffness_n_m: FloatArray, shear_n_m: FloatArray) -> None:
    """Add the warp and, in woven cloth, the weft and both diagonals.

    `stiffness_n_m` and `shear_n_m` [N/m], shape (rows,), are those of warp and diagonal threads
    down to each row. The damper of a warp thread is c = loss sqrt(k m), with the mass of the
    lighter end; the others lag as long.
    """
    hung, own = grid.hung, grid.node
    whole = (hung.mass_kg + hung.entrained_kg) * (0.5 if hung.rows == 1 else 1.0)
    everywhere = np.concatenate([own.ravel(), grid.ghosts[:, 0]])
    lag = hung.loss_factor * math.sqrt(whole / float(stiffness_n_m[0]))
    drape.node.thread_lag_s[everywhere] = lag
    height = np.full((hung.rows, hung.strips), hung.height_m)
    stiffness = np.repeat(stiffness_n_m[:, None], hung.strips, axis=1)
    _add_kind(drape, DOWN, own[:-1], height, stiffness)
    if not hung.is_woven:
        return
    pairs = hung.strips if hung.is_closed else hung.strips - 1
    spacing = np.repeat(hung.spacing_m[None, :pairs], hung.rows, axis=0)
    diagonal, stiffness = np.hypot(spacing, hung.height_m), stiffness[:, :pairs]
    shear = np.repeat(shear_n_m[:, None], pairs, axis=1)
    drape.is_woven = 1
    above, beside = own[:-1, :pairs], own[1:, :pairs]
    _add_kind(drape, BESIDE, beside, spacing, stiffness)
    _add_kind(drape, DOWN_RIGHT, above, diagonal, shear)
    _add_kind(drape, DOWN_LEFT, above + 1, diagonal, shear)


def _add_kind(
    drape: Any, kind: int, node: IntArray, rest_m: FloatArray, stiffness_n_m: FloatArray
) -> None:
    """Add threads of one kind from each of the nodes given.

    Stiffness is kept per strain and metre of length: a pull per metre, k times strain.
    """
    drape.thread.per_square_1_m2[kind, node] = 1.0 / rest_m**2
    drape.thread.stiffness_n_m[kind, node] = stiffness_n_m


def add_folds(grid: Grid, drape: Any, most_n_m: float, gravity_m_s2: float) -> None:
    """Add bending down the strips and, in woven cloth, across them.

    c = B b / h^3 for a strip of width b and nodes h apart; at most `most_n_m` [N/m], what the step
    bears. The loss factor holds at the first swing of the hanging cloth, 1.2 sqrt(g / length), as a
    lag of bending behind its rate. Where spacing is so wide that bending is nothing to the weight
    of the cloth, (bending length / spacing)^3 below LEAST_BENDING, there is none.
    """
    hung, own = grid.hung, grid.node
    down = min(hung.rigidity_n_m * hung.width_m / hung.height_m**3, most_n_m)
    across = min(hung.rigidity_n_m * hung.height_m / hung.width_m**3, most_n_m)
    swing = FIRST_SWING * math.sqrt(gravity_m_s2 / hung.length_m)
    everywhere = np.concatenate([own.ravel(), grid.ghosts[:, 0]])
    drape.node.fold_lag_s[everywhere] = hung.loss_factor / swing
    if hung.rows > 1 and (hung.bending_length_m / hung.height_m) ** 3 > LEAST_BENDING:
        drape.fold_stiffness_n_m[0, own[1:-1]] = down
        drape.bends = 1
    if hung.is_woven and (hung.bending_length_m / hung.width_m) ** 3 > LEAST_BENDING:
        drape.bends = 1
        share = np.ones((hung.rows, 1))
        share[-1] = 0.5
        beside = own[1:] if hung.is_closed else own[1:, 1:-1]
        drape.fold_stiffness_n_m[1, beside] = across * share
