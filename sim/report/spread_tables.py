"""The tables of `gustworthy spread`: figures, gates, unknowns, measurements, what is left."""

from __future__ import annotations

from typing import Final

from sim.analysis.mass_guard import GuardRow
from sim.analysis.measurement_value import WRONG_ENOUGH
from sim.analysis.spread_result import FigureImportance, SpreadAnswer
from sim.report.number_text import MISSING, fixed, percent
from sim.report.section import Table, TableRow, standing
from sim.report.spread_words import (
    accuracy_text,
    amount_text,
    change_text,
    figure_label,
    index_text,
    left_text,
    limit_text,
    share_range,
    shown_as,
)

LEAST_SHOWN: Final = 0.01
MOST_SHOWN: Final = 3
MEASUREMENTS_SHOWN: Final = 4


def spread_tables(answer: SpreadAnswer) -> tuple[Table, ...]:
    """Give every table that there is something to show in."""
    tables = [figure_table(answer), gate_table(answer), importance_table(answer)]
    if answer.measurements:
        tables.append(measurement_table(answer))
    if answer.guard:
        tables.append(guard_table(answer))
    return tuple(tables)


def figure_table(answer: SpreadAnswer) -> Table:
    """Give the distribution of every headline figure."""
    rows = []
    for entry in answer.distributions:
        if not entry.figure.is_shown:
            continue
        number = shown_as(entry.figure).number
        rows.append(
            TableRow(
                (
                    figure_label(entry.figure),
                    number(entry.as_written),
                    _end(number(entry.low)),
                    _end(number(entry.median)),
                    _end(number(entry.high)),
                    str(entry.missing) if entry.missing else "",
                )
            )
        )
    caption = (
        f"Headline figures of {len(answer.headlines)} crafts; 'none' and the last column: crafts"
        " that do not have the figure, at the bad end"
    )
    columns = ("figure", "as written", "5 %", "median", "95 %", "none")
    return Table(caption, columns, tuple(rows))


def _end(number: str) -> str:
    return "none" if number == MISSING else number


def gate_table(answer: SpreadAnswer) -> Table:
    """Give the chance of passing every gate."""
    rows = []
    for chance in (*answer.chances, answer.all_gates):
        name = "everything" if chance.gate is None else chance.gate.name
        limit = "" if chance.gate is None else limit_text(chance.gate)
        rows.append(
            TableRow(
                (
                    name,
                    limit,
                    f"{chance.passes} of {chance.crafts}",
                    share_range(chance.lower, chance.upper),
                ),
                standing(chance.as_written),
            )
        )
    return Table(
        "Gates: crafts that pass, the chance of passing with 95 % confidence, and how the craft as"
        " written does",
        ("gate", "asks", "pass", "chance"),
        tuple(rows),
        judged=True,
    )


def importance_table(answer: SpreadAnswer) -> Table:
    """Give what every headline figure depends on."""
    rows = [
        TableRow((entry.figure.name, _fit(entry), _told(entry)))
        for entry in answer.importance
        if entry.figure.is_shown
    ]
    return Table(
        "What each figure depends on: share of its variance that an unknown causes, alone or with"
        " others (total Sobol index, with its 95 % interval)",
        ("figure", "fit, %", "most of it comes from"),
        tuple(rows),
    )


def _fit(entry: FigureImportance) -> str:
    return "" if entry.r_squared is None else percent(max(entry.r_squared, 0.0))


def _told(entry: FigureImportance) -> str:
    if entry.why_not:
        return f"not told: {entry.why_not}"
    shown = [pair for pair in entry.told if pair[1].total >= LEAST_SHOWN][:MOST_SHOWN]
    if not shown:
        return "not told: nothing stands out from chance"
    return "; ".join(f"{figure.name} {index_text(indices)}" for figure, indices in shown)


def measurement_table(answer: SpreadAnswer) -> Table:
    """Give the measurements that are worth most."""
    limiting = answer.limiting
    assert limiting is not None
    shown = shown_as(limiting)
    found = answer.measurements[:MEASUREMENTS_SHOWN]
    judged = found[0].wrong_before >= WRONG_ENOUGH
    places = shown.places + 1

    def deviation(value: float) -> str:
        return fixed(shown.factor * value, places)

    rows = []
    for value in found:
        effect = f"{deviation(value.deviation_before)} to {deviation(value.deviation_after)}"
        if judged:
            effect = f"{percent(value.wrong_before, 1)} to {percent(value.wrong_after, 1)} %"
        words = f"{value.measurement.words}, to {accuracy_text(value)}"
        rows.append(TableRow((value.figure.name, words, effect)))
    unit = f", {shown.unit}" if shown.unit else ""
    what = "chance of a wrong verdict" if judged else f"deviation of {limiting.name}{unit}"
    return Table(
        "What a measurement would be worth, most first", ("unknown", "measure", what), tuple(rows)
    )


def guard_table(answer: SpreadAnswer) -> Table:
    """Give what weight and what shift of the CG is left."""
    return Table(
        "Left before each gate fails, nothing set up again; CG: of the craft with its fabric",
        ("change", "left", "fails first", "then"),
        tuple(_guard_row(row) for row in answer.guard),
    )


def _guard_row(row: GuardRow) -> TableRow:
    first = row.first
    name = change_text(row.change)
    if first is None:
        return TableRow((name, f"over {amount_text(row.change, row.tried)}", "nothing", ""))
    failing = [one for one in row.left if one.amount is not None]
    failing.sort(key=lambda one: one.amount or 0.0)
    together = [one for one in failing if one.amount == first.amount]
    later = [one for one in failing if one.amount != first.amount]
    return TableRow(
        (
            name,
            amount_text(row.change, first.amount),
            ", ".join(one.gate.name for one in together),
            "; ".join(left_text(row, one) for one in later),
        )
    )
