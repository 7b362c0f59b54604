"""Write an accepted cause into a copy of the craft file: one changed value under a comment."""

from __future__ import annotations

import math
from typing import Any, Final, TypeAlias

from sim.analysis.bench_causes import Cause, CauseKind
from sim.analysis.bench_fit import Fit
from sim.analysis.craft_edit import Edit, edited_text
from sim.errors import Fault, InputFaults
from sim.spec.airframe import CraftSpec
from sim.spec.load import Path_, read_document
from sim.spec.unit_table import KINDS

_RPM_PER_VOLT: Final = KINDS["speed_constant"].units["rpm/V"].factor
_Change: TypeAlias = tuple[Path_, str]


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
    data = read_document(raw, file).data
    if not fit.causes or any(cause.kind is CauseKind.METER for cause in fit.causes):
        what = "neither the file as it is nor a wrong meter changes anything in the craft"
        raise InputFaults((Fault(file, 0, 0, what),))
    edits = [
        Edit(path, text, f"gustworthy bench: {cause.words}")
        for cause, value in zip(fit.causes, fit.values, strict=True)
        for path, text in _edits(craft, data, cause, value, full_current_a)
    ]
    return edited_text(raw, file, edits)


def _edits(
    craft: CraftSpec, data: Any, cause: Cause, value: float, full_current_a: float
) -> list[_Change]:
    kind = cause.kind
    battery = craft.battery
    factor = math.exp(value) if kind is not CauseKind.WIRING else 1.0
    if kind is CauseKind.WITHHELD:
        return [(("controller", "reserved"), _number(100.0 * value, "%"))]
    if kind is CauseKind.PACK_SAG:
        ohm = battery.resistance_ohm.value * factor
        return [(("battery", "resistance"), _number(1e3 * ohm, "mohm"))]
    if kind is CauseKind.WIRING:
        ohm = battery.wiring_resistance_ohm.value + value
        return [(("battery", "wiring_resistance"), _number(1e3 * ohm, "mohm"))]
    if kind is CauseKind.METER:
        return []
    edits: list[_Change] = []
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


def _rotor_edits(data: Any, section: str, key: str, text: str, only: int | None) -> list[_Change]:
    """Give the edit in each place from which the rotors take a section."""
    own = [i for i, rotor in enumerate(data["rotors"]) if section in rotor]
    if only is None:
        places: list[Path_] = [("rotors", i, section, key) for i in own]
        if section in data.get("every_rotor", {}):
            places.append(("every_rotor", section, key))
        return [(path, text) for path in places]
    if only in own:
        return [(("rotors", only, section, key), text)]
    shared = {**data["every_rotor"][section], key: text}
    return [(("rotors", only, section), _flow(shared))]


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
