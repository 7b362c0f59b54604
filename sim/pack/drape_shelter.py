"""What cloth takes from the air before it reaches other cloth: rays through the hanging drapes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.pack.drape_cloth import Hanging
from sim.pack.drape_grid import Grid
from sim.params.record import FloatArray, IntArray
from sim.physics.drape.panel_air import TAYLOR_PEAK

FAN = 17
WIDEST_RAD = math.radians(45.0)
ASIDE_SHARES = np.array([-0.66, 0.0, 0.66])
TOO_NEAR_M = 1e-6
LEAST_COSINE = 1e-9
LARGE = 1e9


@final
@dataclass(frozen=True)
class Faces:
    """Strips as they hang, from rim to hem: upright rectangles.

    Attributes
    ----------
    middle, across, down, outward : ndarray, shape (strips, 3)
        [m], half an edge [m] each, and a unit vector; body axes from the CG.
    loss : ndarray, shape (strips,)
        [-] Pressure-loss coefficient; very large for closed cloth.
    rows : ndarray of int, shape (strips,)
        Panels in each.
    """

    middle: FloatArray
    across: FloatArray
    down: FloatArray
    outward: FloatArray
    loss: FloatArray
    rows: IntArray


def _sides(hung: Hanging) -> tuple[FloatArray, FloatArray]:
    """Give the left and right side of fine strips at the rim, shape (n, 3) each.

    Those of a woven drape meet half way between their rim points, gathered or not.
    """
    if not hung.is_woven:
        half = 0.5 * hung.width_m * hung.tangent
        return hung.rim_m - half, hung.rim_m + half
    rim = hung.fine_rim_m.reshape(-1, 3)
    between = 0.5 * (rim + np.roll(rim, -1, axis=0))
    left, right = np.roll(between, 1, axis=0), between
    if not hung.is_closed:
        left[0], right[-1] = 2.0 * rim[0] - between[0], 2.0 * rim[-1] - between[-2]
    return left, right


def hanging_faces(hung: list[Hanging]) -> Faces:
    """Give all drapes as they hang straight down, fine strip by fine strip."""
    sides = [_sides(each) for each in hung]
    counts = [len(left) for left, _ in sides]
    left, right = (np.concatenate(ends) for ends in zip(*sides, strict=True))
    half = np.repeat([0.5 * each.length_m for each in hung], counts)
    down = half[:, None] * np.array([0.0, 0.0, 1.0])
    wide = 0.5 * (right - left)
    normal = np.cross(wide, down)
    return Faces(
        middle=0.5 * (left + right) + down,
        across=wide,
        down=down,
        outward=normal / np.linalg.norm(normal, axis=1)[:, None],
        loss=np.repeat([min(each.loss, LARGE) for each in hung], counts),
        rows=np.repeat([each.rows for each in hung], counts),
    )


def lost_along(place: FloatArray, towards: FloatArray, faces: Faces) -> FloatArray:
    """Give the share of its speed [-] that air loses which comes against the rays.

    Parameters
    ----------
    place, towards : ndarray, shape (rays, 3)
        [m] Start of each ray, and its unit vector, against the wind.
    faces : Faces
        Every strip that a ray passes slows the air by (1 - K'/4) / (1 + K'/4), K' = K cos^2 of its
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
    """Give the share of speed [-] lost by level air that comes at the face of each panel.

    Strip by strip, row by row. `side` is +1 for the outer face, -1 for the inner. Rays go from
    points across the panel up to 45 degrees to either side, each point with other directions, and
    count by the square of the cosine, by which the step weighs what they give.
    """
    strip = np.repeat(np.arange(len(faces.rows)), faces.rows)
    row = np.concatenate([np.arange(rows) for rows in faces.rows])
    share = (2.0 * row + 1.0) / faces.rows[strip] - 1.0
    middle = faces.middle[strip] + share[:, None] * faces.down[strip]
    outward, across = faces.outward[strip], faces.across[strip]
    beside = np.cross(np.array([0.0, 0.0, 1.0]), outward)
    total, weights = np.zeros(len(strip)), 0.0
    for n, aside in enumerate(ASIDE_SHARES):
        for j in range(FAN):
            turn = (j + (n + 0.5) / len(ASIDE_SHARES)) / FAN
            angle = WIDEST_RAD * (2.0 * turn - 1.0)
            ray = side * math.cos(angle) * outward + math.sin(angle) * beside
            total += math.cos(angle) ** 2 * lost_along(middle + aside * across, ray, faces)
            weights += math.cos(angle) ** 2
    return total / weights


def add_shelter(grids: list[Grid], drape: Any) -> None:
    """Write which share of the air's speed every panel misses, at its outer and its inner face.

    Of ribbons air meets as many as stand in its way, of an open arc none where there is none.
    Cloth hangs straight down here, and is taken to stay as sheltered as it is then.
    """
    hung = [grid.hung for grid in grids]
    faces = hanging_faces(hung)
    for side, name in ((1.0, "lost_outside"), (-1.0, "lost_inside")):
        lost, first = lost_before(faces, side), 0
        for each, grid in zip(hung, grids, strict=True):
            fine = each.fine_rim_m.shape[1] if each.is_woven else 1
            count = each.panel_count * fine
            mean = lost[first : first + count].reshape(each.strips, fine, each.rows).mean(axis=1)
            getattr(drape.node, name)[grid.node[1:]] = mean.T
            first += count
