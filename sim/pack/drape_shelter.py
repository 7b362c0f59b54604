"""What cloth takes from the air before it reaches other cloth: rays through the hanging drapes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.pack.drape_cloth import Hanging
from sim.pack.drape_grid import Grid
from sim.params.record import FloatArray
from sim.physics.drape.panel_air import TAYLOR_PEAK

FAN = 12
WIDEST_RAD = math.radians(45.0)
DOWN_SHARES = np.array([-0.6, 0.0, 0.6])
ASIDE_SHARES = np.array([-0.7, 0.0, 0.7])
TOO_NEAR_M = 1e-6
LEAST_COSINE = 1e-9


@final
@dataclass(frozen=True)
class Faces:
    """Panels as they hang, strip by strip: upright rectangles.

    Attributes
    ----------
    middle, across, down, outward : ndarray, shape (panels, 3)
        [m], half an edge [m] each, and a unit vector; body axes from the CG.
    loss : ndarray, shape (panels,)
        [-] Pressure-loss coefficient; very large for closed cloth.
    """

    middle: FloatArray
    across: FloatArray
    down: FloatArray
    outward: FloatArray
    loss: FloatArray


def _sides(hung: Hanging) -> tuple[FloatArray, FloatArray]:
    """Give the left and right side of every strip at the rim, shape (strips, 3) each.

    Woven strips meet half way between their rim points, gathered or not.
    """
    half = 0.5 * hung.width_m * hung.tangent
    left, right = hung.rim_m - half, hung.rim_m + half
    if hung.is_woven:
        between = 0.5 * (hung.rim_m + np.roll(hung.rim_m, -1, axis=0))
        if hung.is_closed:
            return np.roll(between, 1, axis=0), between
        left[1:], right[:-1] = between[:-1], between[:-1]
        left[0] = 2.0 * hung.rim_m[0] - between[0]
        right[-1] = 2.0 * hung.rim_m[-1] - between[-2]
    return left, right


def hanging_faces(grids: list[Grid]) -> Faces:
    """Give all panels as they hang straight down."""
    middle, across, loss = [], [], []
    for grid in grids:
        hung = grid.hung
        left, right = _sides(hung)
        drop = (np.arange(hung.rows) + 0.5) * hung.height_m
        deep = np.stack([np.zeros_like(drop), np.zeros_like(drop), drop], axis=1)
        middle.append((0.5 * (left + right)[:, None] + deep[None]).reshape(-1, 3))
        across.append(np.repeat(0.5 * (right - left), hung.rows, axis=0))
        loss.append(np.full(hung.panel_count, min(hung.loss, 1e9)))
    halves = np.concatenate([np.full(g.hung.panel_count, 0.5 * g.hung.height_m) for g in grids])
    wide = np.concatenate(across)
    down = halves[:, None] * np.array([0.0, 0.0, 1.0])
    normal = np.cross(wide, down)
    outward = normal / np.linalg.norm(normal, axis=1)[:, None]
    return Faces(np.concatenate(middle), wide, down, outward, np.concatenate(loss))


def lost_along(place: FloatArray, towards: FloatArray, faces: Faces) -> FloatArray:
    """Give the share of its speed [-] that air loses which comes against the rays.

    Parameters
    ----------
    place, towards : ndarray, shape (rays, 3)
        [m] Start of each ray, and its unit vector, against the wind.
    faces : Faces
        Every panel that a ray passes slows the air by (1 - K'/4) / (1 + K'/4), K' = K cos^2 of its
        incidence (`speed_behind`).

    Returns
    -------
    ndarray, shape (rays,)
    """
    cosine = towards @ faces.outward.T
    apart = np.sum(faces.middle * faces.outward, axis=1) - place @ faces.outward.T
    crosses = np.abs(cosine) > LEAST_COSINE
    far = np.where(crosses, apart / np.where(crosses, cosine, 1.0), 0.0)
    hit = far > TOO_NEAR_M
    for half in (faces.across, faces.down):
        middle = np.sum(faces.middle * half, axis=1)
        along = place @ half.T + far * (towards @ half.T) - middle
        hit &= np.abs(along) <= np.sum(half * half, axis=1)
    across = np.minimum(faces.loss * cosine**2 / TAYLOR_PEAK, 1.0)
    kept = np.where(hit, (1.0 - across) / (1.0 + across), 1.0)
    lost: FloatArray = 1.0 - kept.prod(axis=1)
    return lost


def lost_before(faces: Faces, side: float) -> FloatArray:
    """Give the share of speed [-] lost by level air that comes at each panel's face.

    `side` is +1 for the outer face, -1 for the inner. Rays go from points over the panel up to 45
    degrees to either side, each point with other directions, and count by the square of the cosine,
    by which the step weighs what they give.
    """
    beside = np.cross(np.array([0.0, 0.0, 1.0]), faces.outward)
    total = np.zeros(len(faces.middle))
    points = [(down, aside) for down in DOWN_SHARES for aside in ASIDE_SHARES]
    weights = 0.0
    for n, (down, aside) in enumerate(points):
        start = faces.middle + down * faces.down + aside * faces.across
        for j in range(FAN):
            share = (j + (n + 0.5) / len(points)) / FAN
            angle = WIDEST_RAD * (2.0 * share - 1.0)
            ray = side * math.cos(angle) * faces.outward + math.sin(angle) * beside
            total += math.cos(angle) ** 2 * lost_along(start, ray, faces)
            weights += math.cos(angle) ** 2
    return total / weights


def add_shelter(grids: list[Grid], drape: Any) -> None:
    """Write which share of the air's speed every panel misses, at its outer and its inner face.

    Of ribbons air meets as many as stand in its way, of an open arc none where there is none.
    Cloth hangs straight down here, and is taken to stay as sheltered as it is then.
    """
    faces = hanging_faces(grids)
    node = drape.panel.node[: len(faces.middle)]
    drape.node.lost_outside[node] = lost_before(faces, 1.0)
    drape.node.lost_inside[node] = lost_before(faces, -1.0)
