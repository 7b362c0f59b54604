"""What the viewer draws of a craft: its parts, rotors and fabric, in body axes from the CG."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from sim.pack.craft import PackedCraft
from sim.params.tally_record import Limit
from sim.spec.airframe import CraftSpec
from sim.spec.neck import HingedNeck
from sim.spec.structure import PartSpec

_BATTERY_M: Final = (0.14, 0.045, 0.04)
_SMALLEST_EXTENT_M: Final = 0.3
THRUST_LIMITS: Final = (Limit.THRUST_FULL, Limit.TILT_TRAVEL, Limit.THRUST_RESERVE)
SERIOUS_LIMITS: Final = (*THRUST_LIMITS, Limit.MOTOR_CURRENT, Limit.PACK_CURRENT, Limit.PACK_POWER)


def flag_mask(limits: tuple[Limit, ...]) -> int:
    """Give the bits of some limits in the channel `limits`."""
    return sum(1 << int(limit) for limit in limits)


def _part(part: PartSpec, role: str, centre: Any) -> dict[str, Any]:
    return {
        "name": part.name,
        "role": role,
        "shape": part.shape,
        "along": part.along,
        "place": _rounded(np.array(part.place.body_m) - centre),
        "length": part.length_m,
        "radius": part.radius_m,
        "width": part.width_m,
        "size": list(part.sides_m),
    }


def _rounded(values: Any) -> list[float]:
    return [round(float(value), 5) for value in values]


def _pack(craft: CraftSpec, centre: Any) -> dict[str, Any]:
    """Give the battery as a box of a usual size: the file does not say how large it is."""
    return {
        "name": "battery",
        "role": "pack",
        "shape": "box",
        "along": "up",
        "place": _rounded(np.array(craft.battery.place.body_m) - centre),
        "length": 0.0,
        "radius": 0.0,
        "width": 0.0,
        "size": list(_BATTERY_M),
    }


def _rotors(craft: CraftSpec, record: Any) -> list[dict[str, Any]]:
    return [
        {
            "name": spec.name,
            "pivot": _rounded(record.rotor[i].pivot_m),
            "tilts": bool(record.rotor[i].tilts),
            "tilt_axis": _rounded(record.rotor[i].tilt_axis),
            "hub": float(record.rotor[i].hub_above_pivot_m),
            "radius": float(record.rotor[i].radius_m),
        }
        for i, spec in enumerate(craft.rotors)
    ]


def _drapes(craft: CraftSpec, record: Any) -> list[dict[str, Any]]:
    """Give each drape with its rim points, in the order in which its strips are packed."""
    found = []
    first = 0
    for spec in craft.drapes:
        above = record.drape.panel.above
        tops = [first + strip * spec.rows for strip in range(spec.strips)]
        rims = [-1 - int(above[top]) for top in tops]
        points = record.drape.rim
        found.append(
            {
                "name": spec.name,
                "first": first,
                "strips": spec.strips,
                "rows": spec.rows,
                "sheet": spec.is_sheet,
                "closed": spec.cut == "skirt",
                "width": spec.width_m or 0.01,
                "rim": [_rounded(points[k].place_m) for k in rims],
                "tangent": [_rounded(points[k].tangent) for k in rims],
            }
        )
        first += spec.panel_count
    return found


def craft_shape(craft: CraftSpec, packed: PackedCraft) -> dict[str, Any]:
    """Give what the viewer draws of a craft.

    Parameters
    ----------
    craft : CraftSpec
        Shapes and sizes.
    packed : PackedCraft
        Places from the centre of gravity.

    Returns
    -------
    dict
        Ready for JSON; lengths in m, body axes.
    """
    centre = packed.mass.centre_m
    parts = [_part(part, "part", centre) for part in craft.parts]
    neck = None
    if craft.head is not None:
        parts.append(_part(craft.head, "head", centre))
        if isinstance(craft.head.neck, HingedNeck):
            neck = _rounded(np.array(craft.head.neck.pivot.body_m) - centre)
    parts.append(_pack(craft, centre))
    rotors = _rotors(craft, packed.record)
    reach = [float(np.linalg.norm(rotor["pivot"])) + rotor["radius"] for rotor in rotors]
    return {
        "parts": parts,
        "neck": neck,
        "rotors": rotors,
        "drapes": _drapes(craft, packed.record),
        "extent": max(*reach, _SMALLEST_EXTENT_M),
        "thrust_limits": flag_mask(THRUST_LIMITS),
    }
