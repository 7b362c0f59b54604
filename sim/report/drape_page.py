"""The answer of `gustworthy drape` as one HTML file and its data."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sim.analysis.drape_answer import DrapeAnswer
from sim.report.answer_page import AnswerPage, DrawnPicture, answer_page
from sim.report.as_json import json_text
from sim.report.drape_content import (
    drape_assumptions,
    drape_findings,
    drape_subtitle,
    drape_verdict,
)
from sim.report.drape_data import drape_data
from sim.report.drape_tables import all_tables
from sim.report.figure_drape import draw_drape_in_wind, draw_drape_shapes
from sim.report.files import write_whole
from sim.report.number_text import fixed
from sim.report.section import Picture

PAGE_NAME: Final = "drape.html"
DATA_NAME: Final = "drape.json"
_CENTIMETRES: Final = 100.0


def _pictures(answer: DrapeAnswer) -> list[DrawnPicture]:
    last = answer.winds[-1]
    room = min(room for case in answer.winds for room in case.whole.clearance_m)
    in_wind = Picture(
        "drape_wind",
        "Force on the fabric and its distance to the discs, by steady wind",
        f"At {fixed(last.wind_m_s, 0)} m/s the fabric is pushed aside with"
        f" {fixed(last.whole.side_force_n, 1)} N; the least distance to a disc in any of these"
        f" winds is {fixed(room * _CENTIMETRES, 0)} cm.",
    )
    shapes = Picture(
        "drape_shapes",
        "The fabric hung and blown, seen with the wind from the left",
        "Mean places of the rim and of the lower ends of all panels; the cross is the centre of"
        " gravity of the body.",
    )
    return [
        (in_wind, lambda: draw_drape_in_wind(answer)),
        (shapes, lambda: draw_drape_shapes(answer)),
    ]


def drape_page(answer: DrapeAnswer) -> str:
    """Write the page.

    Parameters
    ----------
    answer : DrapeAnswer
        As found.

    Returns
    -------
    str
        The whole file.
    """
    return answer_page(
        AnswerPage(
            command="drape",
            title=answer.craft.spec.name,
            subtitle=drape_subtitle(answer),
            verdict=drape_verdict(answer),
            passes=answer.passes,
            warnings=(*answer.craft.warnings, *answer.scenario.warnings),
            findings=drape_findings(answer),
            assumptions=drape_assumptions(answer),
            tables=all_tables(answer),
            pictures=_pictures(answer),
            defaults=[d for d in answer.craft.defaults if d.path.startswith("drape")],
        )
    )


def write_drape_files(answer: DrapeAnswer, folder: Path) -> tuple[Path, Path]:
    """Write `drape.html` and `drape.json` into a folder, made if it is not there.

    Both texts are finished before the first file is begun.

    Parameters
    ----------
    answer : DrapeAnswer
        As found.
    folder : Path
        Where to.

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: drape_page(answer), DATA_NAME: json_text(drape_data(answer))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
