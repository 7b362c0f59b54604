"""The answer of `gustworthy spread` as one HTML file that needs nothing else."""

from __future__ import annotations

from functools import partial

from sim.analysis.spread_result import SpreadAnswer
from sim.report.answer_page import AnswerPage, DrawnPicture, answer_page
from sim.report.figure_spread import draw_distributions, draw_importance, drawn_importance
from sim.report.section import Picture
from sim.report.spread_content import (
    spread_assumptions,
    spread_findings,
    spread_subtitle,
    spread_verdict,
)
from sim.report.spread_tables import spread_tables


def _pictures(answer: SpreadAnswer) -> list[DrawnPicture]:
    found: list[DrawnPicture] = []
    if drawn_importance(answer):
        words = Picture(
            "importance",
            "Which unknown matters most",
            "Share of each figure's variance that an unknown causes, alone or together with others;"
            " the thin line is its 95 % interval.",
        )
        found.append((words, partial(draw_importance, answer)))
    words = Picture(
        "distributions",
        "What the figures may be",
        f"{len(answer.headlines)} crafts. Solid line: the craft as written; dashed: the limit.",
    )
    found.append((words, partial(draw_distributions, answer)))
    return found


def spread_page(answer: SpreadAnswer) -> str:
    """Write the page.

    Parameters
    ----------
    answer : SpreadAnswer

    Returns
    -------
    str
        The whole file.
    """
    return answer_page(
        AnswerPage(
            command="spread",
            title=answer.craft.spec.name,
            subtitle=spread_subtitle(answer),
            verdict=spread_verdict(answer),
            passes=answer.passes,
            warnings=answer.craft.warnings,
            findings=spread_findings(answer),
            assumptions=spread_assumptions(answer),
            tables=spread_tables(answer),
            pictures=_pictures(answer),
            defaults=answer.craft.defaults,
        )
    )
