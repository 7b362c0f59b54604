"""The command `drape`: what the fabric does in wash and wind, and what a hover reading says."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from sim.cli.reading import DEFAULT_SCENARIO
from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.analysis.drape_answer import DrapeAnswer
    from sim.spec.quantity import Uncertain

_READINGS: Final = ("--measured-with", "--measured-without")


@click.command(short_help="Show what the fabric does: download, side force, swings, room.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=DEFAULT_SCENARIO,
    show_default="lake_breeze, one that comes with the program",
    help="File that describes the day and its wind.",
)
@click.option(
    "--measured-with",
    default="",
    help="Hover throttle read with the fabric on, such as '62 %'; with --measured-without it tells"
    " how hard the wash really pushes.",
)
@click.option(
    "--measured-without",
    default="",
    help="Hover throttle read with the fabric off, at the same charge of the pack.",
)
@click.option(
    "--readings-plus-minus",
    default="1 %",
    show_default=True,
    help="How far either reading may be off, in points of throttle.",
)
@click.option(
    "--apply",
    "new",
    type=click.Path(path_type=Path),
    default=None,
    help="Write the craft file with the calibrated air_factor into this new file.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for drape.html and drape.json; without it nothing is written.",
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
def drape(
    ctx: click.Context,
    craft: Path,
    scenario: Path,
    measured_with: str,
    measured_without: str,
    readings_plus_minus: str,
    new: Path | None,
    out: Path | None,
    form: str,
) -> None:
    """Show what the fabric of the craft in the file CRAFT does in the rotors' wash and in wind.

    Exit status 0: in steady wind up to the day's it keeps clear of the discs; 1: it does not.
    """
    # The matrices of a hover trim are so small that sharing them out costs more than it saves.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from sim.cli.reading import load_both, refuse_folder  # noqa: PLC0415
    from sim.spec.load import read_bytes  # noqa: PLC0415

    readings = _readings(measured_with, measured_without, readings_plus_minus)
    loaded, day = load_both(craft, scenario)
    if not loaded.spec.drapes:
        what = "has no drape: there is no fabric to look at; see airframes/README.md"
        raise InputFaults((Fault(str(craft), 0, 0, what),))
    measured = loaded.spec.measured
    if new is not None and readings is None and (measured is None or not measured.hover_throttle):
        what = (
            "--apply writes what hover throttles say: give --measured-with and --measured-without,"
            " or hover_throttle in the section 'measured'"
        )
        raise InputFaults((Fault(str(craft), 0, 0, what),))
    if new is not None and new.exists():
        raise InputFaults((Fault(str(new), 0, 0, "exists; --apply only writes a new file"),))
    for folder in (out, None if new is None else new.parent):
        if folder is not None:
            refuse_folder(folder)

    from sim.analysis.drape_answer import drape_answer  # noqa: PLC0415

    answer = drape_answer(loaded, day, readings)
    changed: str | None = None
    if answer.calibration is not None and new is not None:
        from sim.analysis.drape_apply import applied_text  # noqa: PLC0415

        changed = applied_text(read_bytes(craft), str(craft), answer.calibration)
    if out is not None:
        from sim.report.drape_page import write_drape_files  # noqa: PLC0415

        for path in write_drape_files(answer, out):
            click.echo(f"Written: {path}", err=True)
    if new is not None and changed is not None:
        from sim.report.files import write_whole  # noqa: PLC0415

        write_whole(new, changed)
        click.echo(f"Written: {new}", err=True)
    _show(answer, form)
    click.echo(f"Computed in {answer.seconds:.1f} s.", err=True)
    ctx.exit(0 if answer.passes else 1)


def _show(answer: DrapeAnswer, form: str) -> None:
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.drape_data import drape_data  # noqa: PLC0415

        click.echo(json_text(drape_data(answer)), nl=False)
        return
    from sim.report.drape_text import drape_text  # noqa: PLC0415
    from sim.report.terminal import make_console  # noqa: PLC0415

    click.echo(drape_text(answer, make_console(sys.stdout)), nl=False)


def _readings(with_fabric: str, bare: str, spread: str) -> tuple[Uncertain, Uncertain] | None:
    """Give both hover throttles with their spread, or None when neither is given."""
    from sim.spec.quantity import Uncertain  # noqa: PLC0415

    texts = {_READINGS[0]: with_fabric, _READINGS[1]: bare}
    given = {option: text for option, text in texts.items() if text}
    if not given:
        return None
    faults: list[Fault] = []
    values = {
        option: _share(option, text, faults)
        for option, text in (*given.items(), ("--readings-plus-minus", spread))
    }
    faults += [
        Fault(option, 0, 0, "is missing: one reading says nothing without the other")
        for option in _READINGS
        if option not in given
    ]
    if faults:
        raise InputFaults(tuple(faults))
    plus_minus = values["--readings-plus-minus"]
    first, second = (Uncertain(values[option], plus_minus) for option in _READINGS)
    return first, second


def _share(option: str, text: str, faults: list[Fault]) -> float:
    """Give a share of more than nothing and at most one; note what is wrong with it."""
    from sim.spec.units import UnitError, parse_quantity  # noqa: PLC0415

    try:
        value = parse_quantity(text, "share")
    except UnitError as problem:
        faults.append(Fault(option, 0, 0, str(problem)))
        return 1.0
    if not 0.0 < value <= 1.0:
        words = f"must be more than 0 and at most 100 %, got '{text}'; write 62 % or 0.62"
        faults.append(Fault(option, 0, 0, words))
    return value
