"""The command `fly`: one flight of a scenario, with its end in words and its history as a table."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_folder


@click.command(short_help="Fly one flight of a scenario.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind, task and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="File for the history, as comma-separated values with units in the names.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: how the flight went, for people or as JSON.",
)
@click.pass_context
def fly(
    ctx: click.Context, craft: Path, scenario: Path | None, out: Path | None, form: str
) -> None:
    """Fly the craft in the file CRAFT through one flight of a scenario.

    Exit status 0: it flew its whole time or landed as told; 1: it did not.
    """
    loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    if out is not None:
        refuse_folder(out.parent)

    from sim.analysis.fly_task import fly_task  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        progress("flying", None)
        flown = fly_task(loaded_craft, loaded_scenario)
    from sim.report.flown import flown_data, flown_text, history_csv  # noqa: PLC0415

    if out is not None:
        from sim.report.files import write_whole  # noqa: PLC0415

        write_whole(out, history_csv(flown))
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415

        click.echo(json_text(flown_data(flown, loaded_craft, loaded_scenario)), nl=False)
    else:
        from sim.report.terminal import make_console  # noqa: PLC0415

        text = flown_text(flown, loaded_craft, loaded_scenario, make_console(sys.stdout))
        click.echo(text, nl=False)
    if out is not None:
        click.echo(f"History: {out}", err=form == "json")
    ctx.exit(0 if flown.succeeded else 1)
