"""Read a quantity such as `12 g`, `15 deg/s` or `0.10 s/60deg` and give its value in SI units.

A bare number is refused where a unit is needed, and so are a decimal comma, powers, `nan` and
anything that is not finite. There is no unit arithmetic: each kind of quantity knows a short list
of units that builders write, and a unit outside the list is answered with the nearest one in it.

Conversion factors are the exact ones of the international yard and pound agreement of 1959
(1 in = 0.0254 m, 1 lb = 0.45359237 kg), of the international nautical mile (1852 m) and of the
standard acceleration of gravity (9.80665 m/s2); see NIST Special Publication 811 (2008), appendix B.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass, field
from typing import Final, final

_INCH = 0.0254
_FOOT = 0.3048
_POUND = 0.45359237
_OUNCE = _POUND / 16.0
_GRAVITY = 9.80665
_DEGREE = math.pi / 180.0
_TURN = 2.0 * math.pi
_RPM = _TURN / 60.0
_POUND_FORCE = _POUND * _GRAVITY
_INCH_MERCURY = 3386.389  # conventional, NIST SP 811

NUMBER_PATTERN: Final = r"[-+]?(?:\d{1,12}(?:\.\d{0,17})?|\.\d{1,17})(?:[eE][-+]?\d{1,2})?"
_QUANTITY = re.compile(rf"({NUMBER_PATTERN})\s*(.*)", re.ASCII)
_COMMA = re.compile(r"[-+]?\d+,\d")
_LONGEST_TEXT = 80
_SHOWN_UNITS = 8


class UnitError(ValueError):
    """A text that is no quantity of the wanted kind; the message says what would be."""


@final
@dataclass(frozen=True)
class Unit:
    """One unit: SI value = factor * number + offset, or factor / number when inverse."""

    factor: float
    offset: float = 0.0
    inverse: bool = False


@final
@dataclass(frozen=True)
class Kind:
    """One kind of quantity, with the units that builders may write for it.

    Attributes
    ----------
    name : str
        What it is, as a message says it ("a mass").
    units : dict[str, Unit]
        By the spelling that is shown; the first is the SI unit.
    aliases : dict[str, str]
        Other spellings of the same units.
    example : str
        A text that is right.
    """

    name: str
    units: dict[str, Unit]
    example: str
    aliases: dict[str, str] = field(default_factory=dict)

    @property
    def si(self) -> str:
        """Give the name of the SI unit; empty for a pure number."""
        return next(iter(self.units))

    def find(self, text: str) -> Unit | None:
        """Give the unit of that spelling, or None."""
        return self.units.get(self.aliases.get(text, text))

    def spellings(self) -> tuple[str, ...]:
        """Give every accepted spelling of every unit."""
        return (*self.units, *self.aliases)


def _kind(
    name: str, example: str, units: dict[str, float | Unit], aliases: dict[str, str] | None = None
) -> Kind:
    table = {
        text: unit if isinstance(unit, Unit) else Unit(unit) for text, unit in units.items()
    }
    return Kind(name, table, example, aliases or {})


_ANGLE_ALIASES = {"\N{DEGREE SIGN}": "deg", "degree": "deg", "degrees": "deg", "radians": "rad"}

KINDS: Final[dict[str, Kind]] = {
    "mass": _kind(
        "a mass",
        "1.4 kg",
        {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "lb": _POUND, "oz": _OUNCE},
        {
            "lbs": "lb",
            "pounds": "lb",
            "ounces": "oz",
            "gram": "g",
            "grams": "g",
            "gr": "g",
            "kgs": "kg",
            "kilograms": "kg",
        },
    ),
    "length": _kind(
        "a length",
        "45 cm",
        {"m": 1.0, "cm": 0.01, "mm": 1e-3, "in": _INCH, "ft": _FOOT, "km": 1e3},
        {
            "inch": "in",
            "inches": "in",
            '"': "in",
            "feet": "ft",
            "foot": "ft",
            "'": "ft",
            "metres": "m",
            "meters": "m",
        },
    ),
    "area": _kind(
        "an area",
        "120 cm2",
        {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "in2": _INCH**2, "ft2": _FOOT**2},
        {"sq in": "in2", "sq ft": "ft2", "sq m": "m2", "sq cm": "cm2"},
    ),
    "speed": _kind(
        "a speed",
        "12 mph",
        {
            "m/s": 1.0,
            "km/h": 1.0 / 3.6,
            "mph": 0.44704,
            "kn": 1852.0 / 3600.0,
            "ft/s": _FOOT,
            "cm/s": 0.01,
        },
        {"kph": "km/h", "kmh": "km/h", "knots": "kn", "kt": "kn", "kts": "kn", "fps": "ft/s"},
    ),
    "angle": _kind("an angle", "30 deg", {"rad": 1.0, "deg": _DEGREE}, _ANGLE_ALIASES),
    "rotation": _kind(
        "a rotation speed",
        "5200 rpm",
        {"rad/s": 1.0, "deg/s": _DEGREE, "rpm": _RPM, "rev/s": _TURN},
        {"\N{DEGREE SIGN}/s": "deg/s", "1/min": "rpm", "rps": "rev/s", "RPM": "rpm"},
    ),
    "servo_speed": _kind(
        "a servo speed",
        "0.10 s/60deg",
        {
            "rad/s": 1.0,
            "deg/s": _DEGREE,
            "s/60deg": Unit(60.0 * _DEGREE, inverse=True),
            "ms/60deg": Unit(60000.0 * _DEGREE, inverse=True),
        },
        {
            "s/60 deg": "s/60deg",
            "sec/60deg": "s/60deg",
            "sec/60 deg": "s/60deg",
            "s/60\N{DEGREE SIGN}": "s/60deg",
            "sec/60\N{DEGREE SIGN}": "s/60deg",
            "\N{DEGREE SIGN}/s": "deg/s",
        },
    ),
    "time": _kind(
        "a time",
        "4 ms",
        {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0},
        {"sec": "s", "seconds": "s", "minutes": "min", "\N{MICRO SIGN}s": "us", "hours": "h"},
    ),
    "inertia": _kind(
        "a moment of inertia",
        "0.021 kg m2",
        {
            "kg m2": 1.0,
            "kg cm2": 1e-4,
            "g m2": 1e-3,
            "g cm2": 1e-7,
            "g mm2": 1e-9,
            "lb in2": _POUND * _INCH**2,
            "lb ft2": _POUND * _FOOT**2,
            "oz in2": _OUNCE * _INCH**2,
        },
        {"kgm2": "kg m2", "gcm2": "g cm2", "kgcm2": "kg cm2"},
    ),
    "voltage": _kind("a voltage", "14.8 V", {"V": 1.0, "mV": 1e-3}, {"volts": "V", "v": "V"}),
    "current": _kind(
        "a current", "26 A", {"A": 1.0, "mA": 1e-3}, {"amps": "A", "amp": "A", "a": "A"}
    ),
    "charge": _kind("a charge", "5 Ah", {"A s": 1.0, "Ah": 3600.0, "mAh": 3.6}, {"C": "A s"}),
    "power": _kind(
        "a power", "200 W", {"W": 1.0, "kW": 1e3, "mW": 1e-3}, {"watts": "W", "w": "W"}
    ),
    "resistance": _kind(
        "a resistance",
        "12 mohm",
        {"ohm": 1.0, "mohm": 1e-3},
        {
            "ohms": "ohm",
            "\N{GREEK CAPITAL LETTER OMEGA}": "ohm",
            "\N{OHM SIGN}": "ohm",
            "m\N{GREEK CAPITAL LETTER OMEGA}": "mohm",
            "m\N{OHM SIGN}": "mohm",
            "mohms": "mohm",
        },
    ),
    "force": _kind(
        "a force",
        "9.8 N",
        {
            "N": 1.0,
            "mN": 1e-3,
            "kN": 1e3,
            "kgf": _GRAVITY,
            "gf": 1e-3 * _GRAVITY,
            "lbf": _POUND_FORCE,
            "ozf": _POUND_FORCE / 16.0,
        },
    ),
    "torque": _kind(
        "a torque",
        "1.2 N m",
        {
            "N m": 1.0,
            "mN m": 1e-3,
            "N cm": 0.01,
            "kgf cm": 0.01 * _GRAVITY,
            "ozf in": _POUND_FORCE / 16.0 * _INCH,
            "lbf in": _POUND_FORCE * _INCH,
            "lbf ft": _POUND_FORCE * _FOOT,
        },
        {
            "Nm": "N m",
            "mNm": "mN m",
            "Ncm": "N cm",
            "kg cm": "kgf cm",
            "kgcm": "kgf cm",
            "oz in": "ozf in",
            "lb in": "lbf in",
            "lb ft": "lbf ft",
        },
    ),
    "stiffness": _kind(
        "a stiffness",
        "900 N/m",
        {"N/m": 1.0, "N/mm": 1e3, "kN/m": 1e3, "lbf/in": _POUND_FORCE / _INCH},
        {"lb/in": "lbf/in"},
    ),
    "damping": _kind("a damping", "20 N s/m", {"N s/m": 1.0}, {"Ns/m": "N s/m", "N/(m/s)": "N s/m"}),
    "speed_constant": _kind(
        "a speed constant",
        "400 rpm/V",
        {"rad/s/V": 1.0, "rpm/V": _RPM},
        {"rad/(V s)": "rad/s/V", "RPM/V": "rpm/V", "1/min/V": "rpm/V"},
    ),
    "number": _kind("a plain number", "0.12", {"": 1.0}),
    "share": _kind("a share", "20 %", {"": 1.0, "%": 0.01}, {"percent": "%"}),
    "areal_density": _kind(
        "a mass per area",
        "25 g/m2",
        {"kg/m2": 1.0, "g/m2": 1e-3, "oz/yd2": _OUNCE / (3.0 * _FOOT) ** 2},
        {"gsm": "g/m2", "oz/sq yd": "oz/yd2"},
    ),
    "frequency": _kind("a frequency", "500 Hz", {"Hz": 1.0, "kHz": 1e3}, {"hz": "Hz", "1/s": "Hz"}),
    "angular_frequency": _kind(
        "a frequency", "12 Hz", {"rad/s": 1.0, "Hz": _TURN, "kHz": 1e3 * _TURN}, {"hz": "Hz"}
    ),
    "temperature": _kind(
        "a temperature",
        "15 degC",
        {
            "K": 1.0,
            "degC": Unit(1.0, 273.15),
            "degF": Unit(5.0 / 9.0, 459.67 * 5.0 / 9.0),
        },
        {"C": "degC", "F": "degF", "\N{DEGREE SIGN}C": "degC", "\N{DEGREE SIGN}F": "degF"},
    ),
    "pressure": _kind(
        "a pressure",
        "1013 hPa",
        {
            "Pa": 1.0,
            "hPa": 100.0,
            "kPa": 1e3,
            "mbar": 100.0,
            "bar": 1e5,
            "inHg": _INCH_MERCURY,
            "atm": 101325.0,
        },
    ),
    "acceleration": _kind("an acceleration", "0.1 m/s2", {"m/s2": 1.0, "ft/s2": _FOOT}),
    "rate_gain": _kind(
        "a torque per turning rate",
        "0.4 N m/(rad/s)",
        {"N m/(rad/s)": 1.0, "N m/(deg/s)": 1.0 / _DEGREE},
        {"N m s/rad": "N m/(rad/s)", "N m s": "N m/(rad/s)", "Nm/(rad/s)": "N m/(rad/s)"},
    ),
    "angle_gain": _kind(
        "a torque per angle",
        "1.5 N m/rad",
        {"N m/rad": 1.0, "N m/deg": 1.0 / _DEGREE},
        {"Nm/rad": "N m/rad", "N m/(rad/s)/s": "N m/rad", "N m/(rad/s s)": "N m/rad"},
    ),
    "acceleration_gain": _kind(
        "a torque per turning acceleration",
        "0.004 N m s/(rad/s)",
        {"N m s/(rad/s)": 1.0, "N m s/(deg/s)": 1.0 / _DEGREE},
        {
            "N m/(rad/s2)": "N m s/(rad/s)",
            "N m s2/rad": "N m s/(rad/s)",
            "N m s2": "N m s/(rad/s)",
            "Nm s/(rad/s)": "N m s/(rad/s)",
        },
    ),
    "per_time": _kind("a quickness", "4 1/s", {"1/s": 1.0}, {"/s": "1/s", "per s": "1/s"}),
    "per_time_squared": _kind(
        "a quickness squared", "0.5 1/s2", {"1/s2": 1.0}, {"/s2": "1/s2", "per s2": "1/s2"}
    ),
}


def tidy_unit(text: str) -> str:
    """Give one spelling to signs that mean the same: `kg·m²`, `kg*m^2` and `kg m2`."""
    text = text.replace("\N{SUPERSCRIPT TWO}", "2").replace("^", "")
    text = re.sub(r"[\N{MIDDLE DOT}*\s]+", " ", text)
    return re.sub(r" ?([/()]) ?", r"\1", text).strip()


def _shown(text: str) -> str:
    short = text if len(text) <= _LONGEST_TEXT else text[:_LONGEST_TEXT] + "..."
    return "".join(sign if sign.isprintable() else "?" for sign in short)


def _some_units(kind: Kind) -> str:
    return ", ".join([unit for unit in kind.units if unit][:_SHOWN_UNITS])


def _unknown_unit(unit: str, kind: Kind) -> str:
    """Say what is wrong with a unit that this kind of quantity does not have."""
    shown = _shown(unit)
    near = difflib.get_close_matches(
        unit.lower(), [text.lower() for text in kind.spellings()], 1, 0.6
    )
    same_letters = [text for text in kind.spellings() if text.lower() in near]
    others = [other for other in KINDS.values() if other.find(unit) is not None and unit]
    if others:
        return f"'{shown}' is a unit of {others[0].name}; this is {kind.name}, such as '{kind.example}'"
    if same_letters:
        meant = kind.aliases.get(same_letters[0], same_letters[0])
        return f"unknown unit '{shown}'; did you mean '{meant}'?"
    units = _some_units(kind)
    return f"unknown unit '{shown}'; use {units}" if units else f"'{shown}' does not belong here"


def parse_quantity(text: str, kind_name: str) -> float:
    """Give the SI value of a quantity written as text.

    Parameters
    ----------
    text : str
        What the builder wrote, such as `1.4 kg`.
    kind_name : str
        Key of `KINDS`.

    Returns
    -------
    float
        Value in the SI unit of that kind; always finite.

    Raises
    ------
    UnitError
        When the text is not such a quantity; the message says what would be.
    """
    kind = KINDS[kind_name]
    if len(text) > _LONGEST_TEXT:
        raise UnitError(f"'{_shown(text)}' is too long for {kind.name}, such as '{kind.example}'")
    bare = text.strip()
    if _COMMA.match(bare):
        raise UnitError(f"'{_shown(bare)}': write the decimal with a point, not a comma")
    match = _QUANTITY.fullmatch(bare)
    if match is None:
        raise UnitError(
            f"'{_shown(bare)}' is not {kind.name}: a number and its unit, such as '{kind.example}'"
        )
    unit_text = tidy_unit(match[2])
    unit = kind.find(unit_text)
    if unit is None and not unit_text:
        raise UnitError(f"'{_shown(bare)}' needs a unit: {_some_units(kind)}")
    if unit is None and unit_text[0] in "0123456789.eE+-" and not _is_any_unit(unit_text):
        raise UnitError(
            f"'{_shown(bare)}' is not a number that can be used, such as '{kind.example}'"
        )
    if unit is None:
        raise UnitError(_unknown_unit(unit_text, kind))
    return _in_si(float(match[1]), unit, bare)


def _is_any_unit(text: str) -> bool:
    return any(kind.find(text) is not None for kind in KINDS.values())


def _in_si(number: float, unit: Unit, text: str) -> float:
    if unit.inverse and number == 0.0:
        raise UnitError(f"'{_shown(text)}': a time of zero would be an endless speed")
    value = unit.factor / number if unit.inverse else unit.factor * number + unit.offset
    if not math.isfinite(value):
        raise UnitError(f"'{_shown(text)}' is not a finite number")
    return value


def format_quantity(value: float, kind_name: str) -> str:
    """Write an SI value with its SI unit, such as `0.45 m`."""
    return f"{value:.6g} {KINDS[kind_name].si}".strip()


def json_pattern(kind_name: str) -> str:
    """Give the regular expression that a JSON Schema uses for this kind of quantity."""
    spellings = sorted(KINDS[kind_name].spellings(), key=len, reverse=True)
    units = "|".join(
        re.sub(r"([.^$*+?{}\[\]\\|()/])", r"\\\1", text).replace(" ", r"\s?") for text in spellings
    ).replace("2", "[2\N{SUPERSCRIPT TWO}]")
    return rf"^\s*{NUMBER_PATTERN}\s*({units})\s*$"
