"""The command `check`: all six answers about one craft, with report and result as files."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_folder, refuse_too_few


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
    help="Folder for report.html, field-card.html and result.json.  [default: CRAFT-report]",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: the answers for people, or the same as result.json.",
)
@click.option(
    "--spread",
    "crafts",
    type=click.IntRange(0, 65_536),
    default=0,
    show_default=True,
    help="For question 5, crafts to compute within the spreads of the file, such as 64; see the"
    " command spread.",
)
@click.pass_context
def check(
    ctx: click.Context,
    craft: Path,
    scenario: Path | None,
    out: Path | None,
    form: str,
    crafts: int,
) -> None:
    """Check the craft in the file CRAFT: whether it flies, and in how much wind.

    Prints the six answers and writes report.html, field-card.html and result.json.
    """
    loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    folder = out if out is not None else Path(f"{craft.stem}-report")
    refuse_folder(folder)
    if crafts:
        refuse_too_few(crafts, loaded_scenario, "--spread")

    import threading  # noqa: PLC0415
    from importlib import import_module  # noqa: PLC0415

    from sim.analysis.check import check_craft  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    # What draws is slow to load; it comes while the craft is computed.
    threading.Thread(target=import_module, args=("sim.report.files",), daemon=True).start()
    with showing_progress() as progress:
        result = check_craft(loaded_craft, loaded_scenario, progress=progress)
        if crafts:
            from sim.analysis.spread import spread  # noqa: PLC0415
            from sim.analysis.spread_verdict import with_spread  # noqa: PLC0415

            sampled = spread(
                loaded_craft,
                loaded_scenario,
                crafts=crafts,
                workers=None,
                guard=False,
                progress=progress,
            )
            result = with_spread(result, sampled)
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
    click.echo(f"Field card: {written.card}", err=told_apart)
    click.echo(f"Result: {written.result}", err=told_apart)
    click.echo(f"Computed in {result.seconds:.1f} s.", err=True)
    ctx.exit(0 if result.passes else 1)
