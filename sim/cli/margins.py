"""The command `margins`: how far every control loop is from instability, and in which condition."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_folder


@click.command(short_help="Show how far every control loop is from instability.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--conditions",
    type=click.Choice(["still", "all"]),
    default="still",
    show_default=True,
    help="Still air alone, or also the scenario's wind from all sides, a used pack, wet fabric and"
    " near the ground.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for margins.html and margins.json; without it nothing is written.",
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
def margins(
    ctx: click.Context,
    craft: Path,
    scenario: Path | None,
    conditions: str,
    out: Path | None,
    form: str,
) -> None:
    """Show gain, phase, delay, modulus and disk margin of every loop of the craft in CRAFT.

    And what all loops bear at the same time. Exit status 0: stable, and roll, pitch and yaw have
    the margins asked for in every condition looked at; 1: not so.
    """
    loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    if out is not None:
        refuse_folder(out)

    from sim.analysis.margin_study import margin_study  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        study = margin_study(
            loaded_craft, loaded_scenario, everywhere=conditions == "all", progress=progress
        )
    if out is not None:
        from sim.report.margins_files import write_margins_files  # noqa: PLC0415

        for path in write_margins_files(study, out):
            click.echo(f"Written: {path}", err=True)
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.margins_files import margins_study_data  # noqa: PLC0415

        click.echo(json_text(margins_study_data(study)), nl=False)
    else:
        from sim.report.margins_text import margins_text  # noqa: PLC0415
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(margins_text(study, make_console(sys.stdout)), nl=False)
    click.echo(f"Computed in {study.seconds:.1f} s.", err=True)
    ctx.exit(0 if study.passes else 1)
