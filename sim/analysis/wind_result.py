"""What flying in many winds found: the limit, the curve, causes and directions."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import final


@final
@dataclass(frozen=True)
class WindPoint:
    """Flights in one mean wind.

    Attributes
    ----------
    forecast_m_s, wind_m_s : float
        [m/s] Mean at the scenario's wind height, and at flight height.
    flights, successes : int
    lower, upper : float
        [-] Two-sided Clopper-Pearson bounds of the success probability.
    one_sided_lower : float
        [-] Lower bound at the asked confidence, which holds for all judged winds together; 0 when
        it was given up before a first look, or was not judged.
    causes : tuple of (str, int)
        Why flights failed, most frequent first.
    first_failure : int or None
        Number of the first flight that failed.
    judged : bool
        False when it was flown for the curve alone.
    monotone : float
        [-] Of the best curve that does not rise with the wind.
    """

    forecast_m_s: float
    wind_m_s: float
    flights: int
    successes: int
    lower: float
    upper: float
    one_sided_lower: float
    causes: tuple[tuple[str, int], ...]
    first_failure: int | None
    judged: bool = True
    monotone: float = math.nan


@final
@dataclass(frozen=True)
class Reversal:
    """Two winds of which the faster did significantly better.

    Attributes
    ----------
    slower_m_s, faster_m_s : float
        [m/s] Forecasts.
    better, worse : int
        Flights that succeeded in the faster wind alone, and in the slower alone.
    chance : float
        [-] Of seeing this or more by luck, all pairs of winds taken together.
    """

    slower_m_s: float
    faster_m_s: float
    better: int
    worse: int
    chance: float


@final
@dataclass(frozen=True)
class FailureCause:
    """One way to fail at or just above the limit.

    Attributes
    ----------
    words : str
        How the flights ended, and what came first.
    flights : int
        How many failed this way.
    flight, forecast_m_s : int, float
        One of them to fly again, and its wind [m/s].
    """

    words: str
    flights: int
    flight: int
    forecast_m_s: float


@final
@dataclass(frozen=True)
class WindDirection:
    """Flights in wind from one direction, to find the worst.

    Attributes
    ----------
    from_rad : float
        [rad] Compass direction the wind comes from.
    flights, successes : int
    closeness : float
        [-] Mean over the flights of how close they came to a limit: below 1 for those that
        succeeded, 1 to 2 for those that failed, more the earlier.
    """

    from_rad: float
    flights: int
    successes: int
    closeness: float


@final
@dataclass(frozen=True)
class WindAnswer:
    """Answer to question 4: how much wind.

    Attributes
    ----------
    limit_forecast_m_s, limit_m_s : float or None
        [m/s] Highest mean wind that passes, as a forecast at the scenario's height and at flight
        height; None when not even still air passes.
    gust_m_s : float or None
        [m/s] Three-second gust that goes with it at flight height.
    static_bound_m_s : float
        [m/s] At flight height; no limit is above it.
    is_bounded : bool
        The limit is the highest wind tried, not one that failed above.
    first_cause : str
        What gives out first above the limit; empty when nothing did.
    points : tuple of WindPoint
        Slowest wind first.
    asked_success, asked_confidence : float
    flight_s : float
        [s] Length of each flight.
    wind_height_m, flight_height_m : float
    terrain : str
    seed : int
    flights : int
        Flown in all.
    not_finite : int
        Flights stopped because a number was no longer finite.
    estimate_forecast_m_s : float or None
        [m/s] Best estimate, without any margin for doubt, of the wind at which the asked share
        succeeds; None when the curve does not cross it.
    from_rad : float
        [rad] Where the wind came from.
    causes : tuple of FailureCause
        At and just above the limit, most frequent first.
    reversals : tuple of Reversal
        Where more wind did better: then nobody knows what happens between the winds flown.
    broken : tuple of (float, int)
        Wind [m/s] and number of flights that were stopped because a number was no longer finite.
    tests, looks : int
        Winds and looks at each among which the doubt was shared.
    directions : tuple of WindDirection
        Tried to find the worst; empty when only the scenario's own was flown.
    asked_from_rad, asked_limit_forecast_m_s : float or None
        Direction of the scenario and the limit there, when the worst is another one.
    at_10_m_m_s : float or None
        [m/s] The limit as a mean at 10 m, where forecasts are told.
    """

    limit_forecast_m_s: float | None
    limit_m_s: float | None
    gust_m_s: float | None
    static_bound_m_s: float
    is_bounded: bool
    first_cause: str
    points: tuple[WindPoint, ...]
    asked_success: float
    asked_confidence: float
    flight_s: float
    wind_height_m: float
    flight_height_m: float
    terrain: str
    seed: int
    flights: int
    not_finite: int
    estimate_forecast_m_s: float | None = None
    from_rad: float = 0.0
    causes: tuple[FailureCause, ...] = ()
    reversals: tuple[Reversal, ...] = ()
    broken: tuple[tuple[float, int], ...] = ()
    tests: int = 1
    looks: int = 1
    directions: tuple[WindDirection, ...] = ()
    asked_from_rad: float | None = None
    asked_limit_forecast_m_s: float | None = None
    at_10_m_m_s: float | None = None
