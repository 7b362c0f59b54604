"""The command `spread`: crafts within the spreads of a file, and what they say of its verdict."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Final

import click

from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_folder, refuse_too_few

USUAL_CRAFTS: Final = 256
LEAST_CRAFTS: Final = 16
MOST_CRAFTS: Final = 65_536


@click.command(short_help="Show how sure the verdict is, what matters most, what is left.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind, task and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--crafts",
    type=click.IntRange(LEAST_CRAFTS, MOST_CRAFTS),
    default=USUAL_CRAFTS,
    show_default=True,
    help="How many crafts to compute; powers of two spread best.",
)
@click.option(
    "--seed",
    type=click.IntRange(0, 2**63 - 1),
    default=1,
    show_default=True,
    help="Which crafts are drawn; the same seed draws the same.",
)
@click.option(
    "--workers",
    type=click.IntRange(1, 1024),
    default=None,
    help="Processes to use; the answer does not depend on it.  [default: one a core]",
)
@click.option(
    "--no-guard",
    "unguarded",
    is_flag=True,
    default=False,
    help="Leave out what weight and what shift of the CG is left.",
)
@click.option(
    "--fly",
    "flies",
    is_flag=True,
    default=False,
    help="Find every craft's wind limit by gust flights as well: 10 s to a minute for each craft.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for spread.html and spread.json; without it nothing is written.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: tables for people, or the same as spread.json.",
)
@click.pass_context
def spread(
    ctx: click.Context,
    craft: Path,
    scenario: Path | None,
    crafts: int,
    seed: int,
    workers: int | None,
    out: Path | None,
    form: str,
    *,
    unguarded: bool,
    flies: bool,
) -> None:
    """Vary all that carries a plus_minus in the file CRAFT, and show what that does.

    How every headline figure varies, the chance of passing every gate, which unknown matters most,
    what to measure next, and how many grams and millimetres are left. Exit status 0: with the
    confidence that the scenario asks for, the share of crafts that it asks for passes.
    """
    # Matrices of one craft are small: every process multiplies on one core.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    refuse_too_few(crafts, loaded_scenario, "--crafts")
    if out is not None:
        refuse_folder(out)

    from sim.analysis.spread import spread as computed_spread  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        answer = computed_spread(
            loaded_craft,
            loaded_scenario,
            crafts=crafts,
            seed=seed,
            workers=workers,
            guard=not unguarded,
            flies=flies,
            progress=progress,
        )
    from sim.report.spread_data import spread_data, write_spread_files  # noqa: PLC0415

    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415

        click.echo(json_text(spread_data(answer)), nl=False)
    else:
        from sim.report.spread_text import spread_text  # noqa: PLC0415
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(spread_text(answer, make_console(sys.stdout)), nl=False)
    if out is not None:
        for path in write_spread_files(answer, out):
            click.echo(f"Written: {path}", err=form == "json")
    click.echo(f"Computed in {answer.seconds:.1f} s.", err=True)
    ctx.exit(0 if answer.passes else 1)
