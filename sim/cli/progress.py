"""What is shown while a long computation runs: a bar on a terminal, else a line now and then."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Final, TextIO

import click

EVERY_S: Final = 10.0
FIRST_RUN: Final = (
    "First run of this version on this machine: compiling takes about a minute, later runs start"
    " at once."
)
_HUNDRED: Final = 100.0

Progress = Callable[[str, float | None], None]
"""Told a sentence and the share that is done, 0 to 1 or None."""


@contextmanager
def showing_progress(stream: TextIO | None = None) -> Iterator[Progress]:
    """Show on standard error how far a computation is.

    Parameters
    ----------
    stream : text stream, optional
        Standard error by default.

    Yields
    ------
    callable
        To be told a sentence and a share.
    """
    stream = sys.stderr if stream is None else stream
    from sim.numerics.compile import is_compiled_before  # noqa: PLC0415

    if not is_compiled_before():
        click.echo(FIRST_RUN, file=stream)
    showing = _showing_bar if stream.isatty() else _showing_lines
    with showing(stream) as progress:
        yield progress


@contextmanager
def _showing_bar(stream: TextIO) -> Iterator[Progress]:
    from rich.console import Console  # noqa: PLC0415
    from rich.progress import (  # noqa: PLC0415
        BarColumn,
        TextColumn,
        TimeElapsedColumn,
        TimeRemainingColumn,
    )
    from rich.progress import Progress as Bar  # noqa: PLC0415

    bar = Bar(
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=16),
        TimeElapsedColumn(),
        TextColumn("left"),
        TimeRemainingColumn(),
        console=Console(file=stream),
        transient=True,
    )
    with bar:
        task = bar.add_task("reading", total=None)

        def progress(sentence: str, share: float | None) -> None:
            total = None if share is None else _HUNDRED
            bar.update(task, description=sentence, total=total, completed=_HUNDRED * (share or 0.0))

        yield progress


@contextmanager
def _showing_lines(stream: TextIO) -> Iterator[Progress]:
    began = time.monotonic()
    ended = threading.Event()
    latest: list[tuple[str, float | None]] = [("reading", None)]

    def progress(sentence: str, share: float | None) -> None:
        latest[0] = (sentence, share)

    def write_now_and_then() -> None:
        while not ended.wait(EVERY_S):
            sentence, share = latest[0]
            done = "" if share is None else f", {_HUNDRED * share:.0f} %"
            click.echo(f"{time.monotonic() - began:.0f} s: {sentence}{done}", file=stream)

    writer = threading.Thread(target=write_now_and_then, daemon=True)
    writer.start()
    try:
        yield progress
    finally:
        ended.set()
        writer.join()
