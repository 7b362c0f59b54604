"""The report as plain text for a terminal: 80 columns, and no colour where none is wanted."""

from __future__ import annotations

from typing import IO, Final

from rich.console import Console
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

from sim.report.section import Reading, ReportContent, Section, Standing, Table

WIDTH: Final = 80
_WIDEST: Final = 100
_INDENT: Final = 3
_STYLES: Final = {
    Standing.PASSES: "green",
    Standing.FAILS: "bold red",
    Standing.UNKNOWN: "yellow",
    Standing.PLAIN: "",
}


def make_console(stream: IO[str]) -> Console:
    """Make a console that writes plain text to anything that is no terminal.

    Parameters
    ----------
    stream : text stream
        Such as standard output.

    Returns
    -------
    Console
        80 columns wide where it is piped; it leaves colour out there and where NO_COLOR is set.
    """
    console = Console(file=stream, highlight=False, markup=False, emoji=False)
    console.width = min(console.width, _WIDEST) if console.is_terminal else WIDTH
    return console


def printable(words: str) -> str:
    """Take out what would steer a terminal instead of being shown.

    Parameters
    ----------
    words : str
        Any text, such as a craft's name.

    Returns
    -------
    str
        The text with a question mark for every control character.
    """
    return "".join(letter if letter.isprintable() else "?" for letter in words)


def report_text(content: ReportContent, console: Console) -> str:
    """Write verdict and six answers as text, as the console would show them.

    Parameters
    ----------
    content : ReportContent
        Everything that is shown.
    console : Console
        From `make_console`.

    Returns
    -------
    str
        Lines without spaces at their ends.
    """
    with console.capture() as captured:
        _write_all(content, console)
    return shown_text(captured.get())


def shown_text(captured: str) -> str:
    """Take the spaces off the ends of lines.

    Parameters
    ----------
    captured : str
        What a console would have shown.

    Returns
    -------
    str
        The same lines.
    """
    return "\n".join(line.rstrip() for line in captured.splitlines()) + "\n"


def _write_all(content: ReportContent, console: Console) -> None:
    console.print(Text(printable(content.title), "bold"))
    console.print(Text(printable(content.subtitle)))
    _write_verdict(content, console)
    for warning in content.warnings:
        console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
    for number, section in enumerate(content.sections, 1):
        _write_section(number, section, console)
    console.print()
    console.print(Text("Not modelled yet", "bold"))
    for item in content.not_modelled:
        _write_item(item, console)
    console.print()
    _write_verdict(content, console)
    console.print(Text(content.disclaimer))


def _write_verdict(content: ReportContent, console: Console) -> None:
    style = _STYLES[Standing.PASSES if content.passes else Standing.FAILS]
    start = "Passes" if content.passes else "Does not pass"
    console.print(Text(f"{start}. {printable(content.verdict)}.", style))


def _write_section(number: int, section: Section, console: Console) -> None:
    console.print()
    head = Grid.grid(expand=True)
    head.add_column(ratio=1)
    head.add_column(justify="right", no_wrap=True)
    head.add_row(
        Text(f"{number}. {section.question}", "bold"),
        Text(section.standing.value, _STYLES[section.standing]),
    )
    console.print(head)
    _write_indented(section.answer, console)
    if section.remedy:
        _write_indented(f"What to do: {section.remedy}", console)
    if section.readings:
        console.print()
        console.print(Padding(_readings_grid(section.readings), (0, 0, 0, _INDENT)))
    for table in section.tables:
        if not table.folded:
            console.print()
            _write_indented(table.caption, console)
            console.print(Padding(table_grid(table), (0, 0, 0, _INDENT)))
    if section.cautions:
        console.print()
        _write_indented("Beware", console)
        for caution in section.cautions:
            _write_item(caution, console)


def _write_indented(words: str, console: Console) -> None:
    console.print(Padding(Text(printable(words)), (0, 0, 0, _INDENT)))


def _write_item(words: str, console: Console) -> None:
    item = Grid.grid(padding=(0, 1, 0, 0))
    item.add_row(Text("-"), Text(printable(words)))
    console.print(Padding(item, (0, 0, 0, _INDENT)))


def _readings_grid(readings: tuple[Reading, ...]) -> Grid:
    grid = Grid.grid(padding=(0, 2, 0, 0))
    grid.add_column(max_width=34)
    grid.add_column(no_wrap=True)
    grid.add_column()
    grid.add_column(no_wrap=True)
    for row in readings:
        grid.add_row(
            Text(printable(row.label)),
            Text(row.text),
            Text(printable(row.limit)),
            Text(row.standing.value, _STYLES[row.standing]),
        )
    return grid


def table_grid(table: Table) -> Grid:
    """Lay a table out for a console.

    Parameters
    ----------
    table : Table
        Any.

    Returns
    -------
    Grid
        To be printed.
    """
    grid = Grid(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="underline")
    for column in table.columns:
        grid.add_column(Text(column), overflow="fold")
    if table.judged:
        grid.add_column(Text("judged"), no_wrap=True)
    for row in table.rows:
        cells = [Text(printable(cell)) for cell in row.cells]
        if table.judged:
            cells.append(Text(row.standing.value, _STYLES[row.standing]))
        grid.add_row(*cells)
    return grid
