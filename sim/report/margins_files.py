"""The answer of `gustworthy margins` as data, and as files: a page with loop pictures, its data."""

from __future__ import annotations

import dataclasses
from functools import partial
from pathlib import Path
from typing import Any, Final

from sim.analysis.condition_margins import ConditionMargins
from sim.analysis.loop_breaks import ATTITUDE_AXES
from sim.analysis.margin_study import MarginCase, MarginStudy
from sim.analysis.mode_shape import mode_shapes, telling_shapes
from sim.analysis.steady_conditions import packed_for
from sim.pack.flight import day_air
from sim.report.answer_page import AnswerPage, DrawnPicture, answer_page
from sim.report.as_json import file_data, json_text, plain_data
from sim.report.condition_words import condition_words, wind_words
from sim.report.figure_bode import draw_bode
from sim.report.figure_mode import draw_modes
from sim.report.figure_nichols import LoopLine, draw_nichols
from sim.report.files import write_whole
from sim.report.margin_words import least_words
from sim.report.margins_content import (
    margins_assumptions,
    margins_findings,
    margins_subtitle,
    margins_tables,
    margins_verdict,
)
from sim.report.margins_json import joint_data, margins_data, mode_data
from sim.report.number_text import capital
from sim.report.section import Picture
from sim.report.version import version

FORMAT_VERSION: Final = 1
PAGE_NAME: Final = "margins.html"
DATA_NAME: Final = "margins.json"
LOWEST_DRAWN_RAD_S: Final = 0.05
_PATHS: Final = ("controller", "drape", "limits")


def margins_study_data(study: MarginStudy) -> dict[str, Any]:
    """Give everything as plain data.

    Parameters
    ----------
    study : MarginStudy

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None for what is not known.
    """
    worst = study.worst
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "made_by": {"name": "gustworthy", "version": version()},
            "craft": file_data(study.craft, layout=study.craft.spec.layout),
            "scenario": file_data(study.scenario),
            "verdict": margins_verdict(study),
            "passes": study.passes,
            "required_gain_db": study.required.gain_db,
            "required_phase_rad": study.required.phase_rad,
            "worst": None if worst is None else study.cases.index(worst),
            "findings": list(margins_findings(study)),
            "assumptions": list(margins_assumptions(study)),
            "conditions": [_case_data(case) for case in study.cases],
            "modes_in_still_air": [mode_data(mode) for mode in study.still.modes],
        }
    )


def _case_data(case: MarginCase) -> dict[str, Any]:
    found = case.found
    data: dict[str, Any] = {
        "condition": dataclasses.asdict(case.condition),
        "words": condition_words(case.condition),
        "why_not": case.reason,
    }
    if found is None:
        return {**data, "stable": None, "passes": None, "margins": {}}
    return {
        **data,
        "stable": found.stable,
        "passes": found.passes,
        "worst_axis": found.worst_axis,
        "shortfall": found.shortfall,
        "margins": {axis: margins_data(margins) for axis, margins in found.margins.items()},
        **joint_data(found.together, found.attitude, found.delay_s),
        "flutter": None if found.flutter is None else dataclasses.asdict(found.flutter),
        "residual": found.trim.residual,
        "disagreement": found.model.disagreement,
    }


def _line(name: str, found: ConditionMargins, axis: str) -> LoopLine:
    loop = found.loops[axis]
    grid = loop.frequencies()
    drawn = grid[grid >= LOWEST_DRAWN_RAD_S]
    return LoopLine(name, drawn, loop.response(drawn), found.margins[axis])


def _pictures(study: MarginStudy) -> list[DrawnPicture]:
    still, worst = study.still.found, study.worst
    if still is None or not still.stable:
        return []
    drawn: list[DrawnPicture] = []
    for axis in ATTITUDE_AXES:
        lines = [_line("still air", still, axis)]
        if worst is not None and worst is not study.still and worst.found is not None:
            lines.append(_line(wind_words(worst.condition), worst.found, axis))
        said = f"In still air the loop of {axis} has {least_words(still.margins[axis])} to spare."
        drawn.append(
            (
                Picture(
                    f"nichols_{axis}",
                    f"{capital(axis)}, gain against phase",
                    f"{said} Its curve must keep clear of the two bars; the thin line is the"
                    " region that its own disk margin keeps it out of.",
                ),
                partial(draw_nichols, axis, lines, study.required),
            )
        )
        drawn.append(
            (
                Picture(
                    f"bode_{axis}",
                    f"{capital(axis)}, gain and phase over frequency",
                    f"{said} Where the gain is inside its band the phase must be outside its own.",
                ),
                partial(draw_bode, axis, lines, study.required),
            )
        )
    return drawn


def _swings(study: MarginStudy) -> list[DrawnPicture]:
    """Give the picture of how the fabric swings in still air."""
    still, craft = study.still, study.craft.spec
    if still.found is None:
        return []
    packed = packed_for(craft, day_air(study.scenario.spec), still.condition.fabric)
    shapes = telling_shapes(mode_shapes(still.found.model, packed.record, still.found.trim.state))
    if not shapes:
        return []
    said = ". ".join(capital(shape.sentence) for shape in shapes)
    words = Picture(
        "fabric_swings",
        "How the fabric swings, at its two ends",
        f"{said}. Drawn with 10 cm where it swings most.",
    )
    return [(words, partial(draw_modes, craft, packed, shapes))]


def margins_page(study: MarginStudy) -> str:
    """Write the page.

    Parameters
    ----------
    study : MarginStudy

    Returns
    -------
    str
        The whole file.
    """
    defaults = (*study.craft.defaults, *study.scenario.defaults)
    return answer_page(
        AnswerPage(
            command="margins",
            title=study.craft.spec.name,
            subtitle=margins_subtitle(study),
            verdict=margins_verdict(study),
            passes=study.passes,
            warnings=(*study.craft.warnings, *study.scenario.warnings),
            findings=margins_findings(study),
            assumptions=margins_assumptions(study),
            tables=margins_tables(study),
            pictures=[*_pictures(study), *_swings(study)],
            defaults=[default for default in defaults if default.path.startswith(_PATHS)],
        )
    )


def write_margins_files(study: MarginStudy, folder: Path) -> tuple[Path, Path]:
    """Write `margins.html` and `margins.json` into a folder, made if it is not there.

    Both texts are finished before the first file is begun.

    Parameters
    ----------
    study : MarginStudy
    folder : Path

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: margins_page(study), DATA_NAME: json_text(margins_study_data(study))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
