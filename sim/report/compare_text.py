"""Crafts side by side, as plain text for a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.compare import Comparison
from sim.report.cautions import DISCLAIMER
from sim.report.compare_content import (
    answers_table,
    contents,
    figures_tables,
    masses,
    pair_sentences,
    pair_tables,
    subtitle,
)
from sim.report.terminal import printable, shown_text, table_grid


def compare_text(comparison: Comparison, console: Console) -> str:
    """Write a comparison as the console would show it.

    Parameters
    ----------
    comparison : Comparison
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    told = contents(comparison)
    with console.capture() as captured:
        console.print(Text(subtitle(comparison)))
        console.print(Text(printable(comparison.decides), "bold"))
        console.print()
        for line in (*masses(comparison), *pair_sentences(comparison)):
            console.print(Text(f"- {printable(line)}"))
        for table in (answers_table(told), *pair_tables(comparison), *figures_tables(told)):
            console.print()
            console.print(Text(table.caption, "bold"))
            console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())
