"""The command `head`: how heavy and how high a head may be, and how to carry more."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_folder
from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.analysis.head_map import HeadRange
    from sim.spec.files import LoadedCraft

_MOST_NODES: Final = 40
_FEWEST_COLUMNS: Final = 2
_PAIR: Final = 2


@click.command(short_help="Map which heads pass by mass and height, and how to carry more.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--masses",
    default="",
    help="Least and most mass of the map, such as '200 g, 1.2 kg'.  [default: from the craft]",
)
@click.option(
    "--heights",
    default="",
    help="Lowest and highest place of the head, up of the file's origin, such as '5 cm, 45 cm'."
    "  [default: 20 cm about the head's own]",
)
@click.option(
    "--grid",
    default="7x5",
    show_default=True,
    help="Masses by heights of the map; fewer are quicker.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for head.html and head.json; without it nothing is written.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: tables for people, or the same as JSON.",
)
@click.pass_context
def head(
    ctx: click.Context,
    craft: Path,
    scenario: Path | None,
    masses: str,
    heights: str,
    grid: str,
    out: Path | None,
    form: str,
) -> None:
    """Show how heavy and how high a head the craft in the file CRAFT carries.

    Every head is taken through lift, pitch authority, margins and the day's wind; the first that
    gives out is marked. For a head that is too much, it says how far to lower the pack, raise or
    spread the rotors, and runs the craft so changed again.
    """
    # The matrices of a hover trim are so small that sharing them out costs more than it saves.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    faults: list[Fault] = []
    loaded_craft, loaded_scenario = None, None
    try:
        loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
        faults += _faults_of_head(loaded_craft, craft)
    except InputFaults as found:
        faults += found.faults
    wanted = _wanted(masses, heights, grid, faults)
    try:
        if out is not None:
            refuse_folder(out)
    except InputFaults as found:
        faults += found.faults
    if faults or loaded_craft is None or loaded_scenario is None:
        raise InputFaults(tuple(faults))

    from sim.analysis.head_map import head_map  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        answer = head_map(loaded_craft, loaded_scenario, wanted, progress=progress)
    if out is not None:
        from sim.report.head_files import write_head_files  # noqa: PLC0415

        for path in write_head_files(answer, out):
            click.echo(f"Written: {path}", err=True)
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.head_data import head_data  # noqa: PLC0415

        click.echo(json_text(head_data(answer)), nl=False)
    else:
        from sim.report.head_text import head_text  # noqa: PLC0415
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(head_text(answer, make_console(sys.stdout)), nl=False)
    click.echo(f"Computed in {answer.seconds:.1f} s.", err=True)
    ctx.exit(0 if answer.passes else 1)


def _faults_of_head(craft: LoadedCraft, path: Path) -> list[Fault]:
    if craft.spec.head is None:
        return [
            Fault(str(path), 0, 0, "has no section 'head', whose mass and height are asked for")
        ]
    if craft.spec.head.mass_kg.value <= 0.0:
        return [Fault(str(path), 0, 0, "its head weighs nothing; give it a mass above zero")]
    return []


def _pair(
    option: str, text: str, kind: str, faults: list[Fault], *, positive: bool
) -> tuple[float, float] | None:
    """Read two rising quantities; note what is wrong with them."""
    from sim.spec.units import UnitError, parse_quantity  # noqa: PLC0415

    if not text:
        return None
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != _PAIR:
        faults.append(Fault(option, 0, 0, f"needs two quantities and a comma, got '{text}'"))
        return None
    values: list[float] = []
    for part in parts:
        try:
            values.append(parse_quantity(part, kind))
        except UnitError as problem:
            faults.append(Fault(option, 0, 0, str(problem)))
    if len(values) != _PAIR:
        return None
    least, most = values
    if positive and least <= 0.0:
        faults.append(Fault(option, 0, 0, f"must be more than zero, got '{parts[0]}'"))
        return None
    if most <= least:
        faults.append(Fault(option, 0, 0, f"'{parts[1]}' must be more than '{parts[0]}'"))
        return None
    return least, most


def _grid(text: str, faults: list[Fault]) -> tuple[int, int]:
    """Read `7x5`: columns of mass, rows of height."""
    parts = text.lower().split("x")
    right = len(parts) == _PAIR and all(part.strip().isdigit() for part in parts)
    columns, rows = (int(part) for part in parts) if right else (0, 0)
    if not (_FEWEST_COLUMNS <= columns <= _MOST_NODES and 1 <= rows <= _MOST_NODES):
        words = (
            f"must be masses by heights such as '7x5', {_FEWEST_COLUMNS} to {_MOST_NODES} by 1 to"
            f" {_MOST_NODES}, got '{text}'"
        )
        faults.append(Fault("--grid", 0, 0, words))
    return columns, rows


def _wanted(masses: str, heights: str, grid: str, faults: list[Fault]) -> HeadRange:
    from sim.analysis.head_map import HeadRange  # noqa: PLC0415

    columns, rows = _grid(grid, faults)
    return HeadRange(
        masses_kg=_pair("--masses", masses, "mass", faults, positive=True),
        heights_m=_pair("--heights", heights, "length", faults, positive=False),
        columns=columns,
        rows=rows,
    )
