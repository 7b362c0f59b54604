"""The report and the field card, each as one HTML file that needs nothing else."""

from __future__ import annotations

from importlib.resources import files
from typing import Final

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from sim.analysis.check_result import CheckResult
from sim.report.content import report_content
from sim.report.field_card import field_card
from sim.report.pictures import picture_svg
from sim.report.replay.page import (
    ShownFlight,
    policy,
    replay_fragment,
    replay_style,
    viewer_script,
)
from sim.report.section import ReportContent

CONTENT_SECURITY_POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none';"
    " form-action 'none'"
)
_TEMPLATE: Final = "page.html.j2"
_CARD_TEMPLATE: Final = "card_page.html.j2"
_TEMPLATES: Final = (_TEMPLATE, _CARD_TEMPLATE, "card.html.j2")
_STYLE_SHEET: Final = "page.css"
_CARD_STYLE_SHEET: Final = "card.css"
_SCRIPT: Final = "page.js"


_NOTHING: Final = Markup()
WIDE: Final = 450
"""[points] Wider pictures are scrolled on a phone, so that their letters stay readable."""


def _read(name: str) -> str:
    return files("sim.report").joinpath(name).read_text("utf-8")


def _environment() -> Environment:
    return Environment(
        loader=DictLoader({name: _read(name) for name in _TEMPLATES}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


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
    shown = [ShownFlight(one.title, one.about, one.flight, one.record) for one in result.shown]
    replay = replay_fragment(result.craft.spec, result.packed, shown) if shown else _NOTHING
    return render_page(content, pictures, replay)


def card_text(result: CheckResult) -> str:
    """Write the field card as a page of its own, to print.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    str
        The whole file.
    """
    return (
        _environment()
        .get_template(_CARD_TEMPLATE)
        .render(
            card=field_card(result),
            alone=True,
            passes=result.passes,
            style=Markup(_read(_STYLE_SHEET) + _read(_CARD_STYLE_SHEET)),
            policy=CONTENT_SECURITY_POLICY,
        )
    )


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


def render_page(content: ReportContent, pictures: dict[str, str], replay: Markup = _NOTHING) -> str:
    """Set content and pictures into the page.

    Parameters
    ----------
    content : ReportContent
        Everything that is shown.
    pictures : dict of str
        SVG text by the picture's key.
    replay : Markup
        From `replay_fragment`; empty when there is nothing to replay.

    Returns
    -------
    str
        The whole file; all text is escaped, only pictures, replay, style sheets and scripts are
        set in as they are.
    """
    scripts = (_read(_SCRIPT), viewer_script()) if replay else (_read(_SCRIPT),)
    style = _read(_STYLE_SHEET) + _read(_CARD_STYLE_SHEET) + (replay_style() if replay else "")
    return (
        _environment()
        .get_template(_TEMPLATE)
        .render(
            content=content,
            card=content.card,
            alone=False,
            passes=content.passes,
            replay=replay,
            scripts=[Markup(script) for script in scripts],
            # All come from this program alone: from files of ours, or from figures, which escape
            # the names that they write.
            pictures={key: Markup(svg) for key, svg in pictures.items()},
            widths={key: svg_width(svg) for key, svg in pictures.items()},
            wide=WIDE,
            style=Markup(style),
            policy=policy(*scripts),
        )
    )
