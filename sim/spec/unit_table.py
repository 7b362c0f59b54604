"""Table of the units that builders write, by kind of quantity, with their exact factors to SI.

Conversion factors are the exact ones of the international yard and pound agreement of 1959
(1 in = 0.0254 m, 1 lb = 0.45359237 kg), of the international nautical mile (1852 m) and of the
standard acceleration of gravity (9.80665 m/s2); see NIST Special Publication 811 (2008),
appendix B. Inches of mercury are the conventional ones (3386.389 Pa).
"""

from __future__ import annotations

import math
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
    shown : str
        Unit in which values of this kind are written for people; the SI unit when empty.
    """

    name: str
    units: dict[str, Unit]
    example: str
    aliases: dict[str, str] = field(default_factory=dict)
    shown: str = ""

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
    name: str,
    example: str,
    units: dict[str, float | Unit],
    aliases: dict[str, str] | None = None,
    shown: str = "",
) -> Kind:
    table = {text: unit if isinstance(unit, Unit) else Unit(unit) for text, unit in units.items()}
    return Kind(name, table, example, aliases or {}, shown)


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
    "angle": _kind("an angle", "30 deg", {"rad": 1.0, "deg": _DEGREE}, _ANGLE_ALIASES, "deg"),
    "rotation": _kind(
        "a rotation speed",
        "5200 rpm",
        {"rad/s": 1.0, "deg/s": _DEGREE, "rpm": _RPM, "rev/s": _TURN},
        {"\N{DEGREE SIGN}/s": "deg/s", "1/min": "rpm", "rps": "rev/s", "RPM": "rpm"},
        "deg/s",
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
        "deg/s",
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
    "charge": _kind("a charge", "5 Ah", {"A s": 1.0, "Ah": 3600.0, "mAh": 3.6}, {"C": "A s"}, "Ah"),
    "power": _kind("a power", "200 W", {"W": 1.0, "kW": 1e3, "mW": 1e-3}, {"watts": "W", "w": "W"}),
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
    "damping": _kind(
        "a damping", "20 N s/m", {"N s/m": 1.0}, {"Ns/m": "N s/m", "N/(m/s)": "N s/m"}
    ),
    "speed_constant": _kind(
        "a speed constant",
        "400 rpm/V",
        {"rad/s/V": 1.0, "rpm/V": _RPM},
        {
            "rad/(V s)": "rad/s/V",
            "RPM/V": "rpm/V",
            "1/min/V": "rpm/V",
            "KV": "rpm/V",
            "Kv": "rpm/V",
        },
        "rpm/V",
    ),
    "number": _kind("a plain number", "0.12", {"": 1.0}),
    "share": _kind("a share", "20 %", {"": 1.0, "%": 0.01}, {"percent": "%"}),
    "gain": _kind("a gain", "6 dB", {"dB": 1.0}, {"db": "dB"}),
    "areal_density": _kind(
        "a mass per area",
        "25 g/m2",
        {"kg/m2": 1.0, "g/m2": 1e-3, "oz/yd2": _OUNCE / (3.0 * _FOOT) ** 2},
        {"gsm": "g/m2", "oz/sq yd": "oz/yd2"},
    ),
    "frequency": _kind("a frequency", "500 Hz", {"Hz": 1.0, "kHz": 1e3}, {"hz": "Hz", "1/s": "Hz"}),
    "angular_frequency": _kind(
        "a frequency", "12 Hz", {"rad/s": 1.0, "Hz": _TURN, "kHz": 1e3 * _TURN}, {"hz": "Hz"}, "Hz"
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
        "degC",
    ),
    "heat_capacity": _kind(
        "a heat capacity", "40 J/K", {"J/K": 1.0, "kJ/K": 1e3}, {"J/degC": "J/K", "W s/K": "J/K"}
    ),
    "thermal_resistance": _kind(
        "a thermal resistance", "1.8 K/W", {"K/W": 1.0}, {"degC/W": "K/W", "C/W": "K/W"}
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
