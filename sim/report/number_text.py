"""Numbers as a builder reads them: a few digits, a unit, and words where there is no number."""

from __future__ import annotations

import math
from typing import Final

MISSING: Final = "not known"
_SECONDS_PER_MINUTE: Final = 60.0
_MINUTES_FROM_S: Final = 100.0


def digits(value: float | None, count: int = 3) -> str:
    """Write a number with a few significant digits and no exponent.

    Parameters
    ----------
    value : float or None
        Any number.
    count : int
        [-] Significant digits; whole numbers are not cut off.

    Returns
    -------
    str
        Such as "0.0123" or "1234"; "not known" for None and nan, "any" for infinity.
    """
    if value is None or math.isnan(value):
        return MISSING
    if math.isinf(value):
        return "any"
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.{count - 1}e}")
    places = max(0, count - 1 - math.floor(math.log10(abs(rounded))))
    return f"{rounded:.{places}f}"


def fixed(value: float | None, places: int) -> str:
    """Write a number with a fixed number of decimals.

    Parameters
    ----------
    value : float or None
        Any number.
    places : int
        [-] Decimals.

    Returns
    -------
    str
        Never "-0"; "not known" for None and nan, "any" for infinity.
    """
    if value is None or math.isnan(value):
        return MISSING
    if math.isinf(value):
        return "any"
    text = f"{value:.{places}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def plain(value: float) -> str:
    """Write a number that somebody chose, without zeros behind it.

    Parameters
    ----------
    value : float
        Any finite number.

    Returns
    -------
    str
        Such as "10" or "2.5".
    """
    return f"{value:.5g}"


def give_or_take(value: float, spread: float) -> str:
    """Write a number and its spread with the same decimals, two digits of the spread.

    Parameters
    ----------
    value, spread : float
        In the same unit; the spread is not negative.

    Returns
    -------
    str
        Such as "2.810 +/- 0.044"; the number alone without a spread.
    """
    if not (math.isfinite(spread) and spread > 0.0):
        return digits(value)
    places = max(0, 1 - math.floor(math.log10(float(f"{spread:.1e}"))))
    return f"{fixed(value, places)} +/- {fixed(spread, places)}"


def percent(share: float | None, places: int = 0) -> str:
    """Write a share of one in percent, without the sign for percent.

    Parameters
    ----------
    share : float or None
        [-] Share of one.
    places : int
        [-] Decimals.

    Returns
    -------
    str
        Such as "55".
    """
    return fixed(None if share is None else 100.0 * share, places)


def with_unit(number: str, unit: str) -> str:
    """Join a number and its unit, unless there is no number.

    Parameters
    ----------
    number : str
        From one of the functions above.
    unit : str
        Such as "N"; may be empty.

    Returns
    -------
    str
        Such as "33.1 N".
    """
    return number if number in {MISSING, "any"} or not unit else f"{number} {unit}"


def duration(seconds: float | None) -> str:
    """Write a time in seconds, or in minutes once it is long.

    Parameters
    ----------
    seconds : float or None
        [s] Time.

    Returns
    -------
    str
        Such as "9.2 s" or "7.5 minutes".
    """
    if seconds is None or not math.isfinite(seconds):
        return MISSING
    if seconds < _MINUTES_FROM_S:
        return f"{digits(seconds, 2)} s"
    return f"{fixed(seconds / _SECONDS_PER_MINUTE, 1)} minutes"


def degrees(angle_rad: float | None, places: int = 0) -> str:
    """Write an angle in degrees, without the unit.

    Parameters
    ----------
    angle_rad : float or None
        [rad] Angle.
    places : int
        [-] Decimals.

    Returns
    -------
    str
        Such as "35".
    """
    return fixed(None if angle_rad is None else math.degrees(angle_rad), places)


def capital(sentence: str) -> str:
    """Begin a sentence with a capital letter and leave the rest.

    Parameters
    ----------
    sentence : str
        Any text.

    Returns
    -------
    str
        The text.
    """
    return sentence[:1].upper() + sentence[1:]


def sentence(words: str) -> str:
    """Make a whole sentence of words that begin small or lack their full stop.

    Parameters
    ----------
    words : str
        Any text.

    Returns
    -------
    str
        The sentence.
    """
    return f"{capital(words.strip().rstrip('.'))}."


def listed(words: list[str] | tuple[str, ...]) -> str:
    """Join words as a sentence does.

    Parameters
    ----------
    words : list or tuple of str
        Any number of them.

    Returns
    -------
    str
        Such as "roll, pitch and yaw".
    """
    if len(words) <= 1:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
