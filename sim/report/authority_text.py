"""The answer of `gustworthy authority` as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.authority_study import AuthorityStudy
from sim.report.authority_content import (
    authority_assumptions,
    authority_findings,
    authority_remedy,
    authority_subtitle,
    authority_verdict,
)
from sim.report.authority_tables import all_tables
from sim.report.cautions import DISCLAIMER
from sim.report.terminal import printable, shown_text, table_grid


def authority_text(study: AuthorityStudy, console: Console) -> str:
    """Write everything as text, as the console would show it.

    Parameters
    ----------
    study : AuthorityStudy
        As found.
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    verdict = "Passes" if study.passes else "Does not pass"
    style = "green" if study.passes else "bold red"
    remedy = authority_remedy(study)
    with console.capture() as captured:
        console.print(Text(printable(study.craft.spec.name), "bold"))
        console.print(Text(printable(authority_subtitle(study))))
        console.print(Text(f"{verdict}. {printable(authority_verdict(study))}.", style))
        if remedy:
            console.print(Text(f"What to do: {remedy}"))
        for warning in (*study.craft.warnings, *study.scenario.warnings):
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for finding in authority_findings(study):
            console.print(Text(f"- {printable(finding)}"))
        for table in all_tables(study):
            console.print()
            console.print(Text(printable(table.caption), "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text("How we know", "bold"))
        for item in authority_assumptions(study):
            console.print(Text(f"- {printable(item)}"))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
