"""`gustworthy check`: all six answers about one craft, with report and result as files."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.spec.files import LoadedCraft, LoadedScenario

DEFAULT_SCENARIO: Final = Path("scenarios") / "lake_breeze.yaml"
_ROOT: Final = Path(__file__).resolve().parents[2]


@click.command(short_help="Answer the six questions and write the report.")
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
    help="Folder for report.html and result.json.  [default: CRAFT-report]",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: the answers for people, or the same as result.json.",
)
@click.pass_context
def check(
    ctx: click.Context, craft: Path, scenario: Path | None, out: Path | None, form: str
) -> None:
    """Check the craft in the file CRAFT: whether it flies, and in how much wind.

    Prints the six answers and writes report.html and result.json.
    """
    loaded_craft, loaded_scenario = load_both(craft, scenario or _ROOT / DEFAULT_SCENARIO)
    folder = out if out is not None else Path(f"{craft.stem}-report")
    refuse_folder(folder)

    from sim.analysis.check import check_craft  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        result = check_craft(loaded_craft, loaded_scenario, progress=progress)
        progress("writing the report", None)
        from sim.report.files import write_files  # noqa: PLC0415

        written = write_files(result, folder)
    if form == "json":
        click.echo(written.result.read_text("utf-8"), nl=False)
    else:
        from sim.report.content import report_content  # noqa: PLC0415
        from sim.report.terminal import make_console, report_text  # noqa: PLC0415

        text = report_text(report_content(result), make_console(sys.stdout))
        click.echo(text, nl=False)
    told_apart = form == "json"
    click.echo(f"Report: {written.page}", err=told_apart)
    click.echo(f"Result: {written.result}", err=told_apart)
    click.echo(f"Computed in {result.seconds:.1f} s.", err=True)
    ctx.exit(0 if result.passes else 1)


def load_both(craft: Path, scenario: Path) -> tuple[LoadedCraft, LoadedScenario]:
    """Read craft and scenario, with the faults of both told at once.

    Parameters
    ----------
    craft, scenario : Path
        The files.

    Returns
    -------
    tuple of LoadedCraft and LoadedScenario
        As read; `InputFaults` is raised when one of them cannot be used.
    """
    from sim.spec.files import load_craft, load_scenario  # noqa: PLC0415

    faults: list[Fault] = []
    loaded_craft, loaded_scenario = None, None
    try:
        loaded_craft = load_craft(craft)
    except InputFaults as found:
        faults += found.faults
    try:
        loaded_scenario = load_scenario(scenario)
    except InputFaults as found:
        faults += found.faults
    if loaded_craft is None or loaded_scenario is None:
        raise InputFaults(tuple(faults))
    return loaded_craft, loaded_scenario


def refuse_folder(folder: Path) -> None:
    """Refuse a folder that nothing can be written into, before anything is computed.

    Parameters
    ----------
    folder : Path
        Where files will be written; it need not exist.
    """
    nearest = folder
    while not nearest.exists() and nearest != nearest.parent:
        nearest = nearest.parent
    if not nearest.is_dir():
        raise InputFaults((Fault(str(nearest), 0, 0, "is a file; --out needs a folder"),))
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise InputFaults((Fault(str(nearest), 0, 0, "nothing can be written into this folder"),))
