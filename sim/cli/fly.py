"""The command `fly`: one flight of a scenario with its history, or many flights at once."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sim.cli.option_values import HIGHEST_FLIGHT, turned_scenario
from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_file, refuse_folder

if TYPE_CHECKING:
    from sim.spec.files import LoadedCraft, LoadedScenario

MOST_FLIGHTS = 10_000_000


@click.command(short_help="Fly one flight of a scenario, or many.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind, task and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--flight",
    "number",
    type=click.IntRange(0, HIGHEST_FLIGHT),
    default=None,
    help="Number of the flight: each has gusts and noise of its own.  [default: 0]",
)
@click.option("--wind", default=None, help="Mean wind instead of the scenario's, as '4.5 m/s'.")
@click.option(
    "--from", "bearing", default=None, help="Where the wind comes from, as 'west' or '270 deg'."
)
@click.option(
    "--flights",
    type=click.IntRange(1, MOST_FLIGHTS),
    default=None,
    help="Fly so many flights and sum them up.  [default with --study: the scenario's number]",
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
    help="File of comma-separated values: the history of one flight, or a line for each of many.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: how it went, for people or as JSON.",
)
@click.pass_context
def fly(
    ctx: click.Context,
    craft: Path,
    scenario: Path | None,
    number: int | None,
    wind: str | None,
    bearing: str | None,
    flights: int | None,
    study: Path | None,
    cluster: str | None,
    out: Path | None,
    form: str,
) -> None:
    """Fly the craft in the file CRAFT through one flight of a scenario, or through many.

    Exit status 0: it flew its whole time or landed as told; of many flights, the share that the
    scenario asks for surely did. 1: not so.
    """
    many = any(option is not None for option in (flights, study, cluster))
    if many and number is not None:
        message = "--flight shows one; --flights, --study and --cluster sum up many"
        raise click.UsageError(message)
    loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    loaded_scenario = turned_scenario(loaded_scenario, wind, bearing)
    if out is not None:
        refuse_file(out)
    if study is not None:
        refuse_folder(study)
    if many:
        what = (flights or loaded_scenario.spec.flights, study, cluster)
        good = _many(loaded_craft, loaded_scenario, what, out, form)
    else:
        good = _one(loaded_craft, loaded_scenario, number or 0, out, form)
    ctx.exit(0 if good else 1)


def _one(
    craft: LoadedCraft, scenario: LoadedScenario, number: int, out: Path | None, form: str
) -> bool:
    """Fly one flight, tell it and write its history; give whether it succeeded."""
    from sim.analysis.fly_task import fly_task  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        progress("flying", None)
        flown = fly_task(craft, scenario, number)
    from sim.report.flown import flown_data, flown_text, history_csv  # noqa: PLC0415

    if out is not None:
        from sim.report.files import write_whole  # noqa: PLC0415

        write_whole(out, history_csv(flown))
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415

        click.echo(json_text(flown_data(flown, craft, scenario)), nl=False)
    else:
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(flown_text(flown, craft, scenario, make_console(sys.stdout)), nl=False)
    if out is not None:
        click.echo(f"History: {out}", err=form == "json")
    return flown.succeeded


def _many(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    what: tuple[int, Path | None, str | None],
    out: Path | None,
    form: str,
) -> bool:
    """Fly many flights and sum them up; give whether enough surely succeed."""
    from sim.analysis.fly_study import fly_study  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415
    from sim.flight.cluster import crew_at  # noqa: PLC0415
    from sim.report.study_text import passes, rows_as_csv, study_data, study_text  # noqa: PLC0415

    flights, study, cluster = what
    with showing_progress() as progress, crew_at(cluster) as crew, rows_as_csv(out) as keep:
        flown = fly_study(
            craft, scenario, flights, folder=study, crew=crew, progress=progress, keep=keep
        )
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415

        click.echo(json_text(study_data(flown, craft, scenario)), nl=False)
    else:
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(study_text(flown, craft, scenario, make_console(sys.stdout)), nl=False)
    there = flights - flown.flown
    if there:
        click.echo(f"{there} flights were in the folder already.", err=True)
    if study is not None:
        click.echo(f"Study: {study}", err=form == "json")
    if out is not None:
        click.echo(f"Flights: {out}", err=form == "json")
    return passes(flown.summary, scenario.spec.limits)
