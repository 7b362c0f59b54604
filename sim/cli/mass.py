"""The command `mass`: what each part weighs, where the centre of gravity is, and the inertia."""

from __future__ import annotations

import sys
from pathlib import Path

import click


@click.command(short_help="Show mass, centre of gravity and inertia, part by part.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: a ledger for people, or the same as JSON.",
)
def mass(craft: Path, form: str) -> None:
    """Show mass, centre of gravity and inertia of the craft in the file CRAFT, part by part."""
    from sim.mass.from_spec import mass_properties  # noqa: PLC0415
    from sim.spec.files import load_craft  # noqa: PLC0415

    loaded = load_craft(craft)
    properties = mass_properties(loaded.spec, with_drape=True)
    if form == "json":
        from sim.report.as_json import json_text, plain_mass_data  # noqa: PLC0415

        click.echo(json_text(plain_mass_data(properties, loaded)), nl=False)
        return
    from sim.report.mass_ledger import ledger_text  # noqa: PLC0415
    from sim.report.terminal import make_console  # noqa: PLC0415

    console = make_console(sys.stdout)
    click.echo(ledger_text(loaded, properties, console), nl=False)
