"""Many flights as text, as JSON and as a table with one line for each flight."""

from __future__ import annotations

import contextlib
import math
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import numpy as np
from rich.console import Console
from rich.text import Text

from sim.analysis.fly_study import FlownStudy
from sim.analysis.study_summary import LEVELS, Measure, StudySummary
from sim.flight.outcome import STOP_WORDS
from sim.flight.rows import COLUMNS, ROW_TYPE, Rows
from sim.report.as_json import FORMAT_VERSION, file_data, plain_data
from sim.report.flight_rules import flight_rules
from sim.report.number_text import degrees, digits, fixed, listed, percent
from sim.report.section import Table, TableRow
from sim.report.terminal import printable, shown_text, table_grid
from sim.report.wind_tables import direction_words
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.scenario import LimitsSpec

_MOST_NAMED: Final = 5
_SHARE: Final = "share_"
_WORDS: Final = {
    "time_s": "flown",
    "most_tilt_rad": "steepest lean",
    "most_drift_m": "farthest from its place",
    "most_height_loss_m": "lowest below its height",
    "most_current_a": "highest current",
    "least_clearance_m": "fabric to a rotor disc, least",
    "hardest_touchdown_m_s": "hardest touch-down",
    "energy_j": "energy taken from the pack",
}
_WORST_IS_LEAST: Final = {"least_clearance_m", "time_s"}


def passes(summary: StudySummary, limits: LimitsSpec) -> bool:
    """Tell whether the share asked is reached: the two-sided lower bound is at least that."""
    return summary.bounds.lower >= limits.success


def study_text(
    flown: FlownStudy, craft: LoadedCraft, scenario: LoadedScenario, console: Console
) -> str:
    """Tell many flights in words.

    Parameters
    ----------
    flown : FlownStudy
    craft, scenario : LoadedCraft, LoadedScenario
        What flew, and how.
    console : Console
        From `sim.report.terminal.make_console`.
    """
    summary, spec = flown.summary, scenario.spec
    with console.capture() as captured:
        console.print(Text(f"{printable(craft.spec.name)}: {printable(spec.name)}", "bold"))
        for sentence in _sentences(summary, scenario):
            console.print(Text(sentence))
        for table in (_measures_table(summary), _causes_table(summary, scenario)):
            if table.rows:
                console.print()
                console.print(Text(table.caption))
                console.print(table_grid(table))
        console.print()
        console.print(Text(flight_rules(spec)))
    return shown_text(captured.get())


def _sentences(summary: StudySummary, scenario: LoadedScenario) -> Iterator[str]:
    spec = scenario.spec
    limits = spec.limits
    yield (
        f"{summary.successes} of {summary.flights} flights succeeded in"
        f" {fixed(spec.wind.mean_m_s, 1)} m/s from {direction_words(spec.wind.from_rad)}: with"
        f" {percent(limits.confidence)} % confidence between {percent(summary.bounds.lower, 1)} and"
        f" {percent(summary.bounds.upper, 1)} % do (exact binomial bounds);"
        f" {percent(limits.success)} % are asked."
    )
    ends = [f"{STOP_WORDS[stop]} ({count})" for stop, count in summary.stops]
    yield f"How they ended: {', '.join(ends)}."
    if summary.broken_flights:
        named = [str(flight) for flight in summary.broken[:_MOST_NAMED]]
        more = summary.broken_flights - len(named)
        rest = [f"{more} more"] if more else []
        yield (
            f"Flights that broke down in computation: {listed([*named, *rest])}. They count as"
            " failed and into no mean."
        )


def _measures_table(summary: StudySummary) -> Table:
    shown = [m for m in summary.measures if m.column.name in _WORDS]
    shown += [m for m in summary.measures if m.column.name.startswith(_SHARE) and m.most > 0.0]
    caption = (
        "Over the flights; 9 of 10 lie between the middle columns; the last names the flight that"
        " was worst"
    )
    if summary.quantile_flights < summary.flights - summary.broken_flights:
        caption += f" (medians and shares of the first {summary.quantile_flights})"
    columns = ("figure", "mean", "spread", "median", "9 of 10 from", "to", "worst", "flight")
    return Table(caption, columns, tuple(_measure_row(measure) for measure in shown))


def _measure_row(measure: Measure) -> TableRow:
    name, unit = measure.column.name, measure.column.unit
    write: Callable[[float], str]
    if name.startswith(_SHARE):
        label = "on the limit: " if "in_own_wake" not in name and "off_map" not in name else ""
        label += name.removeprefix(_SHARE).replace("_", " ") + ", % of the time"

        def write(value: float) -> str:
            return percent(value, 1)
    elif unit == "rad":
        label = f"{_WORDS[name]}, deg"

        def write(value: float) -> str:
            return degrees(value, 1)
    else:
        label = f"{_WORDS[name]}, {unit}"

        def write(value: float) -> str:
            return digits(value)

    least = name in _WORST_IS_LEAST
    worst = measure.least if least else measure.most
    flight = measure.least_flight if least else measure.most_flight
    low, middle, high = measure.quantiles
    spread = "-" if math.isnan(measure.deviation) else write(measure.deviation)
    cells = (write(measure.mean), spread, write(middle), write(low), write(high), write(worst))
    return TableRow((label, *cells, str(flight)))


def _causes_table(summary: StudySummary, scenario: LoadedScenario) -> Table:
    rows = tuple(
        TableRow((cause.words, str(cause.flights), f"--flight {cause.flight}"))
        for cause in summary.causes
    )
    caption = (
        "Why flights failed, and how to see one again with 'gustworthy fly' or 'gustworthy replay'"
        f" (seed {scenario.spec.seed})"
    )
    return Table(caption, ("cause", "flights", "see one"), rows)


def study_data(flown: FlownStudy, craft: LoadedCraft, scenario: LoadedScenario) -> dict[str, Any]:
    """Give many flights as plain data: what `gustworthy fly --flights N --format json` prints.

    Parameters
    ----------
    flown : FlownStudy
    craft, scenario : LoadedCraft, LoadedScenario
        What flew, and how.
    """
    summary, spec = flown.summary, scenario.spec
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "craft": file_data(craft, layout=craft.spec.layout),
            "scenario": file_data(scenario, wind_m_s=spec.wind.mean_m_s),
            "wind_from_rad": spec.wind.from_rad,
            "seed": spec.seed,
            "flights": summary.flights,
            "succeeded": summary.successes,
            "confidence": spec.limits.confidence,
            "lower": summary.bounds.lower,
            "upper": summary.bounds.upper,
            "asked": spec.limits.success,
            "passes": passes(summary, spec.limits),
            "ends": {STOP_WORDS[stop]: count for stop, count in summary.stops},
            "causes": [
                {"cause": cause.words, "flights": cause.flights, "flight": cause.flight}
                for cause in summary.causes
            ],
            "not_finite": {"flights": summary.broken_flights, "first": list(summary.broken)},
            "quantiles_of_flights": summary.quantile_flights,
            "measures": {m.column.name: _measure_data(m) for m in summary.measures},
        }
    )


def _measure_data(measure: Measure) -> dict[str, Any]:
    return {
        "unit": measure.column.unit,
        "flights": measure.count,
        "mean": measure.mean,
        "deviation": measure.deviation,
        "least": measure.least,
        "least_flight": measure.least_flight,
        "most": measure.most,
        "most_flight": measure.most_flight,
        "quantiles": {
            f"{level:g}": value for level, value in zip(LEVELS, measure.quantiles, strict=True)
        },
    }


@contextmanager
def rows_as_csv(path: Path | None) -> Iterator[Callable[[Rows], None] | None]:
    """Write one line for each flight while they come; the file has its name once it is whole.

    Parameters
    ----------
    path : Path or None
        None writes nothing.

    Yields
    ------
    callable or None
        Takes rows.
    """
    if path is None:
        yield None
        return
    names = [column.name for column in COLUMNS]
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.part")
    form = ["%d" if ROW_TYPE[name].kind == "i" else "%.9g" for name in names]
    try:
        with unfinished.open("w", encoding="utf-8", newline="\n") as stream:
            stream.write(",".join(names) + "\n")

            def write(rows: Rows) -> None:
                np.savetxt(stream, rows[names], fmt=form, delimiter=",")

            yield write
            stream.flush()
            os.fsync(stream.fileno())
        unfinished.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)
        raise
