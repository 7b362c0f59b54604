"""Find the direction from which wind is worst: round the compass, then finer beside the worst."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np

from sim.analysis.wind_flights import Wind, WindFlights
from sim.analysis.wind_result import WindDirection
from sim.flight.rows import Rows, succeeded
from sim.params.record import FloatArray
from sim.spec.scenario import LimitsSpec
from sim.spec.units import parse_quantity

COARSE: Final = 8
FINEST_RAD: Final = math.pi / 16.0
DIRECTION_FLIGHTS: Final = 24
TURN: Final = 2.0 * math.pi
SAME_RAD: Final = 1e-3


def closeness(rows: Rows, limits: LimitsSpec, duration_s: float) -> FloatArray:
    """Give how close each flight came to a limit, shape (flights,).

    The greatest of lean, drift and height lost, each over its limit, below 1, for a flight that
    succeeded; for one that failed 1 plus the share of its time that it did not fly.
    """
    nearest = np.fmax.reduce(
        [
            rows["most_tilt_rad"] / limits.tilt_rad,
            rows["most_drift_m"] / limits.drift_m,
            rows["most_height_loss_m"] / limits.height_loss_m,
        ]
    )
    lost = np.clip(1.0 - rows["time_s"] / duration_s, 0.0, 1.0)
    return np.where(succeeded(rows), np.clip(nearest, 0.0, 1.0), 1.0 + lost)


def named_direction(from_rad: float) -> float:
    """Give the direction [rad] that is told for one: the bits that its hundredth of a degree has.

    A flight said to be worth seeing is flown again from what was printed, and loose fabric makes
    the smallest difference grow.
    """
    hundredths = round(math.degrees(from_rad) % 360.0, 2) % 360.0
    return parse_quantity(f"{hundredths:.2f} deg", "angle")


def worst_direction(
    fly: WindFlights,
    mean_m_s: float,
    first_rad: float,
    close: Callable[[Rows], FloatArray],
    told: Callable[[str], None],
) -> tuple[WindDirection, ...]:
    """Fly in one mean wind from eight directions, then at 22.5 and 11.25 degrees beside the worst.

    Flights of one number have the same gusts from every direction, so that few are needed to tell
    directions apart. Worst is the lowest number of successes, then the greatest closeness.

    Parameters
    ----------
    fly : WindFlights
        Other flights than those that will judge the direction found.
    mean_m_s : float
        [m/s] At the scenario's wind height.
    first_rad : float
        [rad] One of the eight directions, flown as it is; the others in hundredths of degrees.
    close : callable
        Gives `closeness` of rows.
    told : callable
        Told what is being flown.

    Returns
    -------
    tuple of WindDirection
        The worst first.
    """
    tried: dict[float, WindDirection] = {}

    def attempt(from_rad: float) -> None:
        if abs(math.remainder(from_rad - first_rad, TURN)) < SAME_RAD:
            from_rad = first_rad
        else:
            from_rad = named_direction(from_rad)
        if from_rad in tried:
            return
        told(f"{mean_m_s:.2f} m/s from {math.degrees(from_rad):.0f} deg")
        rows = fly.rows(Wind(mean_m_s, from_rad), DIRECTION_FLIGHTS)
        good = int(np.count_nonzero(succeeded(rows)))
        tried[from_rad] = WindDirection(
            from_rad, DIRECTION_FLIGHTS, good, float(np.mean(close(rows)))
        )

    def ranked() -> list[WindDirection]:
        return sorted(tried.values(), key=lambda d: (d.successes, -d.closeness, d.from_rad))

    for k in range(COARSE):
        attempt(first_rad + TURN * k / COARSE)
    apart = TURN / COARSE / 2.0
    while apart >= FINEST_RAD - 1e-9:
        worst = ranked()[0].from_rad
        attempt(worst - apart)
        attempt(worst + apart)
        apart /= 2.0
    return tuple(ranked())
