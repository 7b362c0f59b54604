"""The command `tune`: gains for a craft at the desk, flown before they are recommended."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sim.cli.reading import DEFAULT_SCENARIO
from sim.errors import Fault, InputFaults, NoTrim

if TYPE_CHECKING:
    from sim.analysis.tune import TuneResult


@click.command(short_help="Find gains for a craft, and a plan to tune it by hand.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=DEFAULT_SCENARIO,
    show_default="lake_breeze, one that comes with the program",
    help="File that describes the day, its wind and the margins asked for.",
)
@click.option(
    "--apply",
    "new",
    type=click.Path(path_type=Path),
    default=None,
    help="Write the craft file with the tuned gains into this new file.",
)
@click.option(
    "--seed",
    type=click.IntRange(1, 2**31 - 1),
    default=1,
    show_default=True,
    help="Of the search; the same seed gives the same gains.",
)
@click.option(
    "--paired-flights",
    "paired",
    type=click.IntRange(0, 1000),
    default=0,
    show_default=True,
    help="Also compare wind limits before and after, with so many flights in each of 12 winds.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for tune.html and tune.json; without it nothing is written.",
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
def tune(
    ctx: click.Context,
    craft: Path,
    scenario: Path,
    new: Path | None,
    seed: int,
    paired: int,
    out: Path | None,
    form: str,
) -> None:
    """Find gains for the craft in the file CRAFT, fly them, and say how to get there by hand.

    Exit status 0: gains were found that have the margins asked for and flew; 1: none were.
    """
    # The matrices are so small that sharing them out costs more than it saves.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from sim.cli.reading import load_both, refuse_folder  # noqa: PLC0415
    from sim.spec.load import read_bytes  # noqa: PLC0415

    loaded, day = load_both(craft, scenario)
    if new is not None and new.exists():
        raise InputFaults((Fault(str(new), 0, 0, "exists; --apply only writes a new file"),))
    for folder in (out, None if new is None else new.parent):
        if folder is not None:
            refuse_folder(folder)

    from sim.analysis.tune import TuneEffort  # noqa: PLC0415
    from sim.analysis.tune import tune as tuned  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    try:
        with showing_progress() as progress:
            result = tuned(
                loaded, day, seed=seed, effort=TuneEffort(paired=paired), progress=progress
            )
    except NoTrim as problem:
        click.echo(f"{loaded.spec.name} cannot be tuned: {problem.reason}.", err=True)
        ctx.exit(1)
    changed: str | None = None
    if result.chosen is not None and new is not None:
        from sim.analysis.tune_apply import applied_text  # noqa: PLC0415

        raw, space = read_bytes(craft), result.crafts.space
        changed = applied_text(raw, str(craft), space, result.chosen.values)
    if out is not None:
        from sim.report.tune_page import write_tune_files  # noqa: PLC0415

        for path in write_tune_files(result, out):
            click.echo(f"Written: {path}", err=True)
    if new is not None and changed is not None:
        from sim.report.files import write_whole  # noqa: PLC0415

        write_whole(new, changed)
        click.echo(f"Written: {new}", err=True)
    _show(result, form)
    seconds = f"{result.seconds:.1f} s, {result.search_s:.1f} s of it searching"
    click.echo(f"Computed in {seconds}.", err=True)
    ctx.exit(0 if result.passes else 1)


def _show(result: TuneResult, form: str) -> None:
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.tune_data import tune_data  # noqa: PLC0415

        click.echo(json_text(tune_data(result)), nl=False)
        return
    from sim.report.terminal import make_console  # noqa: PLC0415
    from sim.report.tune_text import tune_text  # noqa: PLC0415

    click.echo(tune_text(result, make_console(sys.stdout)), nl=False)
