"""The command `compare`: several crafts on the same day, side by side."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

import click

from sim.cli.reading import DEFAULT_SCENARIO, refuse_folder
from sim.errors import Fault, InputFaults

LEAST: Final = 2
MOST: Final = 6


@click.command(short_help="Hold two or more crafts against each other in the same gusts.")
@click.argument("crafts", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind, task and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--flights",
    type=click.IntRange(10, 10_000),
    default=60,
    show_default=True,
    help="Paired flights in each wind.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for compare.html and compare.json.  [default: nothing is written]",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: the comparison for people, or as data.",
)
@click.pass_context
def compare(
    ctx: click.Context,
    crafts: tuple[Path, ...],
    scenario: Path | None,
    flights: int,
    out: Path | None,
    form: str,
) -> None:
    """Check the crafts in the files CRAFTS on the same day and say which is ahead, and why.

    The first file is what the others are held against. Exit status 0: the one that is ahead passes.
    """
    if not LEAST <= len(crafts) <= MOST:
        message = f"compare takes {LEAST} to {MOST} craft files, not {len(crafts)}"
        raise click.UsageError(message)
    from sim.spec.files import LoadedCraft, load_craft, load_scenario  # noqa: PLC0415

    faults: list[Fault] = []
    loaded: list[LoadedCraft] = []
    for path in crafts:
        try:
            loaded.append(load_craft(path))
        except InputFaults as found:
            faults += found.faults
    day = None
    try:
        day = load_scenario(scenario or DEFAULT_SCENARIO)
    except InputFaults as found:
        faults += found.faults
    if faults or day is None:
        raise InputFaults(tuple(faults))
    if out is not None:
        refuse_folder(out)

    from sim.analysis.compare import compare_crafts  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415
    from sim.report.as_json import json_text  # noqa: PLC0415

    with showing_progress() as progress:
        comparison = compare_crafts(loaded, day, flights=flights, progress=progress)
    from sim.report.compare_data import compare_data, write_compare_files  # noqa: PLC0415

    if form == "json":
        click.echo(json_text(compare_data(comparison)), nl=False)
    else:
        from sim.report.compare_text import compare_text  # noqa: PLC0415
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(compare_text(comparison, make_console(sys.stdout)), nl=False)
    if out is not None:
        for path in write_compare_files(comparison, out):
            click.echo(f"Written: {path}", err=form == "json")
    ctx.exit(0 if comparison.passes else 1)
