"""The answer of `gustworthy tune` as one HTML file and its data."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sim.analysis.loop_breaks import ATTITUDE_AXES
from sim.analysis.tune import TuneResult
from sim.analysis.tune_flights import before_and_after
from sim.pack.craft import pack_craft
from sim.report.answer_page import AnswerPage, DrawnPicture, answer_page
from sim.report.as_json import json_text
from sim.report.figure_bode import draw_bode
from sim.report.figure_nichols import LoopLine
from sim.report.figure_tune import draw_flights, draw_front
from sim.report.files import write_whole
from sim.report.section import Picture
from sim.report.tune_content import (
    hand_plan_words,
    tune_assumptions,
    tune_findings,
    tune_subtitle,
    tune_verdict,
)
from sim.report.tune_data import tune_data
from sim.report.tune_tables import all_tables

PAGE_NAME: Final = "tune.html"
DATA_NAME: Final = "tune.json"
_LOWEST_RAD_S: Final = 0.05


def _pictures(result: TuneResult) -> list[DrawnPicture]:
    drawn: list[DrawnPicture] = []
    if result.front:
        front = Picture(
            "tune_front",
            "What can be had: margin against drift in gusts",
            "Each point is a set of gains that none of those tried beats in margin, drift and"
            " moments together.",
        )
        drawn.append((front, lambda: draw_front(result)))
    spec = result.tuned_craft
    if spec is None or result.chosen is None:
        return drawn
    air, day = result.crafts.packed.air, result.scenario.spec
    flown = before_and_after(pack_craft(result.craft.spec, air), pack_craft(spec, air), day)
    for key, caption, step in (
        ("tune_step", "A step of one metre north in still air", True),
        ("tune_gust", "A flight of the scenario, the same gusts for both", False),
    ):
        pair = flown.steps if step else flown.gusts
        if any(history is not None for history in pair):
            picture = Picture(key, caption, "Dashed: gains as they are now; solid: tuned.")
            drawn.append((picture, lambda step=step: draw_flights(flown, step=step)))  # type: ignore[misc]
    for axis in ATTITUDE_AXES:
        lines = _lines(result, axis)
        picture = Picture(
            f"tune_bode_{axis}",
            f"The {axis} loop, gain and phase",
            "The curve of the tuned gains comes first, dashed that of the gains as they are now;"
            " marked are the margins of the first.",
        )
        drawn.append(
            (picture, lambda axis=axis, lines=lines: draw_bode(axis, lines, result.required))  # type: ignore[misc]
        )
    return drawn


def _lines(result: TuneResult, axis: str) -> list[LoopLine]:
    """Give the loop of an axis with tuned gains, then with own ones where these are stable."""
    lines = []
    for name, one in (("tuned", result.chosen), ("now", result.own)):
        if one is None or one.exact is None or not one.exact.stable:
            continue
        loop = one.exact.loops[axis]
        grid = loop.frequencies()
        grid = grid[grid >= _LOWEST_RAD_S]
        lines.append(LoopLine(name, grid, loop.response(grid), one.exact.margins[axis]))
    return lines


def tune_page(result: TuneResult) -> str:
    """Write the page.

    Parameters
    ----------
    result : TuneResult

    Returns
    -------
    str
        The whole file.
    """
    return answer_page(
        AnswerPage(
            command="tune",
            title=result.craft.spec.name,
            subtitle=tune_subtitle(result),
            verdict=tune_verdict(result),
            passes=result.passes,
            warnings=(*result.craft.warnings, *result.scenario.warnings),
            findings=(
                *tune_findings(result),
                *(f"On the day: {words}" for words in hand_plan_words()),
            ),
            assumptions=tune_assumptions(result),
            tables=all_tables(result),
            pictures=_pictures(result),
            defaults=[d for d in result.craft.defaults if d.path.startswith("controller")],
        )
    )


def write_tune_files(result: TuneResult, folder: Path) -> tuple[Path, Path]:
    """Write `tune.html` and `tune.json` into a folder, made if it is not there.

    Both texts are finished before the first file is begun.

    Parameters
    ----------
    result : TuneResult
    folder : Path
        Where to.

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: tune_page(result), DATA_NAME: json_text(tune_data(result))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
