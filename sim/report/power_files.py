"""The answer of `gustworthy power` as files: a page and its data."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sim.analysis.power_answer import PowerAnswer
from sim.report.as_json import json_text
from sim.report.files import write_whole
from sim.report.power_data import power_data
from sim.report.power_page import power_page

PAGE_NAME: Final = "power.html"
DATA_NAME: Final = "power.json"


def write_power_files(answer: PowerAnswer, folder: Path) -> tuple[Path, Path]:
    """Write `power.html` and `power.json` into a folder, made if it is not there.

    Both texts are finished before the first file is begun.

    Parameters
    ----------
    answer : PowerAnswer
    folder : Path

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: power_page(answer), DATA_NAME: json_text(power_data(answer))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
