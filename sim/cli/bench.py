"""The command `bench`: which causes explain what was read on the bench, what to measure next."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.analysis.bench import BenchAnswer
    from sim.analysis.bench_fit import Fit


@click.command(short_help="Explain bench readings: where did the watts go?")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: the findings for people, or the same as JSON.",
)
@click.option(
    "--apply",
    "out",
    type=click.Path(path_type=Path),
    default=None,
    help="Write the craft file with the accepted cause into this new file.",
)
@click.option(
    "--cause",
    default=None,
    help="Which explanation is accepted, by its key.  [default: the first, if it is told apart]",
)
@click.pass_context
def bench(ctx: click.Context, craft: Path, form: str, out: Path | None, cause: str | None) -> None:
    """Explain the readings in the bench section of the file CRAFT.

    Exit status 0: the readings agree with the file; 1: they do not.
    """
    from sim.spec.files import craft_from_bytes  # noqa: PLC0415
    from sim.spec.load import read_bytes  # noqa: PLC0415

    raw = read_bytes(craft)
    loaded = craft_from_bytes(raw, str(craft))
    if loaded.spec.bench is None:
        what = "has no bench section; write down what you read, see airframes/README.md"
        raise InputFaults((Fault(str(craft), 0, 0, what),))
    if cause is not None and out is None:
        raise click.UsageError("--cause says what --apply writes; give --apply OUT.yaml too", ctx)
    if out is not None and out.exists():
        raise InputFaults((Fault(str(out), 0, 0, "exists; --apply only writes a new file"),))

    from sim.analysis.bench import reconcile  # noqa: PLC0415

    answer = reconcile(loaded.spec)
    changed: str | None = None
    if out is not None:
        from sim.analysis.bench_apply import applied_text  # noqa: PLC0415

        accepted = _accepted(answer, cause, str(craft))
        changed = applied_text(raw, str(craft), loaded.spec, accepted, answer.full_current_a)
    _show(answer, form)
    if out is not None and changed is not None:
        with out.open("x", encoding="utf-8", newline="") as stream:
            stream.write(changed)
        click.echo(f"Written: {out}", err=form == "json")
    ctx.exit(0 if answer.agrees_with_file else 1)


def _accepted(answer: BenchAnswer, cause: str | None, file: str) -> Fit:
    """Give the explanation to write, or say why none can be."""
    keys = {fit.key: fit for fit in answer.ranked.fits}
    if cause is not None and "+" in cause and cause not in keys:
        cause = "+".join(reversed(cause.split("+")))
    if cause is None and answer.ranked.told_apart:
        return answer.ranked.leader
    if cause is None:
        names = ", ".join(fit.key for fit in answer.ranked.rivals)
        what = f"several causes cannot be told apart; say which with --cause: {names}"
        raise InputFaults((Fault(file, 0, 0, what),))
    if cause not in keys:
        from sim.spec.strict import nearest_word  # noqa: PLC0415

        near = nearest_word(cause, list(keys))
        hint = f"; did you mean '{near}'?" if near else ""
        raise InputFaults((Fault(file, 0, 0, f"no explanation is called '{cause}'{hint}"),))
    return keys[cause]


def _show(answer: BenchAnswer, form: str) -> None:
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.bench_json import bench_data  # noqa: PLC0415

        click.echo(json_text(bench_data(answer)), nl=False)
        return
    from sim.report.bench_text import bench_text  # noqa: PLC0415
    from sim.report.terminal import make_console  # noqa: PLC0415

    click.echo(bench_text(answer, make_console(sys.stdout)), nl=False)
