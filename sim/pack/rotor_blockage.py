"""What stands close above and below each disc, in plan, and what it does to the thrust.

Counted is what lies inside the disc's cylinder, rotors upright: parts by their plan, fabric by the
strips whose rim point is inside. Fabric hangs almost edge-on to the wash; a strip is taken to cover
what it would when it leans by `LEAN` (ten degrees; no source), times how closed it is. Fabric that
hangs outside of the disc does not count. The change is good to about its own size, and it does not
follow the fabric as that swings.
"""

from __future__ import annotations

import math
from typing import Any, Final, NamedTuple

import numpy as np

from sim.params.record import FloatArray
from sim.physics.rotor.blockage import (
    change_by_body_above,
    change_by_body_below,
    narrow_share,
)
from sim.spec.airframe import CraftSpec
from sim.spec.drag_area import bluff_drag_area_m2
from sim.spec.structure import PartSpec

LEAN: Final = math.sin(math.radians(10.0))
CLOSED_FACE: Final = 1.17
CELLS: Final = 25
MOST_COVERED: Final = 1.0


class Plan(NamedTuple):
    """A part seen from above.

    Attributes
    ----------
    points_m : ndarray, shape (n, 2)
        [m] Middles of small cells, forward and right, body axes.
    cell_m2 : float
        [m2] Closed area that each stands for.
    breadth_m : float
        [m] Lesser side.
    top_m, bottom_m : float
        [m] Upper and lower face, body axes (down).
    """

    points_m: FloatArray
    cell_m2: float
    breadth_m: float
    top_m: float
    bottom_m: float


def _sides_in_plan(part: PartSpec) -> tuple[float, float, float, bool]:
    """Give forward, right and up size of a part [m], and whether it is round seen from above."""
    radius, length, width = part.radius_m, part.length_m, part.width_m
    across = 2.0 * radius
    upright = part.along == "up"
    long = {"forward": (1.0, 0.0, 0.0), "right": (0.0, 1.0, 0.0), "up": (0.0, 0.0, 1.0)}[part.along]
    match part.shape:
        case "box":
            return (*part.sides_m, False)
        case "rod" | "tube" | "cylinder":
            forward, right, up = (length if axis else across for axis in long)
            return forward, right, up, upright
        case "disc" if upright:
            return across, across, 0.0, True
        case "panel" if upright:
            return length, width, 0.0, False
        case "sphere" | "spherical_shell":
            return across, across, across, True
        case "hemispherical_shell":
            return across, across, radius if upright else across, True
        case _:
            return 0.0, 0.0, 0.0, False


def _closed_share(part: PartSpec) -> float:
    """Give how closed a part is in plan [-]: its drag area over that of the full shape."""
    if part.drag_area_given is None:
        return 1.0
    full = bluff_drag_area_m2(
        part.shape,
        part.along,
        length_m=part.length_m,
        radius_m=part.radius_m,
        width_m=part.width_m,
        sides_m=part.sides_m,
    )[2]
    return min(part.drag_area_given.up_m2 / full, 1.0) if full > 0.0 else 0.0


def part_plan(part: PartSpec) -> Plan | None:
    """Give a part seen from above, or None when it covers nothing."""
    forward, right, up, is_round = _sides_in_plan(part)
    area = forward * right * (0.25 * math.pi if is_round else 1.0) * _closed_share(part)
    if area <= 0.0:
        return None
    cell = (np.arange(CELLS) + 0.5) / CELLS * 2.0 - 1.0
    x, y = (axis.ravel() for axis in np.meshgrid(cell, cell))
    kept = x * x + y * y <= 1.0 if is_round else np.ones(x.size, dtype=bool)
    middle = part.place.body_m
    half = np.array([0.5 * forward, 0.5 * right])
    points = np.stack([x[kept], y[kept]], axis=1) * half + middle[:2]
    return Plan(
        points,
        area / len(points),
        min(forward, right),
        middle[2] - 0.5 * up,
        middle[2] + 0.5 * up,
    )


def fabric_plans(drape: Any, centre_m: FloatArray) -> list[Plan]:
    """Give every strip of a drape record seen from above, at its rim point."""
    count = int(drape.panel_count)
    node, rim = drape.panel.node[:count], drape.panel.rim[:count]
    face = np.minimum(drape.node.normal_coefficient[node] / CLOSED_FACE, 1.0)
    covered = LEAN * drape.node.area_m2[node] * face
    plans: list[Plan] = []
    for k in range(int(drape.rim_count)):
        area = float(covered[rim == k].sum())
        place = np.asarray(drape.rim[k].place_m) + centre_m
        if area > 0.0:
            down = float(place[2])
            plans.append(Plan(place[None, :2], area, math.sqrt(area), down, down))
    return plans


def blockage_change(plans: list[Plan], hub_m: FloatArray, radius_m: float) -> float:
    """Give the relative change of a rotor's thrust [-] by what stands inside its cylinder.

    Parameters
    ----------
    plans : list of Plan
    hub_m : ndarray, shape (3,)
        [m] Middle of the disc, rotor upright; body axes, from the origin of the plans.
    radius_m : float
        [m]
    """
    disc_m2 = math.pi * radius_m**2
    change, left_below, left_above = 0.0, MOST_COVERED, MOST_COVERED
    for plan in plans:
        away = plan.points_m - hub_m[:2]
        inside = int(np.count_nonzero(np.sum(away * away, axis=1) <= radius_m**2))
        if inside == 0:
            continue
        covered = inside * plan.cell_m2 / disc_m2
        if plan.bottom_m >= hub_m[2]:
            distance = max(plan.top_m - float(hub_m[2]), 0.0)
            covered = min(covered * narrow_share(plan.breadth_m, distance), left_below)
            left_below -= covered
            change += change_by_body_below(covered, distance / radius_m)
        else:
            distance = max(float(hub_m[2]) - plan.bottom_m, 0.0)
            covered = min(covered * narrow_share(plan.breadth_m, distance), left_above)
            left_above -= covered
            change += change_by_body_above(covered, distance / radius_m)
    return change


def write_blockage(craft: CraftSpec, record: Any, centre_m: FloatArray) -> None:
    """Write the change of every rotor's thrust; places, hubs and fabric must be in the record."""
    parts: list[PartSpec] = [*craft.parts, *([craft.head] if craft.head is not None else [])]
    plans = [plan for part in parts if (plan := part_plan(part)) is not None]
    plans += fabric_plans(record.drape, centre_m)
    for i in range(int(record.rotor_count)):
        rotor = record.rotor[i]
        hub = np.asarray(rotor.pivot_m) + centre_m
        hub[2] -= float(rotor.hub_above_pivot_m)
        rotor.blockage_change = blockage_change(plans, hub, float(rotor.radius_m))
