"""The answer of `gustworthy spread` as one HTML file that needs nothing else."""

from __future__ import annotations

from functools import partial

from sim.analysis.spread_result import SpreadAnswer
from sim.report.answer_page import AnswerPage, answer_page
from sim.report.figure_spread import SPREAD_PICTURES
from sim.report.spread_content import (
    spread_assumptions,
    spread_findings,
    spread_pictures,
    spread_subtitle,
    spread_verdict,
)
from sim.report.spread_tables import spread_tables


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
            pictures=[
                (picture, partial(SPREAD_PICTURES[picture.key], answer))
                for picture in spread_pictures(answer)
            ],
            defaults=answer.craft.defaults,
        )
    )
