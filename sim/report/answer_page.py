"""One HTML file for the answer of one command, which needs nothing else."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Final, final

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup
from matplotlib.figure import Figure

from sim.report.cautions import DISCLAIMER
from sim.report.figure_style import drawn_svg
from sim.report.page import CONTENT_SECURITY_POLICY, WIDE, svg_width
from sim.report.section import Picture, Table
from sim.spec.defaults import DefaultUsed

_TEMPLATE: Final = "answer_page.html.j2"
_STYLE_SHEET: Final = "page.css"

DrawnPicture = tuple[Picture, Callable[[], Figure]]
"""A picture with its words, and how it is drawn."""


@final
@dataclass(frozen=True)
class AnswerPage:
    """What a page shows.

    Attributes
    ----------
    command, title, subtitle, verdict : str
        Name of the command, of the craft, one line about it, and the verdict as a sentence.
    passes : bool
        Whether the craft passes.
    warnings, findings, assumptions : sequence of str
        A sentence each.
    tables : sequence of Table
    pictures : sequence of DrawnPicture
    defaults : sequence of DefaultUsed
        Values left out of the file that the answer uses.
    """

    command: str
    title: str
    subtitle: str
    verdict: str
    passes: bool
    warnings: Sequence[str]
    findings: Sequence[str]
    assumptions: Sequence[str]
    tables: Sequence[Table]
    pictures: Sequence[DrawnPicture]
    defaults: Sequence[DefaultUsed]


def answer_page(page: AnswerPage) -> str:
    """Write a page.

    Parameters
    ----------
    page : AnswerPage

    Returns
    -------
    str
        The whole file; all text is escaped, only pictures and the style sheet are set in as they
        are.
    """
    folder = files("sim.report")
    environment = Environment(
        loader=DictLoader({_TEMPLATE: folder.joinpath(_TEMPLATE).read_text("utf-8")}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    drawn = []
    for picture, draw in page.pictures:
        svg = drawn_svg(draw, picture.key, f"{picture.caption}. {picture.finding}")
        drawn.append((picture, Markup(svg), svg_width(svg)))
    return environment.get_template(_TEMPLATE).render(
        command=page.command,
        title=page.title,
        subtitle=page.subtitle,
        verdict=page.verdict,
        passes=page.passes,
        warnings=page.warnings,
        findings=page.findings,
        assumptions=page.assumptions,
        tables=page.tables,
        pictures=drawn,
        wide=WIDE,
        defaults=page.defaults,
        disclaimer=DISCLAIMER,
        style=Markup(folder.joinpath(_STYLE_SHEET).read_text("utf-8")),
        policy=CONTENT_SECURITY_POLICY,
    )
