"""The answer of `gustworthy tune` as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.tune import TuneResult
from sim.report.cautions import DISCLAIMER
from sim.report.terminal import printable, shown_text, table_grid
from sim.report.tune_content import (
    hand_plan_words,
    tune_assumptions,
    tune_findings,
    tune_subtitle,
    tune_verdict,
)
from sim.report.tune_tables import all_tables


def tune_text(result: TuneResult, console: Console) -> str:
    """Write everything as text, as the console would show it.

    Parameters
    ----------
    result : TuneResult
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    verdict = "Passes" if result.passes else "Does not pass"
    style = "green" if result.passes else "bold red"
    with console.capture() as captured:
        console.print(Text(printable(result.craft.spec.name), "bold"))
        console.print(Text(printable(tune_subtitle(result))))
        console.print(Text(f"{verdict}. {printable(tune_verdict(result))}.", style))
        for warning in (*result.craft.warnings, *result.scenario.warnings):
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for finding in tune_findings(result):
            console.print(Text(f"- {printable(finding)}"))
        for table in all_tables(result):
            console.print()
            console.print(Text(printable(table.caption), "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        for head, items in (
            ("On the day", hand_plan_words()),
            ("How we know", tune_assumptions(result)),
        ):
            console.print()
            console.print(Text(head, "bold"))
            for item in items:
                console.print(Text(f"- {printable(item)}"))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
