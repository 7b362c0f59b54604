"""Crafts side by side as one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from matplotlib.figure import Figure

from sim.analysis.check_result import CheckResult
from sim.analysis.compare import Comparison
from sim.report.answer_page import AnswerPage, DrawnPicture, answer_page
from sim.report.compare_content import (
    answers_table,
    contents,
    figures_tables,
    masses,
    pair_sentences,
    pair_tables,
    subtitle,
)
from sim.report.figure_compare import draw_margins, draw_paired_winds
from sim.report.figure_craft import draw_view
from sim.report.section import Picture


def _side(result: CheckResult) -> Callable[[], Figure]:
    return partial(draw_view, result, "side")


def _pictures(comparison: Comparison) -> list[DrawnPicture]:
    found: list[DrawnPicture] = []
    for number, result in enumerate(comparison.results):
        words = Picture(
            f"side_{number}", f"{result.craft.spec.name} from the side", "Drawn to scale."
        )
        found.append((words, _side(result)))
    if any(pair is not None for pair in comparison.pairs):
        words = Picture("paired", "Flights that succeed in the same gusts", comparison.decides)
        found.append((words, partial(draw_paired_winds, comparison)))
    if any(result.stability.margins for result in comparison.results):
        said = "The longer the bar, the more a loop bears before it turns unstable."
        words = Picture("margins", "Phase to spare in each loop", said)
        found.append((words, partial(draw_margins, comparison)))
    return found


def compare_page(comparison: Comparison) -> str:
    """Write the page.

    Parameters
    ----------
    comparison : Comparison

    Returns
    -------
    str
        The whole file.
    """
    told = contents(comparison)
    warnings = [
        f"{result.craft.spec.name}: {warning}"
        for result in comparison.results
        for warning in result.craft.warnings
    ]
    return answer_page(
        AnswerPage(
            command="compare",
            title=" or ".join(one.title for one in told),
            subtitle=subtitle(comparison),
            verdict=comparison.decides.rstrip("."),
            passes=comparison.passes,
            warnings=warnings,
            findings=(*masses(comparison), *pair_sentences(comparison)),
            assumptions=(
                "Each craft's answers are those of check on its own; the paired flights come on"
                " top of them.",
                "A wind limit here is an estimate from paired flights without a bound, so that"
                " crafts can be held against each other; the limit to fly by is that of check.",
            ),
            tables=(answers_table(told), *pair_tables(comparison), *figures_tables(told)),
            pictures=_pictures(comparison),
            defaults=(),
        )
    )
