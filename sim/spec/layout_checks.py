"""Checks that need more than one section of a craft file: rotors against the layout, and so on."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any, Final, TypeVar, final

from pydantic import BaseModel, ValidationError

from sim.spec.airframe import CraftSpec
from sim.spec.load import Document, Path_
from sim.spec.neck import HingedNeck
from sim.spec.rotor import EveryRotor, RotorEntry
from sim.spec.structure import HeadSpec, PartSpec

MOST_DRAG_BODIES: Final = 32
SAME_PLACE_M: Final = 1e-3
GRAVITY_M_S2: Final = 9.80665
NEEDED: Final = {"bicopter": 2, "tricopter": 3}

Note = Callable[[Path_, str], None]
SomeModel = TypeVar("SomeModel", bound=BaseModel)


@final
@dataclass(frozen=True)
class Sections:
    """The sections of a craft file that could be read, whatever is wrong with the others."""

    layout: str
    rotors: tuple[RotorEntry | None, ...]
    every: EveryRotor | None
    parts: tuple[PartSpec, ...]
    head: HeadSpec | None
    data: dict[str, Any] = field(repr=False)


def readable_sections(document: Document) -> Sections:
    """Read each section on its own, so that a fault in one hides nothing in another.

    Parameters
    ----------
    document : Document
        The craft file.

    Returns
    -------
    Sections
        None in the place of what could not be read.
    """
    data = document.data if isinstance(document.data, dict) else {}
    rotors = data.get("rotors")
    parts = data.get("parts")
    layout = data.get("layout")
    read_parts = [_read(PartSpec, part) for part in parts] if isinstance(parts, list) else []
    return Sections(
        layout=layout if isinstance(layout, str) else "",
        rotors=tuple(_read(RotorEntry, rotor) for rotor in rotors)
        if isinstance(rotors, list)
        else (),
        every=_read(EveryRotor, data.get("every_rotor")),
        parts=tuple(part for part in read_parts if part is not None),
        head=_read(HeadSpec, data.get("head")),
        data=data,
    )


def _read(model: type[SomeModel], raw: object) -> SomeModel | None:
    try:
        return model.model_validate(raw)
    except ValidationError:
        return None


def check_craft(sections: Sections, note: Note) -> tuple[str, ...]:
    """Check what belongs together in a craft file.

    Parameters
    ----------
    sections : Sections
        What could be read.
    note : callable
        Receives the path and the words of each fault.

    Returns
    -------
    tuple of str
        Warnings: the craft can be computed, but look at this.
    """
    _check_complete(sections, note)
    _check_names(sections, note)
    _check_apart(sections, note)
    if sections.layout in NEEDED:
        _check_count(sections, note)
    if sections.layout == "bicopter":
        _check_bicopter(sections, note)
    if sections.layout == "tricopter":
        _check_tricopter(sections, note)
    _check_drag_bodies(sections, note)
    return (*_warnings(sections), *_soft_neck(sections.head))


def _listed(sections: Sections) -> list[tuple[int, RotorEntry]]:
    return [(index, rotor) for index, rotor in enumerate(sections.rotors) if rotor is not None]


def _check_complete(sections: Sections, note: Note) -> None:
    """Refuse a motor without a propeller, and the like, given neither here nor for every rotor."""
    raw_shared = sections.data.get("every_rotor")
    shared = raw_shared if isinstance(raw_shared, dict) else {}
    raw_rotors = sections.data.get("rotors")
    for index, raw in enumerate(raw_rotors if isinstance(raw_rotors, list) else []):
        if not isinstance(raw, dict):
            continue
        here = [
            key for key in ("propeller", "motor", "speed_controller") if key in {**shared, **raw}
        ]
        if "motor" in here and "propeller" not in here:
            note(("rotors", index), "has a motor but no 'propeller' to turn")
        elif "propeller" in here and "motor" not in here:
            note(("rotors", index), "has a propeller but no 'motor' that turns it")
        elif "motor" not in here:
            note(
                ("rotors", index), "has neither 'motor' nor 'propeller', and every_rotor gives none"
            )
        if "motor" in here and "speed_controller" not in here:
            note(("rotors", index), "has a motor but no 'speed_controller' to feed it")


def _check_names(sections: Sections, note: Note) -> None:
    for key in ("rotors", "parts"):
        seen: set[str] = set()
        items = sections.data.get(key)
        for index, item in enumerate(items if isinstance(items, list) else []):
            name = item.get("name") if isinstance(item, dict) else None
            if not isinstance(name, str):
                continue
            if name in seen:
                note((key, index, "name"), f"'{name}' is the name of an earlier one too")
            seen.add(name)


def _check_apart(sections: Sections, note: Note) -> None:
    for (_, first), (index, second) in combinations(_listed(sections), 2):
        apart = math.dist(first.place.body_m, second.place.body_m)
        if apart < SAME_PLACE_M:
            text = f"is at the same place as rotor '{first.name}': an arm of zero length"
            note(("rotors", index, "place"), text)


def _check_count(sections: Sections, note: Note) -> None:
    needed = NEEDED[sections.layout]
    seen = len(sections.rotors)
    if seen and seen != needed:
        note(("rotors",), f"a {sections.layout} has {needed} rotors, this file lists {seen}")


def _tilt_axis(sections: Sections, rotor: RotorEntry) -> str | None:
    tilt = rotor.tilt
    if tilt is None and sections.every is not None:
        tilt = sections.every.tilt
    return tilt.axis if tilt is not None else None


def _axis_path(sections: Sections, index: int, rotor: RotorEntry) -> Path_:
    """Give where the tilt axis of a rotor is written: at the rotor or for every rotor."""
    if rotor.tilt is None and sections.every is not None:
        return ("every_rotor", "tilt", "axis")
    return ("rotors", index, "tilt", "axis")


def _check_bicopter(sections: Sections, note: Note) -> None:
    wrong_axes: set[Path_] = set()
    for index, rotor in _listed(sections):
        right = rotor.place.body_m[1]
        if abs(right) < SAME_PLACE_M:
            text = (
                "stands 0 m to the right: an arm of zero length; measure places from the middle"
                " of the craft"
            )
            note(("rotors", index, "place"), text)
        axis = _tilt_axis(sections, rotor)
        if axis is None and _tilt_readable(sections, index):
            note(("rotors", index), "needs 'tilt': both rotors of a bicopter tilt, axis right")
        elif axis not in {None, "right"}:
            wrong_axes.add(_axis_path(sections, index, rotor))
    for path in wrong_axes:
        note(path, "must be 'right' on a bicopter: both rotors tilt forward and back")
    rotors = _listed(sections)
    if len(rotors) == NEEDED["bicopter"] == len(sections.rotors):
        (_, first), (index, second) = rotors
        sides = [rotor.place.body_m[1] for rotor in (first, second)]
        if sides[0] * sides[1] > 0.0:
            text = "is on the same side as the other rotor; one goes left (right: negative)"
            note(("rotors", index, "place"), text)


def _tilt_readable(sections: Sections, index: int) -> bool:
    """Say whether no tilt section is written at all (a faulty one is reported elsewhere)."""
    shared = sections.data.get("every_rotor")
    own = sections.data["rotors"][index]
    return "tilt" not in own and not (isinstance(shared, dict) and "tilt" in shared)


def _check_tricopter(sections: Sections, note: Note) -> None:
    rotors = _listed(sections)
    for index, rotor in rotors:
        forward, right, _ = rotor.place.body_m
        if math.hypot(forward, right) < SAME_PLACE_M:
            note(("rotors", index, "place"), "stands over the middle: an arm of zero length")
    if not len(rotors) == NEEDED["tricopter"] == len(sections.rotors):
        return
    tilting = [(index, rotor) for index, rotor in rotors if _tilt_axis(sections, rotor) is not None]
    if len(tilting) != 1:
        text = f"exactly one rotor of a tricopter tilts, the one behind; here {len(tilting)} do"
        note(("rotors",), text)
        return
    tail_index, tail = tilting[0]
    if _tilt_axis(sections, tail) != "forward":
        text = "must be 'forward' on a tricopter: the rotor behind tilts sideways"
        note(_axis_path(sections, tail_index, tail), text)
    front = [(index, rotor) for index, rotor in rotors if index != tail_index]
    if any(rotor.place.body_m[0] <= tail.place.body_m[0] + SAME_PLACE_M for _, rotor in front):
        note(("rotors", tail_index, "place"), "the tilting rotor must stand behind the other two")
    (_, first), (index, second) = front
    if abs(first.place.body_m[1] - second.place.body_m[1]) < SAME_PLACE_M:
        text = (
            f"is no farther right or left than rotor '{first.name}': nothing would roll the craft"
        )
        note(("rotors", index, "place"), text)


def _check_drag_bodies(sections: Sections, note: Note) -> None:
    bodies = sum(any(area > 0.0 for area in part.drag_area_m2) for part in sections.parts)
    bodies += sections.head is not None
    if bodies > MOST_DRAG_BODIES:
        text = f"{bodies} parts and heads catch wind; at most {MOST_DRAG_BODIES} can be computed"
        note(("parts",), text)


def _warnings(sections: Sections) -> tuple[str, ...]:
    turns = {rotor.turns for _, rotor in _listed(sections)}
    if len(sections.rotors) > 1 and len(turns) == 1 and sections.layout in NEEDED:
        (turn,) = turns
        if sections.layout == "bicopter":
            return (
                f"both rotors turn {turn}: their reaction torques add up and the tilts must hold"
                " them against yaw; let one turn the other way",
            )
        return (
            f"all three rotors turn {turn}: the tail must lean to hold their reaction torques;"
            " let one of the front two turn the other way",
        )
    return ()


def _soft_neck(head: HeadSpec | None) -> tuple[str, ...]:
    """Warn of a neck whose springs cannot hold the head up: k is to be above m g h."""
    if head is None or not isinstance(head.neck, HingedNeck):
        return ()
    above = head.neck.pivot.body_m[2] - head.place.body_m[2]
    needed = head.mass_kg.value * GRAVITY_M_S2 * above
    soft = [
        name
        for name, axis in (("roll", head.neck.roll), ("pitch", head.neck.pitch))
        if axis.stiffness_n_m_rad.value <= needed and above > 0.0
    ]
    return tuple(
        f"the neck is too soft in {name}: the head stands {100.0 * above:.3g} cm above its pivot"
        f" and falls onto the stop below {needed:.3g} N m/rad"
        for name in soft
    )


def fabric_on_nodding_head(craft: CraftSpec) -> tuple[str, ...]:
    """Warn of fabric whose rim stands above the pivot of a neck that bends.

    Parameters
    ----------
    craft : CraftSpec
        As read.

    Returns
    -------
    tuple of str
        A sentence for each such drape.
    """
    head = craft.head
    if head is None or not isinstance(head.neck, HingedNeck):
        return ()
    pivot = head.neck.pivot.body_m[2]
    return tuple(
        f"the rim of '{drape.name}' stands {100.0 * (pivot - drape.rim.place.body_m[2]):.3g} cm"
        " above the pivot of the neck, but fabric hangs from the frame: it does not nod with the"
        " head; give its mass to the head, or a rigid neck, if that is where it hangs"
        for drape in craft.drapes
        if drape.rim.place.body_m[2] < pivot
    )
