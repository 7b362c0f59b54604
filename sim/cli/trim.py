"""The command `trim`: the steady flight in a wind, and how much of each actuator it takes."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sim.cli.condition_options import condition_options, read_condition


@click.command(short_help="Show the steady flight in a wind: attitude, tilts, throttles.")
@click.argument("craft", type=click.Path(path_type=Path))
@condition_options
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: sentences and a table for people, or the same as JSON.",
)
@click.pass_context
def trim(
    ctx: click.Context,
    craft: Path,
    wind: str,
    side: str,
    height: str,
    charge: str,
    fabric: str | None,
    form: str,
) -> None:
    """Show the steady flight of the craft in the file CRAFT: what every actuator gives.

    In air of the standard atmosphere at sea level. Exit status 0: there is a steady flight; 1:
    there is none, or it does not last by itself.
    """
    from sim.spec.files import load_craft  # noqa: PLC0415

    loaded = load_craft(craft)
    condition = read_condition(
        loaded.spec, wind=wind, side=side, height=height, charge=charge, fabric=fabric
    )
    from sim.analysis.trim_answer import trim_answer  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415
    from sim.errors import NoTrim  # noqa: PLC0415
    from sim.physics.air.atmosphere import air_of_the_day  # noqa: PLC0415

    try:
        with showing_progress() as progress:
            progress("searching the steady flight", None)
            answer = trim_answer(loaded, air_of_the_day(None, None, None, 0.5), condition)
    except NoTrim as problem:
        click.echo(f"No steady flight: {problem.reason}.", err=True)
        ctx.exit(1)
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.trim_text import trim_data  # noqa: PLC0415

        click.echo(json_text(trim_data(answer)), nl=False)
    else:
        from sim.report.terminal import make_console  # noqa: PLC0415
        from sim.report.trim_text import trim_text  # noqa: PLC0415

        click.echo(trim_text(answer, make_console(sys.stdout)), nl=False)
    click.echo(f"Computed in {answer.seconds:.1f} s.", err=True)
    ctx.exit(1 if answer.grows else 0)
