"""The answer of `gustworthy head` as files: a page with the map, and its data."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sim.analysis.head_map import HeadMap
from sim.report.answer_page import AnswerPage, answer_page
from sim.report.as_json import json_text
from sim.report.figure_head_map import draw_head_map
from sim.report.files import write_whole
from sim.report.head_data import head_data
from sim.report.head_tables import all_tables
from sim.report.head_text import head_subtitle
from sim.report.head_words import GATE_NAMES, head_assumptions, head_findings, head_verdict
from sim.report.number_text import fixed, listed
from sim.report.section import Picture

PAGE_NAME: Final = "head.html"
DATA_NAME: Final = "head.json"
_PATHS: Final = ("head", "battery.place", "rotors", "controller")


def _map_words(answer: HeadMap) -> str:
    """Say what is to be seen on the map."""
    cells = [figures for row in answer.figures for figures in row]
    passing = sum(figures.passes for figures in cells)
    gates = [
        f"{name} first in {count}"
        for gate, name in GATE_NAMES.items()
        if (count := sum(figures.failed == gate for figures in cells))
    ]
    words = f"{passing} of {len(cells)} heads pass"
    words += f"; of the others {listed(gates)}." if gates else "."
    return (
        f"{words} The dashed line is where lift gives out, the full one where pitch authority does,"
        f" whatever margins and wind say. This head weighs {fixed(answer.mass_kg, 2)} kg."
    )


def head_page(answer: HeadMap) -> str:
    """Write the page.

    Parameters
    ----------
    answer : HeadMap

    Returns
    -------
    str
        The whole file.
    """
    picture = Picture("head_map", "Heads by mass and height", _map_words(answer))
    return answer_page(
        AnswerPage(
            command="head",
            title=answer.craft.spec.name,
            subtitle=head_subtitle(answer),
            passes=answer.passes,
            verdict=head_verdict(answer),
            warnings=answer.craft.warnings,
            findings=head_findings(answer),
            assumptions=head_assumptions(answer),
            tables=all_tables(answer),
            pictures=((picture, lambda: draw_head_map(answer)),),
            defaults=tuple(d for d in answer.craft.defaults if d.path.startswith(_PATHS)),
        )
    )


def write_head_files(answer: HeadMap, folder: Path) -> tuple[Path, Path]:
    """Write `head.html` and `head.json` into a folder, made if it is not there.

    Both texts are finished before the first file is begun.

    Parameters
    ----------
    answer : HeadMap
    folder : Path

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: head_page(answer), DATA_NAME: json_text(head_data(answer))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
