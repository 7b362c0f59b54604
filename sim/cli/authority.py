"""The command `authority`: what thrust and moments are left, what wind and lost motors take."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from sim.cli.reading import DEFAULT_SCENARIO


@click.command(short_help="Show what thrust and turning is left, in wind and with a lost motor.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=DEFAULT_SCENARIO,
    show_default="lake_breeze, one that comes with the program",
    help="File that describes the day, its wind and the limits.",
)
@click.option(
    "--wind",
    "winds",
    multiple=True,
    help="Mean wind of the forecast to look at, such as '6 m/s' or '12 kn'; may be given more than"
    " once.  [default: steps up to 16 m/s]",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for authority.html and authority.json; without it nothing is written.",
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
def authority(
    ctx: click.Context,
    craft: Path,
    scenario: Path,
    winds: tuple[str, ...],
    out: Path | None,
    form: str,
) -> None:
    """Show what rotors and tilts of the craft in the file CRAFT can still do.

    In hover, in wind from two sides, with a motor stopped or weak; whether the play of the tilt
    servos makes it hunt, and how the fabric swings.

    Exit status 0: something is left every way in the day's wind; 1: it is not.
    """
    # The matrices of a hover trim are so small that sharing them out costs more than it saves.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from sim.cli.reading import load_both, refuse_folder  # noqa: PLC0415

    wanted = _winds(winds)
    loaded, day = load_both(craft, scenario)
    if out is not None:
        refuse_folder(out)

    from sim.analysis.authority_study import authority_study  # noqa: PLC0415
    from sim.analysis.authority_wind import WINDS_M_S  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        study = authority_study(loaded, day, winds_m_s=wanted or WINDS_M_S, progress=progress)
        if out is not None:
            progress("writing the page", None)
            from sim.report.authority_page import write_authority_files  # noqa: PLC0415

            written = write_authority_files(study, out)
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.authority_data import authority_data  # noqa: PLC0415

        click.echo(json_text(authority_data(study)), nl=False)
    else:
        from sim.report.authority_text import authority_text  # noqa: PLC0415
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(authority_text(study, make_console(sys.stdout)), nl=False)
    if out is not None:
        for path in written:
            click.echo(f"Written: {path}", err=True)
    click.echo(f"Computed in {study.seconds:.1f} s.", err=True)
    ctx.exit(0 if study.passes else 1)


def _winds(texts: tuple[str, ...]) -> tuple[float, ...]:
    """Give the winds [m/s] of the option, with all faults told at once."""
    from sim.errors import Fault, InputFaults  # noqa: PLC0415
    from sim.spec.units import UnitError, parse_quantity  # noqa: PLC0415

    faults, found = [], []
    for text in texts:
        try:
            speed = parse_quantity(text, "speed")
        except UnitError as problem:
            faults.append(Fault("--wind", 0, 0, str(problem)))
            continue
        if speed < 0.0:
            faults.append(Fault("--wind", 0, 0, f"must not be below zero, got '{text}'"))
        found.append(speed)
    if faults:
        raise InputFaults(tuple(faults))
    return tuple(sorted(found))
