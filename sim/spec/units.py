"""Read a quantity such as `12 g`, `15 deg/s` or `0.10 s/60deg` and give its value in SI units.

A bare number is refused where a unit is needed, and so are a decimal comma, powers, `nan` and
anything that is not finite. There is no unit arithmetic: each kind of quantity knows a short list
of units that builders write, and a unit outside the list is answered with the nearest one in it.
"""

from __future__ import annotations

import difflib
import math
import re
from fractions import Fraction
from functools import lru_cache
from typing import Final

from sim.spec.unit_table import KINDS, Kind, Unit

NUMBER_PATTERN: Final = r"[-+]?(?:\d{1,12}(?:\.\d{0,17})?|\.\d{1,17})(?:[eE][-+]?\d{1,2})?"
_QUANTITY = re.compile(rf"({NUMBER_PATTERN})\s*(.*)", re.ASCII)
_COMMA = re.compile(r"[-+]?\d+,\d")
_LONGEST_TEXT = 80
_SHOWN_UNITS = 8
# Texts whose values are kept, for files that are read again with little changed.
_KEPT_READINGS = 4096
_ROUNDING = 1e-9


class UnitError(ValueError):
    """A text that is no quantity of the wanted kind; the message says what would be."""


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
        wanted = f"this is {kind.name}, such as '{kind.example}'"
        return f"'{shown}' is a unit of {others[0].name}; {wanted}"
    if same_letters:
        meant = kind.aliases.get(same_letters[0], same_letters[0])
        return f"unknown unit '{shown}'; did you mean '{meant}'?"
    units = _some_units(kind)
    return f"unknown unit '{shown}'; use {units}" if units else f"'{shown}' does not belong here"


@lru_cache(maxsize=_KEPT_READINGS)
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
        message = f"'{_shown(text)}' is too long for {kind.name}, such as '{kind.example}'"
        raise UnitError(message)
    bare = text.strip()
    if _COMMA.match(bare):
        message = f"'{_shown(bare)}': write the decimal with a point, not a comma"
        raise UnitError(message)
    match = _QUANTITY.fullmatch(bare)
    if match is None:
        message = (
            f"'{_shown(bare)}' is not {kind.name}: a number and its unit, such as '{kind.example}'"
        )
        raise UnitError(message)
    unit_text = tidy_unit(match[2])
    unit = kind.find(unit_text)
    if unit is None and not unit_text:
        message = f"'{_shown(bare)}' needs a unit: {_some_units(kind)}"
        raise UnitError(message)
    if unit is None and unit_text[0] in "0123456789.eE+-" and not _is_any_unit(unit_text):
        message = f"'{_shown(bare)}' is not a number that can be used, such as '{kind.example}'"
        raise UnitError(message)
    if unit is None:
        raise UnitError(_unknown_unit(unit_text, kind))
    return _in_si(Fraction(match[1]), unit, bare)


def _is_any_unit(text: str) -> bool:
    return any(kind.find(text) is not None for kind in KINDS.values())


def _in_si(number: Fraction, unit: Unit, text: str) -> float:
    """Convert exactly and round once, so that `95 %` is the float 0.95."""
    if unit.inverse and number == 0:
        message = f"'{_shown(text)}': a time of zero would be an endless speed"
        raise UnitError(message)
    factor, offset = Fraction(repr(unit.factor)), Fraction(repr(unit.offset))
    value = float(factor / number if unit.inverse else factor * number + offset)
    if not math.isfinite(value):
        message = f"'{_shown(text)}' is not a finite number"
        raise UnitError(message)
    return value


def format_quantity(value: float, kind_name: str) -> str:
    """Write an SI value for people, such as `0.45 m` or `35 deg`.

    Parameters
    ----------
    value : float
        In the SI unit of the kind.
    kind_name : str
        Key of `KINDS`.

    Returns
    -------
    str
        Number and unit.
    """
    kind = KINDS[kind_name]
    name = kind.shown or kind.si
    unit = kind.units[name]
    return f"{(value - unit.offset) / unit.factor:.6g} {name}".strip()


def json_pattern(kind_name: str) -> str:
    """Give the regular expression that a JSON Schema uses for this kind of quantity."""
    spellings = sorted(KINDS[kind_name].spellings(), key=len, reverse=True)
    units = "|".join(
        re.sub(r"([.^$*+?{}\[\]\\|()/])", r"\\\1", text).replace(" ", r"\s?") for text in spellings
    ).replace("2", "[2\N{SUPERSCRIPT TWO}]")
    return rf"^\s*{NUMBER_PATTERN}\s*({units})\s*$"


def rounded_down(amount: float, places: int = 1) -> str:
    """Write a limit: never as more than it is.

    Parameters
    ----------
    amount : float
        [any unit] 0 or above.
    places : int
        [-] Decimals.

    Returns
    -------
    str
        Such as "4.7" for 4.75.
    """
    scale = 10.0**places
    return f"{math.floor(amount * scale + _ROUNDING) / scale:.{places}f}"
