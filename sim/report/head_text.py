"""The answer of `gustworthy head` as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.head_map import HeadMap
from sim.report.cautions import DISCLAIMER
from sim.report.head_tables import all_tables
from sim.report.head_words import head_findings, head_verdict, wind_words
from sim.report.terminal import printable, shown_text, table_grid


def head_subtitle(answer: HeadMap) -> str:
    """Give scenario and wind in one line."""
    return f"{answer.scenario.spec.name}, mean wind {wind_words(answer)}"


def head_text(answer: HeadMap, console: Console) -> str:
    """Write everything as text, as the console would show it.

    Parameters
    ----------
    answer : HeadMap
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
        console.print(Text(printable(head_subtitle(answer))))
        console.print(Text(f"{verdict}. {head_verdict(answer)}.", style))
        for warning in answer.craft.warnings:
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for finding in head_findings(answer):
            console.print(Text(f"- {printable(finding)}"))
        for table in all_tables(answer):
            console.print()
            console.print(Text(table.caption, "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
