"""How every picture looks, and how it becomes SVG text that follows the page around it.

Colours are drawn as stand-ins and then replaced: ink by `currentColor`, the rest by style variables
of the page with a fallback, so that a picture is readable on light, dark and paper alike. The hues
are those of the "bright" set of Paul Tol (Colour schemes, SRON/EPS/TN/09-002), which people with
any colour vision tell apart; every line and area carries its name as well.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Callable
from html import escape
from typing import Any, Final, NamedTuple
from weakref import WeakKeyDictionary

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends import backend_svg
from matplotlib.figure import Figure

INK: Final = "#010203"
FAINT: Final = "#010204"
BLUE: Final = "#010205"
RED: Final = "#010206"
GREEN: Final = "#010207"
YELLOW: Final = "#010208"
CYAN: Final = "#010209"
PURPLE: Final = "#01020a"
PAPER: Final = "#01020b"

_STAND_INS: Final = {
    INK: "currentColor",
    FAINT: "var(--faint, #8a8f98)",
    BLUE: "var(--blue, #4477aa)",
    RED: "var(--red, #ee6677)",
    GREEN: "var(--green, #228833)",
    YELLOW: "var(--yellow, #ccbb44)",
    CYAN: "var(--cyan, #66ccee)",
    PURPLE: "var(--purple, #aa3377)",
    PAPER: "var(--paper, #ffffff)",
}
_STYLE: Final[dict[Any, Any]] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "gustworthy",
    "font.family": "DejaVu Sans",
    "font.size": 10.0,
    "text.parse_math": False,
    "text.color": INK,
    "axes.labelcolor": INK,
    "axes.titlecolor": INK,
    "axes.titlesize": 10.0,
    "axes.titlelocation": "left",
    "axes.edgecolor": INK,
    "axes.facecolor": "none",
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "grid.color": FAINT,
    "grid.linewidth": 0.5,
    "grid.alpha": 0.45,
    "xtick.color": INK,
    "ytick.color": INK,
    "figure.facecolor": "none",
    "savefig.facecolor": "none",
    "lines.linewidth": 1.7,
    "hatch.color": INK,
    "path.simplify": True,
    "path.simplify_threshold": 0.3,
}


class Spot(NamedTuple):
    """A place on a picture whose value can be read.

    Attributes
    ----------
    axes : Axes
    place : tuple of float
        In the coordinates of the data.
    words : str
    """

    axes: Axes
    place: tuple[float, float]
    words: str


_METADATA: Final = {"Date": None, "Creator": None, "Format": None, "Type": None}
_POINTS_PER_INCH: Final = 72.0
_LARGEST: Final = 1.6
"""[px per point] Beyond this the letters of a picture would outgrow those of the page."""


_SPOTS: WeakKeyDictionary[Figure, list[Spot]] = WeakKeyDictionary()


def spot(axes: Axes, place: tuple[float, float], words: str) -> None:
    """Let a reader point at a place on a picture and read its value.

    Parameters
    ----------
    axes : Axes
        Where.
    place : tuple of float
        In the coordinates of the data.
    words : str
        The value, with units.
    """
    figure = axes.get_figure(root=True)
    if figure is not None:
        _SPOTS.setdefault(figure, []).append(Spot(axes, place, words))


def _spots_svg(figure: Figure, width: float, height: float) -> str:
    """Give the spots of a figure that was drawn, as unseen circles with a title."""
    found = []
    for one in _SPOTS.get(figure, ()):
        across, upward = one.axes.transData.transform(one.place) * _POINTS_PER_INCH / figure.dpi
        if 0.0 <= across <= width and 0.0 <= upward <= height:
            found.append(
                f'<circle class="spot" cx="{across:.1f}" cy="{height - upward:.1f}" r="6"'
                ' fill="none" pointer-events="all">'
                f"<title>{escape(one.words)}</title></circle>\n"
            )
    return "".join(found)


def drawn_svg(draw: Callable[[], Figure], key: str, words: str) -> str:
    """Draw a picture in the common style and give it as SVG text to set into a page.

    Parameters
    ----------
    draw : callable
        Makes the figure; called with the style in force.
    key : str
        Letters, digits and underscores; begins every identifier inside, so that pictures on one
        page do not mix theirs up.
    words : str
        What is to be seen, read aloud in place of the picture.

    Returns
    -------
    str
        One `svg` element; the same bytes for the same figure.
    """
    with mpl.rc_context(_STYLE), warnings.catch_warnings():
        # A letter that the measuring font lacks is drawn by the reader's own font.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure = draw()
        return _embeddable(_plain_svg(figure), figure, key, words)


def _plain_svg(figure: Figure) -> str:
    """Give a figure as SVG: what `savefig` does, but laid out and drawn once, not twice."""
    stream = io.StringIO()
    figure.set_dpi(_POINTS_PER_INCH)
    for axes in figure.axes:
        # What is drawn inside of the axes asks for no room around them.
        for artist in (*axes.lines, *axes.patches, *axes.collections):
            artist.set_in_layout(False)
    width, height = figure.get_size_inches() * _POINTS_PER_INCH
    backend: Any = backend_svg
    renderer = backend.RendererSVG(width, height, stream, metadata=_METADATA)
    figure.draw(renderer)
    renderer.finalize()
    return stream.getvalue()


def _embeddable(text: str, figure: Figure, key: str, words: str) -> str:
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>|<!--.*?-->", "", text, flags=re.DOTALL)
    for stand_in, colour in _STAND_INS.items():
        text = text.replace(stand_in, colour)
    text = re.sub(r'(\bid="|url\(#|href="#)', rf"\1{key}_", text)
    text = re.sub(r"font: ([\d.]+px) [^;\"]*", r"font-size: \1", text)
    text = re.sub(r"font-family: [^;\"]*;? ?", "", text)
    text = re.sub(r"<style[^>]*>.*?</style>", "", text, flags=re.DOTALL)
    text = re.sub(r"\n\s*", "\n", text)
    width, height = (float(side) * _POINTS_PER_INCH for side in figure.get_size_inches())
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        f' viewBox="0 0 {width:g} {height:g}" style="max-width: {_LARGEST * width:.0f}px"'
        f' role="img" aria-label="{escape(words, quote=True)}">'
    )
    text = re.sub(r"<svg [^>]*>", lambda _: opening, text, count=1)
    return text.replace("</svg>", f"{_spots_svg(figure, width, height)}</svg>")


def say(
    axes: Axes,
    place: tuple[float, float],
    words: str,
    *,
    shift: tuple[float, float] = (0.0, 0.0),
    **style: Any,
) -> None:
    """Write words on a picture, on a patch of paper so that lines do not run through them.

    Parameters
    ----------
    axes : Axes
        Where.
    place : tuple of float
        In the coordinates of the data.
    words : str
        What.
    shift : tuple of float
        [points] From there, right and up.
    **style
        As `Axes.annotate` takes it.
    """
    patch = {"facecolor": PAPER, "edgecolor": "none", "alpha": 0.8, "pad": 0.8}
    axes.annotate(words, place, shift, textcoords="offset points", bbox=patch, **style)
