"""Question 4 in words: how much wind."""

from __future__ import annotations

from typing import Final

from sim.analysis.check_result import CheckResult
from sim.analysis.wind_heights import FORECAST_HEIGHT_M
from sim.analysis.wind_result import WindAnswer
from sim.analysis.wind_words import in_all_units, wind_sentence
from sim.flight.fabric_hit import fabric_hit
from sim.flight.outcome import STOP_WORDS
from sim.flight.results import Flight
from sim.pack.craft import PackedCraft
from sim.physics.air.wind_profile import TERRAINS
from sim.report.flight_rules import flight_rules
from sim.report.number_text import capital, degrees, digits, fixed, percent, plain
from sim.report.section import Picture, Reading, Section, Standing, Table, TableRow, standing
from sim.report.used_defaults import used_defaults
from sim.report.wind_tables import (
    at_its_height,
    causes_table,
    doubt_sentences,
    is_told_at_forecast_height,
    limit_at_10_m_m_s,
    points_table,
    units_table,
)
from sim.spec.scenario import ScenarioSpec
from sim.spec.units import rounded_down
from sim.spec.wind import WindSpec

_CENTIMETRES: Final = 100.0


def forecast_words(wind: WindAnswer, speed_m_s: float) -> str:
    """Write a forecast wind in every unit, with its Beaufort force if it is for 10 m.

    Parameters
    ----------
    wind : WindAnswer
        Says for which height the forecast is.
    speed_m_s : float
        [m/s] Mean wind.

    Returns
    -------
    str
        Such as "5.2 m/s (18 km/h, 11 mph, 10 kn), Beaufort 3, gentle breeze".
    """
    if not is_told_at_forecast_height(wind):
        return in_all_units(speed_m_s)
    return wind_sentence(speed_m_s)


def wind_readings(wind: WindAnswer) -> tuple[Reading, ...]:
    """Give the limit as a forecast, as the mean at flight height and as the gust there.

    Parameters
    ----------
    wind : WindAnswer
        Of the check.

    Returns
    -------
    tuple of Reading
        Empty when there is no limit.
    """
    if wind.limit_forecast_m_s is None or wind.limit_m_s is None:
        return ()
    here = f"mean wind at flight height, {plain(wind.flight_height_m)} m"
    readings = []
    at_10 = limit_at_10_m_m_s(wind)
    if at_10 is not None:
        forecast = f"forecast, mean wind at {plain(FORECAST_HEIGHT_M)} m"
        readings.append(Reading(forecast, "up to " + wind_sentence(at_10)))
    if not is_told_at_forecast_height(wind):
        there = f"mean wind{at_its_height(wind)}"
        readings.append(Reading(there, "up to " + in_all_units(wind.limit_forecast_m_s)))
    readings.append(Reading(here, "up to " + in_all_units(wind.limit_m_s)))
    if wind.gust_m_s is not None:
        readings.append(Reading("gusts of 3 s there", "up to " + in_all_units(wind.gust_m_s)))
    return tuple(readings)


def wind_section(result: CheckResult) -> Section:
    """Answer the fourth question.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    Section
        The answer as data.
    """
    wind, scenario = result.wind, result.scenario.spec
    tables: tuple[Table, ...] = ()
    if wind is not None:
        tables = (*units_table(wind), points_table(wind), *causes_table(wind))
    if result.flight_limits:
        tables = (*tables, _limits_table(result))
    return Section(
        key="wind",
        question="How much wind?",
        standing=_standing(wind, scenario),
        answer=_answer(result),
        remedy=_remedy(wind, scenario),
        readings=() if wind is None else _readings(wind, result),
        tables=tables,
        pictures=_pictures(result),
        assumptions=_assumptions(wind, scenario),
        provenance=_provenance(wind, scenario),
        spread=() if wind is None else doubt_sentences(wind),
        defaults=used_defaults(result.craft, result.scenario, "wind"),
        cautions=(
            "Make the first hops in much less wind than the limit.",
            "Gusts between trees and houses can be stronger than those of open terrain.",
        ),
    )


def _standing(wind: WindAnswer | None, scenario: ScenarioSpec) -> Standing:
    if wind is None:
        return Standing.UNKNOWN
    limit = wind.limit_forecast_m_s
    return standing(limit is not None and limit >= scenario.wind.mean_m_s)


def _answer(result: CheckResult) -> str:
    wind, scenario = result.wind, result.scenario.spec
    if wind is None:
        if not result.lift.can_lift:
            return "In no wind: it cannot lift, so no flights were flown."
        if result.stability.has_trim and not result.stability.stable:
            return "In no wind: it is unstable in still air already, so no wind was tried."
        return "That was not looked into: without a steady hover there is nothing to fly from."
    limit = wind.limit_forecast_m_s
    success = f"{percent(wind.asked_success)} % of flights"
    if limit is None or wind.limit_m_s is None:
        first = f"; the first failure: it {wind.first_cause}" if wind.first_cause else ""
        return (
            f"In no wind: not even in still air do {success} of {plain(wind.flight_s)} s end as"
            f" they should{first}."
        )
    if limit <= 0.0:
        start = "Still air only"
    else:
        told = "forecast" if is_told_at_forecast_height(wind) else "mean wind"
        start = f"Up to a {told} of {forecast_words(wind, limit)}, at {plain(wind.wind_height_m)} m"
        start += f" over {_terrain_words(wind.terrain)}"
    gust = f", with gusts to {rounded_down(wind.gust_m_s)} m/s" if wind.gust_m_s else ""
    words = f"{start}; at flight height ({plain(wind.flight_height_m)} m) that is a mean of"
    words += f" {rounded_down(wind.limit_m_s)} m/s{gust}."
    if limit <= 0.0:
        words = f"{start}."
    if wind.is_bounded:
        words += " That is the strongest wind that was tried; nothing gave out in it."
    elif wind.first_cause:
        words += f" In more wind it first {wind.first_cause}."
    if limit < scenario.wind.mean_m_s:
        words += (
            f" The wind of this scenario, {fixed(scenario.wind.mean_m_s, 1)} m/s, is more than"
            " that."
        )
    return words


def _remedy(wind: WindAnswer | None, scenario: ScenarioSpec) -> str:
    if wind is None or _standing(wind, scenario) is Standing.PASSES:
        return ""
    return (
        "Make what the wind pushes smaller or more open, lengthen the lever of the rotors over the"
        " centre of gravity, or give it more thrust; else wait for less wind."
    )


def _terrain_words(terrain: str) -> str:
    words = terrain.replace("_", " ")
    return "sea" if terrain == "sea" else f"{'an' if words[0] in 'aeio' else 'a'} {words}"


def _readings(wind: WindAnswer, result: CheckResult) -> tuple[Reading, ...]:
    scenario = result.scenario.spec
    asked = scenario.wind.mean_m_s
    limit = wind.limit_forecast_m_s
    return (
        Reading(
            f"highest {'forecast' if is_told_at_forecast_height(wind) else 'mean wind'} that"
            f" passes{at_its_height(wind)}",
            "none" if limit is None else rounded_down(limit),
            "" if limit is None else "m/s",
            f"at least {fixed(asked, 1)} m/s, the wind of this scenario",
            standing(limit is not None and limit >= asked),
        ),
        Reading(
            "mean wind that takes all thrust to lean against, at flight height",
            fixed(wind.static_bound_m_s, 1),
            "m/s",
            "no limit can lie above it",
        ),
        Reading("flights flown", str(wind.flights)),
        Reading(
            "flights that broke down in computation",
            str(wind.not_finite),
            "",
            "none",
            standing(wind.not_finite == 0),
        ),
    )


def flight_outcome(flight: Flight, packed: PackedCraft) -> str:
    """Say how the flight that is shown ended.

    Parameters
    ----------
    flight : Flight
        With its tally.
    packed : PackedCraft
        What flew.

    Returns
    -------
    str
        Such as "flew its whole time, 20 s".
    """
    hit = fabric_hit(packed, flight.tally)
    where = f" ({hit})" if hit else ""
    return f"{STOP_WORDS[flight.stop]}{where}, {digits(float(flight.tally.stop_s))} s"


def _limits_table(result: CheckResult) -> Table:
    rows = tuple(TableRow((name, f"{percent(share, 1)} %")) for name, share in result.flight_limits)
    return Table(
        caption="Share of the flight that is shown on each limit",
        columns=("limit", "share of the flight"),
        rows=rows,
        folded=True,
    )


def _pictures(result: CheckResult) -> tuple[Picture, ...]:
    pictures = []
    wind, flight = result.wind, result.flight
    if wind is not None and wind.points:
        pictures.append(
            Picture(
                "wind",
                "Share of flights that succeed, against the wind: dots are the share counted, with"
                f" its {percent(wind.asked_confidence)} % bounds, the line the best curve that does"
                " not rise; dashes are the share that is surely reached, all winds together",
                _curve_finding(wind),
            )
        )
    if flight is not None:
        tally = flight.tally
        pictures.append(
            Picture(
                "flight",
                f"One flight of the scenario {result.scenario.spec.name!r}, mean wind"
                f" {fixed(result.scenario.spec.wind.mean_m_s, 1)} m/s as forecast",
                f"The flight {flight_outcome(flight, result.packed)}: it leaned by at most"
                f" {degrees(float(tally.most_tilt_rad))} degrees, drifted by at most"
                f" {fixed(float(tally.most_drift_m), 2)} m and lost at most"
                f" {fixed(max(float(tally.most_height_loss_m), 0.0), 2)} m of height once it was"
                " judged.",
            )
        )
    return tuple(pictures)


def _curve_finding(wind: WindAnswer) -> str:
    asked = percent(wind.asked_success)
    if wind.limit_forecast_m_s is None:
        return f"At no wind speed does the lower bound reach {asked} %."
    first = f"; above, it first {wind.first_cause}" if wind.first_cause else ""
    return (
        f"The lower bound stays above {asked} % up to a forecast of"
        f" {rounded_down(wind.limit_forecast_m_s)} m/s{first}."
    )


def _assumptions(wind: WindAnswer | None, scenario: ScenarioSpec) -> tuple[str, ...]:
    words = [flight_rules(scenario)]
    if wind is not None:
        words.append(
            "Every wind speed flies the same numbered gusts, scaled; seed"
            f" {wind.seed} gives them again."
        )
    return tuple(words)


def turbulence_words(wind: WindSpec) -> str:
    """Say where the gusts of a scenario come from."""
    if wind.measured is not None:
        words = f"Gusts along the ground are those measured ({wind.measured.file})"
        if wind.turbulence.form != "none":
            words += "; vertical ones, and differences across the craft, are drawn to go with them"
        return words + "."
    if wind.turbulence.form == "none":
        return "The scenario has no turbulence: real wind is gustier."
    spectrum = {"dryden": "Dryden", "kaimal": "Kaimal"}[wind.turbulence.form]
    if wind.turbulence.intensity is not None:
        return f"Turbulence has the {spectrum} spectrum; its intensity is the scenario's."
    return (
        f"Turbulence has the {spectrum} spectrum, its intensity that of the terrain (EN 1991-1-4)."
    )


def _provenance(wind: WindAnswer | None, scenario: ScenarioSpec) -> tuple[str, ...]:
    terrain = TERRAINS[scenario.wind.terrain]
    words = [
        f"The mean wind falls towards the ground by the logarithmic profile over terrain of"
        f" category {terrain.category} of EN 1991-1-4 ({terrain.looks_like}).",
        turbulence_words(scenario.wind),
    ]
    if wind is not None:
        words.append("The 3 s gust over the ten-minute mean follows WMO/TD-No. 1555.")
    return tuple(capital(sentence) for sentence in words)
