"""Write an accepted cause into a copy of the craft file: one changed value under a comment.

The text is changed where the reader of craft files says that a value stands; everything else,
comments and layout, stays as it was.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, final

from sim.analysis.bench_causes import Cause, CauseKind
from sim.analysis.bench_fit import Fit
from sim.errors import Fault, InputFaults
from sim.spec.airframe import CraftSpec
from sim.spec.files import craft_from_bytes
from sim.spec.load import Mark, Path_, read_document
from sim.spec.unit_table import KINDS

_RPM_PER_VOLT: Final = KINDS["speed_constant"].units["rpm/V"].factor


@final
@dataclass(frozen=True)
class Edit:
    """One value to write: the path of its key in the file, and its text."""

    path: Path_
    text: str


@final
@dataclass(frozen=True)
class _Splice:
    """Text that replaces what stands between two marks."""

    start: Mark
    end: Mark
    text: str
    comment: str


def _number(value: float, unit: str) -> str:
    return f"{value:.6g} {unit}".strip()


def applied_text(raw: bytes, file: str, craft: CraftSpec, fit: Fit, full_current_a: float) -> str:
    """Give the text of a craft file with the causes of a fit written in.

    Parameters
    ----------
    raw : bytes
        The craft file.
    file : str
        Its name, for messages.
    craft : CraftSpec
        As read from it.
    fit : Fit
        The accepted explanation.
    full_current_a : float
        [A] Of a motor at full throttle, as the file has it; current limits are counted from it.

    Raises
    ------
    InputFaults
        When the cause has no place in a craft file, or the changed text cannot be read.
    """
    document = read_document(raw, file)
    lines = raw.decode("utf-8-sig").splitlines(keepends=True)
    ending = "\r\n" if lines and lines[0].endswith("\r\n") else "\n"
    if not fit.causes or any(cause.kind is CauseKind.METER for cause in fit.causes):
        what = "neither the file as it is nor a wrong meter changes anything in the craft"
        raise InputFaults((Fault(file, 0, 0, what),))
    splices = []
    for cause, value in zip(fit.causes, fit.values, strict=True):
        for edit in _edits(craft, document.data, cause, value, full_current_a):
            words = f"gustworthy bench: {cause.words}"
            splices.append(_splice(document, edit, words, ending))
    ordered = sorted(splices, key=lambda splice: splice.start, reverse=True)
    depths = [len(lines[s.start[0] - 1]) - len(lines[s.start[0] - 1].lstrip(" ")) for s in ordered]
    for splice in ordered:
        _put_in(lines, splice)
    for splice, depth in zip(ordered, depths, strict=True):
        lines.insert(splice.start[0] - 1, f"{' ' * depth}{splice.comment}{ending}")
    text = "".join(lines)
    craft_from_bytes(text.encode("utf-8"), f"{file}, changed")
    return text


def _edits(
    craft: CraftSpec, data: Any, cause: Cause, value: float, full_current_a: float
) -> list[Edit]:
    kind = cause.kind
    battery = craft.battery
    factor = math.exp(value) if kind is not CauseKind.WIRING else 1.0
    if kind is CauseKind.WITHHELD:
        return [Edit(("controller", "reserved"), _number(100.0 * value, "%"))]
    if kind is CauseKind.PACK_SAG:
        ohm = battery.resistance_ohm.value * factor
        return [Edit(("battery", "resistance"), _number(1e3 * ohm, "mohm"))]
    if kind is CauseKind.WIRING:
        ohm = battery.wiring_resistance_ohm.value + value
        return [Edit(("battery", "wiring_resistance"), _number(1e3 * ohm, "mohm"))]
    if kind is CauseKind.METER:
        return []
    edits: list[Edit] = []
    only = None if cause.rotor is None else cause.rotor
    for section, key, text in _rotor_values(craft, cause, value, full_current_a):
        edits += _rotor_edits(data, section, key, text, only)
    return edits


def _rotor_values(
    craft: CraftSpec, cause: Cause, value: float, full_current_a: float
) -> list[tuple[str, str, str]]:
    """Give section, key and text of what a cause changes in a rotor."""
    rotor = craft.rotors[cause.rotor or 0]
    motor, propeller = rotor.motor, rotor.propeller
    factor = math.exp(value)
    match cause.kind:
        case CauseKind.END_POINTS | CauseKind.ONE_END_POINT:
            full = 1.0 - value
            if cause.kind is CauseKind.ONE_END_POINT:
                full *= rotor.speed_controller.full_command
            return [("speed_controller", "full_command", _number(100.0 * full, "%"))]
        case CauseKind.SPEED_CONSTANT | CauseKind.ONE_MOTOR:
            turns = motor.speed_constant_rad_s_V.value * factor / _RPM_PER_VOLT
            return [("motor", "speed_constant", _number(turns, "rpm/V"))]
        case CauseKind.MOTOR_RESISTANCE:
            ohm = (motor.resistance_ohm.value + rotor.speed_controller.resistance_ohm) * factor
            ohm -= rotor.speed_controller.resistance_ohm
            return [("motor", "resistance", _number(1e3 * ohm, "mohm"))]
        case CauseKind.CURRENT_LIMIT:
            return [("speed_controller", "current_limit", _number(full_current_a * factor, "A"))]
        case CauseKind.PROPELLER_THRUST:
            pull = propeller.thrust_factor.value * factor
            return [("propeller", "thrust_factor", _number(pull, ""))]
        case _:
            pull = propeller.thrust_factor.value * factor
            drag = propeller.torque_factor.value * factor
            return [
                ("propeller", "thrust_factor", _number(pull, "")),
                ("propeller", "torque_factor", _number(drag, "")),
            ]


def _rotor_edits(data: Any, section: str, key: str, text: str, only: int | None) -> list[Edit]:
    """Give the edit in each place from which the rotors take a section."""
    own = [i for i, rotor in enumerate(data["rotors"]) if section in rotor]
    if only is None:
        places: list[Path_] = [("rotors", i, section, key) for i in own]
        if section in data.get("every_rotor", {}):
            places.append(("every_rotor", section, key))
        return [Edit(path, text) for path in places]
    if only in own:
        return [Edit(("rotors", only, section, key), text)]
    shared = {**data["every_rotor"][section], key: text}
    return [Edit(("rotors", only, section), _flow(shared))]


def _flow(value: Any) -> str:
    """Write plain values in YAML's flow form, texts in quotes."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    if isinstance(value, bool | int | float):
        return str(value).lower() if isinstance(value, bool) else repr(value)
    text = str(value)
    return text if text.replace(" ", "").replace(".", "").isalnum() else f"'{text}'"


def _splice(document: Any, edit: Edit, words: str, ending: str) -> _Splice:
    """Give the change of text: another scalar, or a new key at the start of its section."""
    path, text = edit.path, edit.text
    if (*path, "value") in document.ends:
        path = (*path, "value")
    if path in document.ends:
        start, end = document.values[path], document.ends[path]
        if start[0] != end[0]:
            what = f"'{edit.path[-1]}' runs over several lines; write it on one to change it"
            raise InputFaults((Fault(document.file, start[0], start[1], what),))
        was = document.lines[start[0] - 1][start[1] - 1 : end[1] - 1]
        return _Splice(start, end, text, f"# {words}; before, '{edit.path[-1]}' was {was}")
    *above, key = path
    here: Path_ = tuple(above)
    while here not in document.values:
        *rest, outer = here
        text, key, here = "{" + f"{key}: {text}" + "}", outer, tuple(rest)
    mark = document.values[here]
    comment = f"# {words}; '{key}' was not given before: take it out to undo this"
    line = document.lines[mark[0] - 1]
    if line[mark[1] - 1] == "{":
        behind = (mark[0], mark[1] + 1)
        return _Splice(behind, behind, f"{key}: {text}, ", comment)
    return _Splice(mark, mark, f"{key}: {text}{ending}{' ' * (mark[1] - 1)}", comment)


def _put_in(lines: list[str], splice: _Splice) -> None:
    number, column = splice.start[0] - 1, splice.start[1] - 1
    line = lines[number]
    lines[number] = line[:column] + splice.text + line[splice.end[1] - 1 :]
