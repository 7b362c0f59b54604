"""The command `schema`: the JSON Schema of craft or scenario files, for editors that complete."""

from __future__ import annotations

import click


@click.command(short_help="Print the JSON Schema of craft or scenario files.")
@click.argument("kind", type=click.Choice(["craft", "scenario"]), default="craft")
def schema(kind: str) -> None:
    """Print the JSON Schema of craft files, or of scenario files.

    \b
    Save it and name it in the first line of your file:
      gustworthy schema craft > craft.schema.json
      # yaml-language-server: $schema=craft.schema.json
    """  # noqa: D301 - the backspace keeps click from filling the lines
    from sim.spec.schema import craft_schema, scenario_schema, schema_text  # noqa: PLC0415

    wanted = craft_schema() if kind == "craft" else scenario_schema()
    click.echo(schema_text(wanted), nl=False)
