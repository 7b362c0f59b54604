"""Report, field card and result as files that are whole or not there at all."""

from __future__ import annotations

import contextlib
import gc
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final, NamedTuple

from sim.analysis.check_result import CheckResult
from sim.report.as_json import json_text, result_data
from sim.report.page import card_text, page_text

PAGE_NAME: Final = "report.html"
CARD_NAME: Final = "field-card.html"
RESULT_NAME: Final = "result.json"


class Written(NamedTuple):
    """Where report and result were written.

    Attributes
    ----------
    page, card, result : Path
        The three files.
    """

    page: Path
    card: Path
    result: Path


def write_files(result: CheckResult, folder: Path) -> Written:
    """Write `report.html`, `field-card.html` and `result.json` into a folder, made if need be.

    All texts are finished before the first file is begun, and each file comes into being under its
    name only once it is complete.

    Parameters
    ----------
    result : CheckResult
        What was found.
    folder : Path
        Where to.

    Returns
    -------
    Written
        The paths.
    """
    with _without_collection():
        texts = {
            PAGE_NAME: page_text(result),
            CARD_NAME: card_text(result),
            RESULT_NAME: json_text(result_data(result)),
        }
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return Written(folder / PAGE_NAME, folder / CARD_NAME, folder / RESULT_NAME)


@contextlib.contextmanager
def _without_collection() -> Iterator[None]:
    """Look for no unused memory meanwhile: drawing makes many small things that go soon."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def write_whole(path: Path, text: str) -> None:
    """Write a file under a temporary name beside it, then give it its own name.

    Parameters
    ----------
    path : Path
        The file; replaced if it exists.
    text : str
        Its content.
    """
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with unfinished.open("w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        unfinished.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)
        raise
