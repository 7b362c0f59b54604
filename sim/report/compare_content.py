"""Crafts side by side as tables and sentences."""

from __future__ import annotations

from typing import Final

from sim.analysis.compare import Comparison
from sim.analysis.paired_flights import PairedLimits
from sim.report.content import report_content
from sim.report.number_text import digits, fixed
from sim.report.section import ReportContent, Standing, Table, TableRow

_PERCENT: Final = 100.0
_NOT_THERE: Final = ""
_CUT: Final = (
    " One of the two curves ends outside of the winds flown, so that the true difference may be"
    " larger than these figures."
)


def contents(comparison: Comparison) -> tuple[ReportContent, ...]:
    """Give the report of every craft, as `check` words it."""
    return tuple(report_content(result) for result in comparison.results)


def subtitle(comparison: Comparison) -> str:
    """Say on which day the crafts are compared."""
    first = comparison.results[0]
    count = len(comparison.results)
    return f"{count} crafts in the scenario {first.scenario.spec.name!r}, the same gusts for all"


def answers_table(told: tuple[ReportContent, ...]) -> Table:
    """Give the six standings of every craft, and its verdict."""
    rows = [
        TableRow(
            (
                section.question,
                *(_standing_word(one.sections[k].standing) for one in told),
            )
        )
        for k, section in enumerate(told[0].sections)
    ]
    rows.append(TableRow(("verdict", *(_verdict_word(one) for one in told))))
    return Table("The six answers", ("question", *(one.title for one in told)), tuple(rows))


def _standing_word(standing: Standing) -> str:
    return standing.value or "no judgement"


def _verdict_word(told: ReportContent) -> str:
    return "passes" if told.passes else "does not pass"


def figures_tables(told: tuple[ReportContent, ...]) -> tuple[Table, ...]:
    """Give the figures of each question side by side; a figure that a craft lacks stays empty."""
    tables = []
    for k, section in enumerate(told[0].sections):
        labels: list[str] = []
        for one in told:
            labels += [row.label for row in one.sections[k].readings if row.label not in labels]
        if not labels:
            continue
        by_craft = [{row.label: row.text for row in one.sections[k].readings} for one in told]
        rows = tuple(
            TableRow((label, *(texts.get(label, _NOT_THERE) for texts in by_craft)))
            for label in labels
        )
        tables.append(Table(section.question, ("figure", *(one.title for one in told)), rows))
    return tuple(tables)


def pair_tables(comparison: Comparison) -> tuple[Table, ...]:
    """Give the paired flights of each craft against the first."""
    names = [result.craft.spec.name for result in comparison.results]
    return tuple(
        _pair_table(names[0], names[i], pair)
        for i, pair in enumerate(comparison.pairs, 1)
        if pair is not None
    )


def _pair_table(first: str, second: str, pair: PairedLimits) -> Table:
    rows = tuple(
        TableRow(
            (
                f"{fixed(wind, 1)} m/s",
                f"{100 * a / pair.flights:.0f} %",
                f"{100 * b / pair.flights:.0f} %",
            )
        )
        for wind, a, b in zip(
            pair.winds_m_s, pair.first_successes, pair.second_successes, strict=True
        )
    )
    caption = f"Flights that succeed, {pair.flights} in each wind, the same gusts for both"
    return Table(caption, ("forecast", first, second), rows)


def pair_sentences(comparison: Comparison) -> tuple[str, ...]:
    """Say for each craft by how much it bears more or less wind than the first."""
    names = [result.craft.spec.name for result in comparison.results]
    asked = comparison.results[0].scenario.spec.limits.success
    said = []
    for i, pair in enumerate(comparison.pairs, 1):
        if pair is None:
            said.append(f"{names[i]} and {names[0]} were not flown against each other: one cannot.")
            continue
        direction = "more" if pair.difference_m_s >= 0.0 else "less"
        interval = (
            f"{_PERCENT * pair.confidence:.0f} % interval {fixed(pair.low_m_s, 1)} to"
            f" {fixed(pair.high_m_s, 1)} m/s"
        )
        cut = _CUT if pair.is_cut else ""
        said.append(
            f"{_PERCENT * asked:.0f} of 100 flights of {names[i]} succeed up to a forecast of about"
            f" {fixed(pair.second_m_s, 1)} m/s, of {names[0]} up to {fixed(pair.first_m_s, 1)} m/s:"
            f" {fixed(abs(pair.difference_m_s), 1)} m/s {direction} ({interval} of the difference,"
            f" by {pair.flights} paired flights in each wind).{cut}"
        )
    return tuple(said)


def masses(comparison: Comparison) -> tuple[str, ...]:
    """Give each craft in a line: layout and mass."""
    return tuple(
        f"{result.craft.spec.name}: {result.craft.spec.layout},"
        f" {digits(result.mass.mass_kg)} kg. {told.verdict}."
        for result, told in zip(comparison.results, contents(comparison), strict=True)
    )
