"""The command `windlimit`: the most wind in which enough flights surely succeed."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_folder

USUAL_FLIGHTS = 2000
LEAST_FLIGHTS = 50
MOST_FLIGHTS = 200_000


@click.command(short_help="Find the most wind in which enough flights surely succeed.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind, task and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--flights",
    type=click.IntRange(LEAST_FLIGHTS, MOST_FLIGHTS),
    default=USUAL_FLIGHTS,
    show_default=True,
    help="About how many flights to spend; more bring the limit nearer to the truth.",
)
@click.option(
    "--directions",
    is_flag=True,
    default=False,
    help="Turn the wind round the craft, find the worst direction and answer for that one.",
)
@click.option(
    "--study",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder that keeps the flights; a study that was stopped goes on there.",
)
@click.option("--cluster", default=None, help="Address of a Dask scheduler to fly on.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for wind_limit.json and wind_limit.svg.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: the limit for people, or the same as wind_limit.json.",
)
@click.pass_context
def windlimit(
    ctx: click.Context,
    craft: Path,
    scenario: Path | None,
    flights: int,
    directions: bool,  # noqa: FBT001 - click hands a flag over by its name
    study: Path | None,
    cluster: str | None,
    out: Path | None,
    form: str,
) -> None:
    """Find the most wind that the craft in the file CRAFT stands.

    The limit is the highest wind in which, with the confidence that the scenario asks for, the
    share of flights that it asks for succeeds. Exit status 0: it is at least the scenario's wind.
    """
    loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    for folder in (study, out):
        if folder is not None:
            refuse_folder(folder)

    from sim.analysis.wind_study import wind_study  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415
    from sim.flight.cluster import crew_at  # noqa: PLC0415

    with showing_progress() as progress, crew_at(cluster) as crew:
        found = wind_study(
            loaded_craft,
            loaded_scenario,
            flights,
            directions=directions,
            folder=study,
            crew=crew,
            progress=progress,
        )
    from sim.report.wind_study_text import (  # noqa: PLC0415
        wind_study_data,
        wind_study_text,
        write_wind_files,
    )

    if out is not None:
        for path in write_wind_files(found, loaded_craft, loaded_scenario, out):
            click.echo(f"Written: {path}", err=True)
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415

        click.echo(json_text(wind_study_data(found, loaded_craft, loaded_scenario)), nl=False)
    else:
        from sim.report.terminal import make_console  # noqa: PLC0415

        console = make_console(sys.stdout)
        text = wind_study_text(found, loaded_craft, loaded_scenario, console)
        click.echo(text, nl=False)
    if study is not None:
        click.echo(f"Study: {study} ({found.flown} flights flown now)", err=True)
    ctx.exit(0 if found.passes else 1)
