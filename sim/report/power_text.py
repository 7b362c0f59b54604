"""The answer of `gustworthy power` as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.power_answer import PowerAnswer
from sim.report.cautions import DISCLAIMER
from sim.report.power_content import power_findings, power_subtitle, power_verdict
from sim.report.power_tables import all_tables, lift_readings
from sim.report.section import Table, TableRow
from sim.report.terminal import printable, shown_text, table_grid


def readings_table(answer: PowerAnswer) -> Table:
    """Give the figures of lifting as a table."""
    return Table(
        "Will it lift, and for how long",
        ("figure", "value", "limit"),
        tuple(
            TableRow((row.label, row.text, row.limit), row.standing)
            for row in lift_readings(answer)
        ),
        judged=True,
    )


def power_text(answer: PowerAnswer, console: Console) -> str:
    """Write everything as text, as the console would show it.

    Parameters
    ----------
    answer : PowerAnswer
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    verdict = "Passes" if answer.passes else "Does not pass"
    style = "green" if answer.passes else "bold red"
    with console.capture() as captured:
        console.print(Text(printable(answer.craft.spec.name), "bold"))
        console.print(Text(power_subtitle(answer)))
        console.print(Text(f"{verdict}. {power_verdict(answer)}.", style))
        for warning in answer.craft.warnings:
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for finding in power_findings(answer):
            console.print(Text(f"- {printable(finding)}"))
        for table in (readings_table(answer), *all_tables(answer)):
            console.print()
            console.print(Text(table.caption, "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
