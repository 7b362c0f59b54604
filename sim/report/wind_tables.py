"""Tables and sentences about a wind limit, for the report and for the terminal."""

from __future__ import annotations

import math
from typing import Final

from sim.analysis.wind_heights import FORECAST_HEIGHT_M
from sim.analysis.wind_result import WindAnswer, WindDirection, WindPoint
from sim.analysis.wind_words import (
    BEAUFORT_WORDS,
    beaufort,
    kilometres_per_hour,
    knots,
    miles_per_hour,
)
from sim.report.number_text import capital, degrees, fixed, listed, percent, plain
from sim.report.section import Standing, Table, TableRow, standing
from sim.spec.units import rounded_down

TOGETHER_M: Final = 0.5
_COMPASS: Final = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip
_NEXT: Final = math.pi / 4.0
_MOST_NAMED: Final = 3


def direction_words(from_rad: float) -> str:
    """Say where a wind comes from, such as "270 deg (west)"."""
    name = _COMPASS[round(from_rad / _NEXT) % len(_COMPASS)]
    return f"{degrees(from_rad % (2.0 * math.pi))} deg ({name})"


def is_told_at_forecast_height(wind: WindAnswer) -> bool:
    """Tell whether winds are given for the height of forecasts, 10 m."""
    return abs(wind.wind_height_m - FORECAST_HEIGHT_M) <= TOGETHER_M


def at_its_height(wind: WindAnswer) -> str:
    """Give " at 3 m" when winds are given for another height than that of forecasts, else ""."""
    return "" if is_told_at_forecast_height(wind) else f" at {plain(wind.wind_height_m)} m"


def limit_at_10_m_m_s(wind: WindAnswer) -> float | None:
    """Give the limit [m/s] as weather services tell the wind, at 10 m."""
    return wind.limit_forecast_m_s if is_told_at_forecast_height(wind) else wind.at_10_m_m_s


def units_table(wind: WindAnswer) -> tuple[Table, ...]:
    """Tell the limit in every unit: forecast, mean at flight height, gust there.

    Parameters
    ----------
    wind : WindAnswer
        Empty when it has no limit, or only that of still air.
    """
    if not wind.limit_forecast_m_s or wind.limit_m_s is None:
        return ()
    rows = []
    if not is_told_at_forecast_height(wind):
        name = f"mean at {plain(wind.wind_height_m)} m"
        rows.append(_in_units(name, wind.limit_forecast_m_s, "is told at 10 m"))
    at_10 = limit_at_10_m_m_s(wind)
    if at_10 is not None:
        force = beaufort(at_10)
        name = f"forecast at {plain(FORECAST_HEIGHT_M)} m"
        rows.insert(0, _in_units(name, at_10, f"{force}, {BEAUFORT_WORDS[force]}"))
    rows.append(_in_units(f"mean at {plain(wind.flight_height_m)} m", wind.limit_m_s, "-"))
    if wind.gust_m_s is not None:
        rows.append(_in_units(f"gust at {plain(wind.flight_height_m)} m", wind.gust_m_s, "-"))
    return (
        Table(
            caption="The limit in every unit; the forecast is what the weather service tells",
            columns=("wind", "m/s", "km/h", "mph", "kn", "Beaufort"),
            rows=tuple(rows),
        ),
    )


def _in_units(name: str, speed_m_s: float, force: str) -> TableRow:
    return TableRow(
        (
            name,
            rounded_down(speed_m_s),
            rounded_down(kilometres_per_hour(speed_m_s), 0),
            rounded_down(miles_per_hour(speed_m_s), 0),
            rounded_down(knots(speed_m_s), 0),
            force,
        )
    )


def points_table(wind: WindAnswer) -> Table:
    """Tell how many flights succeeded in each wind, and what is surely reached."""
    told = "forecast" if is_told_at_forecast_height(wind) else f"mean{at_its_height(wind)}"
    return Table(
        caption=(
            f"Flights in each wind. 'At least' holds with {percent(wind.asked_confidence)} %"
            f" confidence for all winds together and must reach {percent(wind.asked_success)} %;"
            " '-' was given up early or flown for the curve alone"
        ),
        columns=(f"{told}, m/s", "at flight height", "succeeded", "at least", "why others failed"),
        rows=tuple(_point_row(point, wind) for point in wind.points),
        judged=True,
    )


def _point_row(point: WindPoint, wind: WindAnswer) -> TableRow:
    why = ", ".join(f"{cause} ({count})" for cause, count in point.causes) or "-"
    sure = f"{percent(point.one_sided_lower, 1)} %" if point.one_sided_lower > 0.0 else "-"
    stands = Standing.PLAIN
    if point.judged:
        shown_to_fail = point.upper < wind.asked_success
        passes = point.one_sided_lower >= wind.asked_success
        stands = standing(True if passes else False if shown_to_fail else None)
    return TableRow(
        (
            fixed(point.forecast_m_s, 2),
            fixed(point.wind_m_s, 2),
            f"{point.successes} of {point.flights}",
            sure,
            why,
        ),
        stands,
    )


def causes_table(wind: WindAnswer) -> tuple[Table, ...]:
    """Rank why flights failed at and just above the limit, each with one to fly again.

    Parameters
    ----------
    wind : WindAnswer
        Empty when none failed.
    """
    if not wind.causes:
        return ()
    rows = tuple(
        TableRow(
            (
                cause.words,
                str(cause.flights),
                f"--flight {cause.flight} --wind '{plain(cause.forecast_m_s)} m/s'{_from(wind)}",
            )
        )
        for cause in wind.causes
    )
    caption = (
        "Why flights failed at and just above the limit, and how to see one again with"
        f" 'gustworthy fly' or 'gustworthy replay' (seed {wind.seed})"
    )
    return (Table(caption, ("cause", "flights", "see one"), rows),)


def _from(wind: WindAnswer) -> str:
    """Give the option that turns the wind, when it was turned."""
    return "" if wind.asked_from_rad is None else f" --from '{degrees(wind.from_rad, 2)} deg'"


def directions_table(wind: WindAnswer) -> tuple[Table, ...]:
    """Tell the directions that were tried, the worst first.

    Parameters
    ----------
    wind : WindAnswer
        Empty when none were.
    """
    if not wind.directions:
        return ()
    rows = tuple(_direction_row(direction) for direction in wind.directions)
    caption = (
        "Directions the wind was turned to, the worst first; closeness to a limit is below 1 for"
        " flights that succeed and 1 to 2 for those that fail"
    )
    return (Table(caption, ("wind from", "succeeded", "mean closeness"), rows),)


def _direction_row(direction: WindDirection) -> TableRow:
    return TableRow(
        (
            direction_words(direction.from_rad),
            f"{direction.successes} of {direction.flights}",
            fixed(direction.closeness, 2),
        )
    )


def doubt_sentences(wind: WindAnswer) -> tuple[str, ...]:
    """Say how sure the counts are, and what speaks against them.

    Parameters
    ----------
    wind : WindAnswer
        Of a check or a study of its own.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    doubt = percent(1.0 - wind.asked_confidence)
    looks = "one look" if wind.looks == 1 else f"{wind.looks} looks"
    words = [
        "The bounds are exact binomial ones (Clopper and Pearson 1934). The doubt of"
        f" {doubt} % is shared among {wind.tests} winds and {looks} at each, so that the limit"
        f" holds with {percent(wind.asked_confidence)} % confidence. That tells how sure the count"
        " of flights is, not how true the model is.",
    ]
    if wind.estimate_forecast_m_s is not None:
        told = "forecast" if is_told_at_forecast_height(wind) else "mean"
        words.append(
            f"The best estimate, without a margin for doubt, is that {percent(wind.asked_success)}"
            f" % succeed up to a {told} of {fixed(wind.estimate_forecast_m_s, 1)}"
            f" m/s{at_its_height(wind)}; more flights bring the limit nearer to it."
        )
    words += reversal_sentences(wind)
    if wind.broken:
        named = [f"{flight} in {plain(speed)} m/s" for speed, flight in wind.broken]
        more = len(named) - _MOST_NAMED
        rest = [f"{more} more"] if more > 0 else []
        words.append(
            "Flights that broke down in computation count as failed and into no mean:"
            f" {listed([*named[:_MOST_NAMED], *rest])}."
        )
    return tuple(words)


def reversal_sentences(wind: WindAnswer) -> list[str]:
    """Say where more wind did significantly better, one sentence for the clearest."""
    if not wind.reversals:
        return []
    first = wind.reversals[0]
    return [
        f"More wind did better somewhere: {first.better} flights that failed in"
        f" {plain(first.slower_m_s)} m/s succeeded in {plain(first.faster_m_s)} m/s, and"
        f" {first.worse} the other way round (by luck: {percent(first.chance, 1)} %). Between and"
        " beyond the winds flown nothing can be relied on there."
    ]


def direction_sentence(wind: WindAnswer) -> str:
    """Say from where the wind of the limit comes, and how it compares with the scenario's."""
    if wind.asked_from_rad is None:
        if not wind.directions:
            return f"Wind from {direction_words(wind.from_rad)} only; --directions looks for worse."
        worst = wind.directions[0].from_rad
        if worst != wind.from_rad:
            return (
                f"Wind from {direction_words(worst)} looked worst, but its limit is not lower than"
                f" that of wind from {direction_words(wind.from_rad)}, as in the scenario."
            )
        return f"Wind from {direction_words(wind.from_rad)} is the worst that was found."
    other = wind.asked_limit_forecast_m_s
    there = "none" if other is None else f"{fixed(other, 2)} m/s{at_its_height(wind)}"
    return capital(
        f"the worst wind found comes from {direction_words(wind.from_rad)}; from"
        f" {direction_words(wind.asked_from_rad)}, as in the scenario, the limit is {there}."
    )
