"""The answer of `gustworthy authority` as one HTML file and its data."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sim.analysis.authority_study import AuthorityStudy
from sim.report.answer_page import AnswerPage, DrawnPicture, answer_page
from sim.report.as_json import json_text
from sim.report.authority_content import (
    authority_assumptions,
    authority_findings,
    authority_remedy,
    authority_subtitle,
    authority_verdict,
    left_words,
)
from sim.report.authority_data import authority_data
from sim.report.authority_tables import all_tables
from sim.report.figure_authority import draw_authority, draw_wind_use
from sim.report.figure_mode import draw_modes
from sim.report.files import write_whole
from sim.report.number_text import capital, listed, percent
from sim.report.section import Picture

PAGE_NAME: Final = "authority.html"
DATA_NAME: Final = "authority.json"
_USED: Final = ("rotors", "every_rotor", "battery", "controller", "drape")


def authority_pictures(study: AuthorityStudy) -> list[DrawnPicture]:
    """Give each picture and how it is drawn."""
    answer = study.authority
    if answer is None:
        return []
    slices = Picture(
        "authority",
        "What the rotors can do in hover, cut open along two axes at a time",
        f"{left_words(answer)} The dashed line is the convex hull of all settings, which promises"
        f" up to {percent(answer.overstated, 1)} % more each way.",
    )
    found: list[DrawnPicture] = [(slices, lambda: draw_authority(answer))]
    if any(use.holds for use in study.winds):
        used = Picture(
            "authority_wind",
            "What share of lift and turns wind takes",
            "Solid lines are the mean, dotted ones what its gusts stay below for all but a"
            " twentieth of the time; at 100 % nothing is left.",
        )
        found.append((used, lambda: draw_wind_use(study.winds)))
    if study.shapes:
        swings = Picture(
            "fabric_swings",
            "How the fabric swings, at its two ends",
            f"{capital(listed([shape.sentence for shape in study.shapes]))}. Drawn with 10 cm where"
            " it swings most.",
        )
        found.append((swings, lambda: draw_modes(study.craft.spec, study.packed, study.shapes)))
    return found


def authority_page(study: AuthorityStudy) -> str:
    """Write the page.

    Parameters
    ----------
    study : AuthorityStudy
        As found.

    Returns
    -------
    str
        The whole file.
    """
    remedy = authority_remedy(study)
    findings = authority_findings(study)
    return answer_page(
        AnswerPage(
            command="authority",
            title=study.craft.spec.name,
            subtitle=authority_subtitle(study),
            verdict=authority_verdict(study),
            passes=study.passes,
            warnings=(*study.craft.warnings, *study.scenario.warnings),
            findings=(f"What to do: {remedy}", *findings) if remedy else findings,
            assumptions=authority_assumptions(study),
            tables=all_tables(study),
            pictures=authority_pictures(study),
            defaults=[d for d in study.craft.defaults if d.path.startswith(_USED)],
        )
    )


def write_authority_files(study: AuthorityStudy, folder: Path) -> tuple[Path, Path]:
    """Write `authority.html` and `authority.json` into a folder, made if it is not there.

    Both texts are finished before the first file is begun.

    Parameters
    ----------
    study : AuthorityStudy
        As found.
    folder : Path
        Where to.

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: authority_page(study), DATA_NAME: json_text(authority_data(study))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
