"""From a dozen answers to a craft file: sizes and masses of what was not asked, with reasons."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Final

from sim.spec.files import LoadedCraft, craft_from_bytes
from sim.spec.questions import (
    NONE,
    Answers,
    guessed_mass_kg,
    rotor_count,
    value_of,
)
from sim.spec.units import parse_quantity

TEMPLATE: Final = "first_craft.yaml.jinja"
_G: Final = 9.81
_CELL_V: Final = 3.7
_PACK_WH_PER_KG: Final = 140.0
_PACK_RATE_PER_H: Final = 30.0
_HOUR_S: Final = 3600.0
# Of a motor of this mass, between those of the demo crafts; common practice, no source.
_MOTOR_KG: Final = 0.172
_MOTOR_CONSTANT: Final = 8.7e-5
_MOTOR_AMPS: Final = 45.0
_MOTOR_KG_PER_N: Final = 0.0072
_PROPELLER_KG: Final = 0.024
_PROPELLER_M: Final = 0.381
_HUB_ABOVE_PIVOT_M: Final = 0.03
_RIM_BELOW_HUBS_M: Final = 0.2


def _centimetres(metres: float) -> str:
    return f"{metres * 100.0:.3g} cm"


def _grams(kilograms: float) -> str:
    return f"{max(round(kilograms * 1000.0), 1)} g"


def _motor(answers: Answers) -> dict[str, str]:
    """Give motor, speed controller and propeller that suit the guessed mass and the propeller."""
    hover_n = guessed_mass_kg(answers) * _G / rotor_count(answers)
    mass = max(2.0 * hover_n * _MOTOR_KG_PER_N, 0.01)
    size = mass / _MOTOR_KG
    turns = parse_quantity(answers["speed_constant"], "speed_constant") * 30.0 / math.pi
    resistance = 1.0 / (_MOTOR_CONSTANT * size**2.17 * turns**2)
    amps = _MOTOR_AMPS * size**0.68
    diameter = value_of(answers, "propeller_diameter", "length")
    return {
        "motor_mass": _grams(mass),
        "motor_resistance": f"{resistance * 1000.0:.3g} mohm",
        "motor_resistance_spread": "20 %",
        "no_load_current": f"{max(1.1 * size**0.5, 0.1):.2g} A",
        "motor_current": f"{amps:.0f} A",
        "controller_current": f"{1.15 * amps:.0f} A",
        "controller_mass": _grams(0.00075 * 1.15 * amps),
        "propeller_mass": _grams(_PROPELLER_KG * (diameter / _PROPELLER_M) ** 2.2),
        "servo_mass": _grams(min(max(0.36 * mass, 0.012), 0.09)),
        "servo_torque": f"{min(max(70.0 * mass, 2.0), 30.0):.2g} kgf cm",
    }


def _places(answers: Answers) -> dict[str, str]:
    """Give where things stand, from the middle between the hubs of the left and right rotor."""
    span = value_of(answers, "span", "length")
    ahead = 0.0 if answers["layout"] == "bicopter" else span * math.sqrt(3.0) / 6.0
    cloth = 0.0
    if answers["fabric"] != NONE:
        cloth = _RIM_BELOW_HUBS_M + value_of(answers, "cloth_length", "length")
    pack = value_of(answers, "pack_height", "length")
    legs = max(cloth + 0.08, pack + 0.08, 0.3)
    return {
        "half_span": _centimetres(span / 2.0),
        "ahead": _centimetres(ahead),
        "behind": _centimetres(-2.0 * ahead),
        "pivot_up": _centimetres(-_HUB_ABOVE_PIVOT_M),
        "pack_up": _centimetres(-pack),
        "frame_up": _centimetres(-0.45 * legs),
        "feet_up": _centimetres(-legs),
        "feet_ahead": _centimetres(0.38 * span),
        "feet_aside": _centimetres(0.2 * span),
        "rim_up": _centimetres(-_RIM_BELOW_HUBS_M),
        "box_forward": _centimetres(0.7 * span),
        "box_right": _centimetres(0.4 * span),
        "box_up": _centimetres(0.8 * legs),
        "frame_drag": f"{10_000.0 * 0.03 * span * legs:.3g} cm2",
    }


def _rest(answers: Answers) -> dict[str, str]:
    frame = value_of(answers, "frame_mass", "mass")
    charge = value_of(answers, "capacity", "charge")
    energy = int(answers["cells"]) * _CELL_V * charge / _HOUR_S
    words = {
        "quoted_name": json.dumps(answers["name"], ensure_ascii=False),
        "spar_mass": _grams(0.3 * frame),
        "rest_mass": _grams(0.7 * frame),
        "pack_mass": _grams(energy / _PACK_WH_PER_KG),
        "pack_current": f"{_PACK_RATE_PER_H * charge / _HOUR_S:.0f} A",
        "ribbon_width": "3 cm",
    }
    if answers["head"] == "yes":
        words["head_radius"] = _centimetres(value_of(answers, "head_width", "length") / 2.0)
    return words


def craft_file_text(answers: Answers) -> str:
    """Write a craft file.

    Parameters
    ----------
    answers : mapping
        An answer to every question that applies.

    Returns
    -------
    str
        YAML with comments.
    """
    import jinja2  # noqa: PLC0415 - only this command needs it here

    source = Path(__file__).with_name(TEMPLATE).read_text("utf-8")
    environment = jinja2.Environment(
        undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True, autoescape=False
    )
    words = {**answers, **_motor(answers), **_places(answers), **_rest(answers)}
    return environment.from_string(source).render(words).rstrip() + "\n"


def checked(text: str) -> LoadedCraft:
    """Read a craft file that was just written, by the rules of every other.

    Parameters
    ----------
    text : str
        YAML.

    Returns
    -------
    LoadedCraft
        As read; `InputFaults` when the rules refuse it.
    """
    return craft_from_bytes(text.encode(), "the new craft file")
