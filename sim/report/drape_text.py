"""The answer of `gustworthy drape` as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.drape_answer import DrapeAnswer
from sim.report.cautions import DISCLAIMER
from sim.report.drape_content import (
    drape_assumptions,
    drape_findings,
    drape_subtitle,
    drape_verdict,
)
from sim.report.drape_tables import all_tables
from sim.report.terminal import printable, shown_text, table_grid


def drape_text(answer: DrapeAnswer, console: Console) -> str:
    """Write everything as text, as the console would show it.

    Parameters
    ----------
    answer : DrapeAnswer
        As found.
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
        console.print(Text(printable(drape_subtitle(answer))))
        console.print(Text(f"{verdict}. {printable(drape_verdict(answer))}.", style))
        for warning in (*answer.craft.warnings, *answer.scenario.warnings):
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for finding in drape_findings(answer):
            console.print(Text(f"- {printable(finding)}"))
        for table in all_tables(answer):
            console.print()
            console.print(Text(printable(table.caption), "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text("How we know", "bold"))
        for item in drape_assumptions(answer):
            console.print(Text(f"- {printable(item)}"))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
