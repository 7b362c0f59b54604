"""Wind, pack, fabric and height of a steady flight in words."""

from __future__ import annotations

import math
from typing import Final

from sim.analysis.condition import Condition
from sim.report.number_text import degrees, digits, fixed, percent, with_unit

_SIDES: Final = (
    "ahead",
    "ahead right",
    "the right",
    "behind right",
    "behind",
    "behind left",
    "the left",
    "ahead left",
)
_FULL: Final = 0.999
_NEAR_RAD: Final = 1e-6


def side_words(from_rad: float) -> str:
    """Say from where wind comes, for a craft that heads north.

    Parameters
    ----------
    from_rad : float
        [rad] Compass direction.

    Returns
    -------
    str
        Such as "ahead right", or "100 degrees right of ahead".
    """
    eighth = 0.25 * math.pi
    turns = (from_rad % (2.0 * math.pi)) / eighth
    if abs(turns - round(turns)) * eighth < _NEAR_RAD:
        return _SIDES[round(turns) % len(_SIDES)]
    if from_rad % (2.0 * math.pi) <= math.pi:
        return f"{degrees(from_rad % (2.0 * math.pi))} degrees right of ahead"
    return f"{degrees(2.0 * math.pi - from_rad % (2.0 * math.pi))} degrees left of ahead"


def wind_words(condition: Condition) -> str:
    """Say the wind of a condition.

    Parameters
    ----------
    condition : Condition

    Returns
    -------
    str
        Such as "still air" or "4.0 m/s from behind".
    """
    if condition.wind_m_s <= 0.0:
        return "still air"
    wind = with_unit(fixed(condition.wind_m_s, 1), "m/s")
    return f"{wind} from {side_words(condition.from_rad)}"


def pack_words(condition: Condition) -> str:
    """Say the charge of a condition.

    Parameters
    ----------
    condition : Condition

    Returns
    -------
    str
        Such as "full pack" or "pack at 20 %".
    """
    if condition.charge >= _FULL:
        return "full pack"
    return f"pack at {percent(condition.charge)} %"


def fabric_words(condition: Condition) -> str:
    """Say the fabric of a condition.

    Parameters
    ----------
    condition : Condition

    Returns
    -------
    str
        Such as "dry fabric" or "no fabric".
    """
    return {"dry": "dry fabric", "wet": "wet fabric", "none": "no fabric"}[condition.fabric]


def condition_words(condition: Condition) -> str:
    """Say a whole condition.

    Parameters
    ----------
    condition : Condition

    Returns
    -------
    str
        Such as "4.0 m/s from behind, full pack, dry fabric, 2.0 m above the ground".
    """
    parts = [wind_words(condition), pack_words(condition), fabric_words(condition)]
    height = with_unit(digits(condition.height_m, 2), "m")
    return f"{', '.join(parts)}, {height} above the ground"
