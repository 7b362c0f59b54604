"""Question 5 in words: what is unsure, and what to measure next."""

from __future__ import annotations

from dataclasses import replace

from sim.analysis.check_result import CheckResult, Unknown
from sim.analysis.spread_result import SpreadAnswer
from sim.report.number_text import capital, digits, percent
from sim.report.section import Picture, Section, Standing, Table, TableRow, standing
from sim.report.spread_content import spread_assumptions, spread_findings, spread_pictures
from sim.report.spread_tables import gate_table, spread_tables
from sim.report.used_defaults import used_defaults


def unsure_section(result: CheckResult) -> Section:
    """Answer the fifth question.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    Section
        The answer as data.
    """
    if result.spread is not None:
        return _sampled_section(result, result.spread)
    unknowns = result.unknowns
    return Section(
        key="unsure",
        question="What am I unsure of?",
        standing=Standing.PLAIN,
        answer=_answer(unknowns),
        remedy=f"Next, {unknowns[0].measurement.rstrip('.')}." if unknowns else "",
        tables=(_table(unknowns),) if unknowns else (),
        pictures=(_picture(unknowns),) if unknowns else (),
        assumptions=(
            "Each unknown is moved by its spread alone, all others held; spreads are about two"
            " standard deviations (the truth lies within 19 times out of 20).",
        )
        if unknowns
        else (),
        provenance=_left_out(result),
        defaults=used_defaults(result.craft, result.scenario, "unsure"),
    )


def _sampled_section(result: CheckResult, spread: SpreadAnswer) -> Section:
    """Answer from crafts in which all that is unsure varies at once."""
    asked = result.scenario.spec.limits.success
    words = (
        f"{spread.all_gates.passes} of {spread.all_gates.crafts} crafts within the spreads of the"
        f" file pass every gate but the gusts; at least {percent(spread.sure, 1)} % of such crafts"
        f" surely would, {percent(asked)} % are asked for."
    )
    findings = spread_findings(spread)
    return Section(
        key="unsure",
        question="What am I unsure of?",
        standing=standing(spread.passes),
        answer=" ".join((words, *findings)),
        tables=_sampled_tables(result, spread),
        pictures=spread_pictures(spread),
        assumptions=spread_assumptions(spread),
        provenance=_left_out(result),
        defaults=used_defaults(result.craft, result.scenario, "unsure"),
    )


def _sampled_tables(result: CheckResult, spread: SpreadAnswer) -> tuple[Table, ...]:
    """Give the gates, and folded what `gustworthy spread` shows in full."""
    gates = gate_table(spread)
    others = [table for table in spread_tables(spread) if table.caption != gates.caption]
    if result.unknowns:
        others.append(_table(result.unknowns))
    return (gates, *(replace(table, folded=True) for table in others))


def _left_out(result: CheckResult) -> tuple[str, ...]:
    return (
        f"{len(result.craft.defaults)} values were left out of the craft file; each stands with"
        " what was taken for it under the question that uses it.",
    )


def effect_text(unknown: Unknown) -> str:
    """Say how far an unknown moves a figure.

    Parameters
    ----------
    unknown : Unknown
        One of them.

    Returns
    -------
    str
        Such as "wind limit by 0.6 m/s".
    """
    return f"{unknown.effect_on} by {digits(abs(unknown.effect), 2)} {unknown.unit}".rstrip()


def _answer(unknowns: tuple[Unknown, ...]) -> str:
    if not unknowns:
        return (
            "No spread was given or estimated for any figure of this craft, so nothing can be said;"
            " write plus_minus beside what you are unsure of."
        )
    first = unknowns[0]
    words = f"Most of all of {first.name} ({first.plus_minus}), which moves {effect_text(first)}."
    if len(unknowns) > 1:
        second = unknowns[1]
        words += f" Next comes {second.name}, which moves {effect_text(second)}."
    return words


def _picture(unknowns: tuple[Unknown, ...]) -> Picture:
    return Picture(
        "unsure",
        "What each unknown moves, by its spread alone",
        f"{capital(unknowns[0].name)} moves most: {effect_text(unknowns[0])}.",
    )


def _table(unknowns: tuple[Unknown, ...]) -> Table:
    return Table(
        caption="What is unsure, what it moves, and what would settle it, the largest effect first",
        columns=("unsure", "by", "moves", "measure"),
        rows=tuple(
            TableRow(
                (
                    capital(unknown.name),
                    unknown.plus_minus,
                    effect_text(unknown),
                    unknown.measurement,
                )
            )
            for unknown in unknowns
        ),
    )
