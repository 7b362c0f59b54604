"""Which function draws which picture, by the key that the report's content knows it by."""

from __future__ import annotations

from matplotlib.figure import Figure

from sim.analysis.check_result import CheckResult
from sim.report.figure_craft import draw_view
from sim.report.figure_flight import draw_flight
from sim.report.figure_lift import draw_lift
from sim.report.figure_loop import draw_loop
from sim.report.figure_style import drawn_svg
from sim.report.figure_wind import draw_wind
from sim.report.section import Picture


def figure_of(result: CheckResult, key: str) -> Figure:
    """Draw one picture as a matplotlib figure.

    Parameters
    ----------
    result : CheckResult
        What was found.
    key : str
        Of a `Picture` in the report's content.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    match key:
        case "lift":
            return draw_lift(result)
        case "side" | "behind" | "top":
            return draw_view(result, key)
        case "wind":
            return draw_wind(result)
        case "flight":
            return draw_flight(result)
        case "loop_roll" | "loop_pitch" | "loop_yaw":
            return draw_loop(result, key.removeprefix("loop_"))
        case _:
            message = f"no picture has the key {key!r}"
            raise KeyError(message)


def picture_svg(result: CheckResult, picture: Picture) -> str:
    """Draw one picture as SVG text to set into a page.

    Parameters
    ----------
    result : CheckResult
        What was found.
    picture : Picture
        Which, and what is to be seen.

    Returns
    -------
    str
        One `svg` element.
    """
    words = f"{picture.caption}. {picture.finding}"
    return drawn_svg(lambda: figure_of(result, picture.key), picture.key, words)
