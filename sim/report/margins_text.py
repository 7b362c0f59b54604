"""The answer of `gustworthy margins` as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.margin_study import MarginStudy
from sim.report.cautions import DISCLAIMER
from sim.report.margins_content import (
    margins_findings,
    margins_subtitle,
    margins_tables,
    margins_verdict,
)
from sim.report.terminal import printable, shown_text, table_grid


def margins_text(study: MarginStudy, console: Console) -> str:
    """Write everything as text, as the console would show it.

    Parameters
    ----------
    study : MarginStudy
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    verdict = "Passes" if study.passes else "Does not pass"
    style = "green" if study.passes else "bold red"
    with console.capture() as captured:
        console.print(Text(printable(study.craft.spec.name), "bold"))
        console.print(Text(printable(margins_subtitle(study))))
        console.print(Text(f"{verdict}. {margins_verdict(study)}.", style))
        for warning in study.craft.warnings:
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for finding in margins_findings(study):
            console.print(Text(f"- {printable(finding)}"))
        for table in margins_tables(study):
            console.print()
            console.print(Text(table.caption, "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
