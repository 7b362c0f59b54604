"""A wind limit as text, as JSON and as files."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from rich.console import Console
from rich.text import Text

from sim.analysis.wind_result import WindAnswer
from sim.analysis.wind_study import WindStudy
from sim.analysis.wind_words import in_all_units, wind_sentence
from sim.report.as_json import FORMAT_VERSION, file_data, json_text, plain_data, wind_data
from sim.report.figure_style import drawn_svg
from sim.report.figure_wind import draw_wind_curve
from sim.report.files import write_whole
from sim.report.flight_rules import flight_rules
from sim.report.number_text import fixed, percent, plain
from sim.report.section import Standing, standing
from sim.report.terminal import printable, shown_text, table_grid
from sim.report.wind_tables import (
    at_its_height,
    causes_table,
    direction_sentence,
    directions_table,
    doubt_sentences,
    points_table,
    units_table,
)
from sim.spec.files import LoadedCraft, LoadedScenario

DATA_NAME: Final = "wind_limit.json"
PICTURE_NAME: Final = "wind_limit.svg"


def limit_sentences(wind: WindAnswer) -> tuple[str, ...]:
    """Tell the limit as a forecast, and as mean and gust at flight height.

    Parameters
    ----------
    wind : WindAnswer
    """
    success = f"{percent(wind.asked_success)} % of flights"
    if wind.limit_forecast_m_s is None or wind.limit_m_s is None:
        return (
            f"No wind passes: not even in still air is it shown that {success} of"
            f" {plain(wind.flight_s)} s succeed.",
        )
    if wind.limit_forecast_m_s == 0.0:
        return (
            f"Only still air passes: in none of the winds tried is it shown that {success} of"
            f" {plain(wind.flight_s)} s succeed.",
        )
    at_10 = wind.limit_forecast_m_s if wind.at_10_m_m_s is None else wind.at_10_m_m_s
    height = plain(wind.flight_height_m)
    gust = ""
    if wind.gust_m_s is not None:
        gust = f", with gusts of 3 s to {in_all_units(wind.gust_m_s)}"
    more = " More wind was not tried." if wind.is_bounded else ""
    return (
        f"Up to a forecast of {wind_sentence(at_10)} at 10 m, {success} of"
        f" {plain(wind.flight_s)} s succeed.",
        f"At flight height, {height} m, that is a mean of {in_all_units(wind.limit_m_s)}{gust}.",
        "No limit can lie above a mean there of"
        f" {fixed(wind.static_bound_m_s, 1)} m/s, which takes all thrust to lean against.{more}",
    )


def wind_study_text(
    found: WindStudy, craft: LoadedCraft, scenario: LoadedScenario, console: Console
) -> str:
    """Tell a wind limit in words.

    Parameters
    ----------
    found : WindStudy
    craft, scenario : LoadedCraft, LoadedScenario
        What flew, and how.
    console : Console
        From `sim.report.terminal.make_console`.
    """
    wind = found.answer
    day = scenario.spec.wind.mean_m_s
    verdict = "Passes" if found.passes else "Does not pass"
    style = "green" if standing(found.passes) is Standing.PASSES else "bold red"
    with console.capture() as captured:
        title = f"{printable(craft.spec.name)}: {printable(scenario.spec.name)}"
        console.print(Text(title, "bold"))
        console.print(
            Text(f"{verdict}: the scenario has {fixed(day, 1)} m/s{at_its_height(wind)}.", style)
        )
        for sentence in (*limit_sentences(wind), direction_sentence(wind)):
            console.print(Text(sentence))
        tables = (
            *units_table(wind),
            *causes_table(wind),
            points_table(wind),
            *directions_table(wind),
        )
        for table in tables:
            console.print()
            console.print(Text(table.caption))
            console.print(table_grid(table))
        console.print()
        for sentence in (flight_rules(scenario.spec), *doubt_sentences(wind)):
            console.print(Text(sentence))
        console.print(
            Text("A calculation from the numbers given, never a permission; begin in much less.")
        )
    return shown_text(captured.get())


def wind_study_data(
    found: WindStudy, craft: LoadedCraft, scenario: LoadedScenario
) -> dict[str, Any]:
    """Give a wind limit as plain data: what `gustworthy windlimit --format json` prints.

    Parameters
    ----------
    found : WindStudy
    craft, scenario : LoadedCraft, LoadedScenario
        What flew, and how.
    """
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "craft": file_data(craft, layout=craft.spec.layout),
            "scenario": file_data(scenario, wind_m_s=scenario.spec.wind.mean_m_s),
            "passes": found.passes,
            "in_words": list(limit_sentences(found.answer)),
            "wind": wind_data(found.answer),
        }
    )


def write_wind_files(
    found: WindStudy, craft: LoadedCraft, scenario: LoadedScenario, folder: Path
) -> tuple[Path, Path]:
    """Write `wind_limit.json` and `wind_limit.svg` into a folder, made if it is not there.

    Parameters
    ----------
    found : WindStudy
    craft, scenario : LoadedCraft, LoadedScenario
        What flew, and how.
    folder : Path

    Returns
    -------
    tuple of Path
        Data and picture.
    """
    wind, day = found.answer, scenario.spec.wind.mean_m_s
    words = " ".join(limit_sentences(wind))
    texts = {
        DATA_NAME: json_text(wind_study_data(found, craft, scenario)),
        PICTURE_NAME: drawn_svg(lambda: draw_wind_curve(wind, day), "wind", words) + "\n",
    }
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / DATA_NAME, folder / PICTURE_NAME
