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
_MINUTE_S: Final = 60.0

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
    first: list[tuple[float, float]] = []

    def progress(sentence: str, share: float | None) -> None:
        latest[0] = (sentence, share)
        if share is not None and not first:
            first.append((time.monotonic(), share))

    def write_now_and_then() -> None:
        while not ended.wait(EVERY_S):
            sentence, share = latest[0]
            now = time.monotonic()
            done = ""
            if share is not None:
                done = f", {_HUNDRED * share:.0f} %{left_words(first[0], (now, share))}"
            click.echo(f"{now - began:.0f} s: {sentence}{done}", file=stream)

    writer = threading.Thread(target=write_now_and_then, daemon=True)
    writer.start()
    try:
        yield progress
    finally:
        ended.set()
        writer.join()


def left_words(first: tuple[float, float], now: tuple[float, float]) -> str:
    """Say how long it still takes, if it goes on as it did since the first share was told.

    Parameters
    ----------
    first, now : tuple of float
        [s], [-] When, and the share done then.

    Returns
    -------
    str
        Such as ", about 2 min left"; empty as long as nothing is to go by.
    """
    took, done = now[0] - first[0], now[1] - first[1]
    if done <= 0.0 or took <= 0.0:
        return ""
    left = took * (1.0 - now[1]) / done
    if left < 2.0 * _MINUTE_S:
        return f", about {left:.0f} s left"
    return f", about {left / _MINUTE_S:.0f} min left"
