"""The answer of `gustworthy spread` as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.spread_result import SpreadAnswer
from sim.report.cautions import DISCLAIMER
from sim.report.spread_content import (
    spread_assumptions,
    spread_findings,
    spread_subtitle,
    spread_verdict,
)
from sim.report.spread_tables import spread_tables
from sim.report.terminal import printable, shown_text, table_grid


def spread_text(answer: SpreadAnswer, console: Console) -> str:
    """Write everything as text, as the console would show it.

    Parameters
    ----------
    answer : SpreadAnswer
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
        console.print(Text(printable(spread_subtitle(answer))))
        console.print(Text(f"{verdict}. {spread_verdict(answer)}.", style))
        for warning in answer.craft.warnings:
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for finding in spread_findings(answer):
            console.print(Text(f"- {printable(finding)}"))
        for table in spread_tables(answer):
            console.print()
            console.print(Text(table.caption, "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text("What this rests on", "bold"))
        for words in spread_assumptions(answer):
            console.print(Text(f"- {words}"))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
