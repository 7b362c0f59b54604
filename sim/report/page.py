"""The report as one HTML file that needs nothing else: no network, no script, no other file."""

from __future__ import annotations

from importlib.resources import files
from typing import Final

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from sim.analysis.check_result import CheckResult
from sim.report.content import report_content
from sim.report.pictures import picture_svg
from sim.report.section import ReportContent

CONTENT_SECURITY_POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none';"
    " form-action 'none'"
)
_TEMPLATE: Final = "page.html.j2"
_STYLE_SHEET: Final = "page.css"


def page_text(result: CheckResult) -> str:
    """Write the report of a check as HTML.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    str
        The whole file; equal results give equal text.
    """
    content = report_content(result)
    pictures = {
        picture.key: picture_svg(result, picture)
        for section in content.sections
        for picture in section.pictures
    }
    return render_page(content, pictures)


def svg_width(svg: str) -> int:
    """Give the width of a picture, so that neighbours can share one scale.

    Parameters
    ----------
    svg : str
        SVG text with a `viewBox` that begins at 0 0.

    Returns
    -------
    int
        [points] Its width.
    """
    return round(float(svg.split('viewBox="0 0 ', 1)[1].split(" ", 1)[0]))


def render_page(content: ReportContent, pictures: dict[str, str]) -> str:
    """Set content and pictures into the page.

    Parameters
    ----------
    content : ReportContent
        Everything that is shown.
    pictures : dict of str
        SVG text by the picture's key.

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
    style = folder.joinpath(_STYLE_SHEET).read_text("utf-8")
    return environment.get_template(_TEMPLATE).render(
        content=content,
        # Both come from this program alone: the one from a file of ours, the others from figures,
        # which escape the names that they write.
        pictures={key: Markup(svg) for key, svg in pictures.items()},
        widths={key: svg_width(svg) for key, svg in pictures.items()},
        style=Markup(style),
        policy=CONTENT_SECURITY_POLICY,
    )
