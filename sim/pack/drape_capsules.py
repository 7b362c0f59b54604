"""Parts of the craft that fabric cannot pass, as rounded rods ("capsules")."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, final

import numpy as np

from sim.pack.drape_cloth import Hanging
from sim.params.drape_record import MAX_CAPSULES
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.structure import HeadSpec, PartSpec

LEAST_RADIUS_M = 0.015
RIM_ROOM_M = 0.005
NEAR_M = 0.01
SAME_M = 0.03
SPOKES = 3
REACH = 1.05
DIRECTIONS = {"forward": (1.0, 0.0, 0.0), "right": (0.0, 1.0, 0.0), "up": (0.0, 0.0, -1.0)}


@final
@dataclass(frozen=True)
class Capsule:
    """A rounded rod, body axes from the file's origin [m]."""

    start_m: FloatArray
    along_m: FloatArray
    radius_m: float
    on_head: bool = False


def _direction(name: str) -> FloatArray:
    return np.array(DIRECTIONS[name])


def _rod(middle: FloatArray, along: FloatArray, length: float, radius: float) -> Capsule:
    """Give a rod with round ends as long as the part, or a ball in it when it is short."""
    radius = min(radius, 0.5 * length)
    straight = max(length - 2.0 * radius, 0.0)
    return Capsule(middle - 0.5 * straight * along, straight * along, radius)


def _star(middle: FloatArray, normal: FloatArray, radius: float) -> list[Capsule]:
    """Give thin rods across a disc, from rim to rim."""
    beside = np.roll(np.abs(normal), 1)
    other = np.cross(normal, beside)
    rods = []
    for spoke in range(SPOKES):
        angle = math.pi * spoke / SPOKES
        along = math.cos(angle) * beside + math.sin(angle) * other
        rods.append(Capsule(middle - radius * along, 2.0 * radius * along, 0.0))
    return rods


def capsules_of(part: PartSpec) -> list[Capsule]:
    """Give the capsules of one part.

    Rods, tubes, cylinders and boxes are one along their length (of a box the longest side, half as
    thick as its shortest), balls and spherical shells one ball. A disc is three thin rods across
    it; a hemispherical shell these at its open rim and the largest ball that fits inside. Points
    and flat panels are left out.
    """
    middle, along = np.array(part.place.body_m), _direction(part.along)
    match part.shape:
        case "rod" | "tube" | "cylinder":
            return [_rod(middle, along, part.length_m, part.radius_m)]
        case "box":
            sides = np.array(part.sides_m)
            axis = int(np.argmax(sides))
            way = np.eye(3)[axis]
            return [_rod(middle, way, float(sides[axis]), 0.5 * float(sides.min()))]
        case "sphere" | "spherical_shell":
            return [Capsule(middle, np.zeros(3), part.radius_m)]
        case "disc":
            return _star(middle, along, part.radius_m)
        case "hemispherical_shell":
            radius = part.radius_m
            ball = Capsule(middle, np.zeros(3), 0.5 * radius)
            return [ball, *_star(middle - 0.5 * radius * along, along, radius)]
        case _:
            return []


def _distance_m(capsule: Capsule, points: FloatArray) -> FloatArray:
    """Give the distance [m] of points (n, 3) from a capsule's axis."""
    square = float(capsule.along_m @ capsule.along_m)
    apart = points - capsule.start_m
    share = np.clip(apart @ capsule.along_m / square, 0.0, 1.0) if square > 0.0 else 0.0
    distance: FloatArray = np.linalg.norm(
        apart - np.multiply.outer(share, capsule.along_m).reshape(-1, 3), axis=1
    )
    return distance


def _bears(part: PartSpec, rims_m: FloatArray) -> bool:
    """Tell whether a rim point (n, 3) [m] lies on a part, or as good as on it."""
    middle, along = np.array(part.place.body_m), _direction(part.along)
    if part.shape == "disc":
        apart = rims_m - middle
        level = np.abs(apart @ along)
        out = np.linalg.norm(apart - np.outer(apart @ along, along), axis=1)
        return bool(np.any((level < NEAR_M) & (out < part.radius_m + NEAR_M)))
    return any(
        float(_distance_m(capsule, rims_m).min()) < 0.5 * capsule.radius_m + NEAR_M
        for capsule in capsules_of(part)
    )


def reachable(craft: CraftSpec, hung: list[Hanging], centre_m: FloatArray) -> list[Capsule]:
    """Give the capsules that some drape can reach, the nearest to a rim first, as many as fit.

    A part that bears a rim is none. Each is at least LEAST_RADIUS_M thick, so that cloth does not
    leap across it, but no thicker than the nearest rim point leaves room for.
    """
    found: list[tuple[float, Capsule]] = []
    parts: list[PartSpec] = [*craft.parts, *([] if craft.head is None else [craft.head])]
    rims = np.concatenate([each.rim_m for each in hung]) + centre_m
    for part in parts:
        if _bears(part, rims):
            continue
        for capsule in capsules_of(part):
            shape = max(capsule.radius_m, LEAST_RADIUS_M)
            nearest = [
                (float(_distance_m(capsule, each.rim_m + centre_m).min()), each.length_m)
                for each in hung
            ]
            room = min(distance for distance, _ in nearest) - RIM_ROOM_M
            within = min(distance - REACH * length for distance, length in nearest)
            if within < shape:
                thick = replace(
                    capsule, radius_m=min(shape, room), on_head=isinstance(part, HeadSpec)
                )
                found.append((room, thick))
    found.sort(key=lambda pair: pair[0])
    return [capsule for _, capsule in _without_hidden(found)[:MAX_CAPSULES]]


def _without_hidden(found: list[tuple[float, Capsule]]) -> list[tuple[float, Capsule]]:
    """Leave out capsules that lie inside another one, or where another one is."""
    kept: list[tuple[float, Capsule]] = []
    for room, capsule in sorted(found, key=lambda pair: -pair[1].radius_m):
        ends = np.stack([capsule.start_m, capsule.start_m + capsule.along_m])
        hidden = any(
            float(_distance_m(other, ends).max()) + capsule.radius_m <= 1.02 * other.radius_m
            or (
                float(np.abs(other.start_m - capsule.start_m).max()) < SAME_M
                and float(np.abs(other.along_m - capsule.along_m).max()) < SAME_M
            )
            for _, other in kept
        )
        if not hidden:
            kept.append((room, capsule))
    return sorted(kept, key=lambda pair: pair[0])


def write_capsules(
    craft: CraftSpec, hung: list[Hanging], drape: Any, centre_m: FloatArray, friction: float
) -> None:
    """Fill in the capsules of a drape record.

    Parameters
    ----------
    craft : CraftSpec
        Its parts and head.
    hung : list of Hanging
        Its drapes.
    drape : record
        `DrapeRecord`.
    centre_m : ndarray, shape (3,)
        [m] CG without free fabric, body axes from the file's origin.
    friction : float
        [-] Of cloth on the craft.
    """
    drape.capsule_friction = friction
    rims = np.concatenate([each.rim_m for each in hung])
    placed = reachable(craft, hung, centre_m)
    drape.capsule_count = len(placed)
    drape.axis_m[:] = rims[:, :2].mean(axis=0)
    for i, capsule in enumerate(placed):
        record, square = drape.capsule[i], float(capsule.along_m @ capsule.along_m)
        record.place_m[:] = capsule.start_m - centre_m
        record.along_m[:] = capsule.along_m
        record.per_square_1_m2 = 1.0 / square if square > 0.0 else 0.0
        record.radius_m = capsule.radius_m
        record.on_head = int(capsule.on_head)
