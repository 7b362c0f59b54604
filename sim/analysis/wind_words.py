"""A wind speed in the units and words that forecasts use."""

from __future__ import annotations

from bisect import bisect_right

from sim.spec.units import rounded_down

KILOMETRES_PER_HOUR = 3.6
MILES_PER_HOUR = 1.0 / 0.44704
KNOTS = 3600.0 / 1852.0

BEAUFORT_LOWER_LIMITS_M_S = (
    0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7,
)  # fmt: skip
"""[m/s] Lowest speed of forces 1 to 12: WMO-No. 306, Manual on Codes, section E, table of the
Beaufort scale, ten-minute means at 10 m over open flat ground."""

BEAUFORT_WORDS = (
    "calm",
    "light air",
    "light breeze",
    "gentle breeze",
    "moderate breeze",
    "fresh breeze",
    "strong breeze",
    "near gale",
    "gale",
    "strong gale",
    "storm",
    "violent storm",
    "hurricane",
)


def kilometres_per_hour(speed_m_s: float) -> float:
    """Turn m/s into km/h.

    Parameters
    ----------
    speed_m_s : float
        [m/s] Speed.

    Returns
    -------
    float
        [km/h] Speed.
    """
    return speed_m_s * KILOMETRES_PER_HOUR


def miles_per_hour(speed_m_s: float) -> float:
    """Turn m/s into mph.

    Parameters
    ----------
    speed_m_s : float
        [m/s] Speed.

    Returns
    -------
    float
        [mph] Speed.
    """
    return speed_m_s * MILES_PER_HOUR


def knots(speed_m_s: float) -> float:
    """Turn m/s into knots.

    Parameters
    ----------
    speed_m_s : float
        [m/s] Speed.

    Returns
    -------
    float
        [kn] Speed.
    """
    return speed_m_s * KNOTS


def beaufort(speed_m_s: float) -> int:
    """Give the force on the Beaufort scale.

    The scale is printed to a tenth of a metre a second; a speed between two printed ranges counts
    to the lower force. The scale's column in knots is rounded apart: it has 16 and 21 kn one force
    lower.

    Parameters
    ----------
    speed_m_s : float
        [m/s] Mean wind over ten minutes at 10 m, 0 or above; a gust has no Beaufort force.

    Returns
    -------
    int
        [-] 0 to 12.
    """
    if not speed_m_s >= 0.0:
        message = f"wind speed is {speed_m_s:g} m/s, it must be zero or above"
        raise ValueError(message)
    return bisect_right(BEAUFORT_LOWER_LIMITS_M_S, speed_m_s)


def in_all_units(speed_m_s: float) -> str:
    """Write a limit in every unit in use, rounded down, without its Beaufort force.

    Parameters
    ----------
    speed_m_s : float
        [m/s] Speed.

    Returns
    -------
    str
        Such as "5.2 m/s (18 km/h, 11 mph, 10 kn)".
    """
    return (
        f"{rounded_down(speed_m_s)} m/s ({rounded_down(kilometres_per_hour(speed_m_s), 0)} km/h, "
        f"{rounded_down(miles_per_hour(speed_m_s), 0)} mph, {rounded_down(knots(speed_m_s), 0)} kn)"
    )


def wind_sentence(mean_m_s: float, gust_m_s: float | None = None) -> str:
    """Write a limit of the mean wind in every unit, with its Beaufort force and its gust.

    Parameters
    ----------
    mean_m_s : float
        [m/s] Mean wind over ten minutes at 10 m.
    gust_m_s : float or None
        [m/s] Gust expected in it, if known.

    Returns
    -------
    str
        Such as "5.2 m/s (18 km/h, 11 mph, 10 kn), Beaufort 3, gentle breeze; gusts to 7.9 m/s
        (28 km/h, 17 mph, 15 kn)".
    """
    force = beaufort(mean_m_s)
    sentence = f"{in_all_units(mean_m_s)}, Beaufort {force}, {BEAUFORT_WORDS[force]}"
    if gust_m_s is None:
        return sentence
    return f"{sentence}; gusts to {in_all_units(gust_m_s)}"
