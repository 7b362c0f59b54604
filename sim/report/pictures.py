"""Which function draws which picture, by the key that the report's content knows it by."""

from __future__ import annotations

from matplotlib.figure import Figure

from sim.analysis.authority import AuthorityAnswer
from sim.analysis.check_result import CheckResult
from sim.analysis.picture_data import PictureData
from sim.analysis.power_point import PowerPoint
from sim.analysis.spread_result import SpreadAnswer
from sim.report.answer_lift import needed_n
from sim.report.figure_authority import draw_authority
from sim.report.figure_craft import draw_view
from sim.report.figure_flight import draw_flight
from sim.report.figure_lift import draw_lift
from sim.report.figure_loop import draw_loop, draw_loop_over_frequency
from sim.report.figure_mode import draw_modes
from sim.report.figure_power_curves import draw_power_curves
from sim.report.figure_power_flow import draw_power_flow
from sim.report.figure_spread import SPREAD_PICTURES
from sim.report.figure_style import drawn_svg
from sim.report.figure_unsure import draw_unsure
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
    if key in SPREAD_PICTURES:
        return SPREAD_PICTURES[key](_spread(result))
    return _of_answers(result, key)


def _of_answers(result: CheckResult, key: str) -> Figure:
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
        case "flow":
            return draw_power_flow(_hover(result).flow)
        case "curves":
            drawn, reserved = _drawn(result), result.craft.spec.controller.reserved
            return draw_power_curves(drawn.curve, drawn.hover, needed_n(result.lift), reserved)
        case "authority":
            return draw_authority(_authority(result))
        case "swings":
            return draw_modes(result.craft.spec, result.packed, _drawn(result).shapes)
        case "bode_roll" | "bode_pitch" | "bode_yaw":
            return draw_loop_over_frequency(result, key.removeprefix("bode_"))
        case "unsure":
            return draw_unsure(result.unknowns)
        case _:
            message = f"no picture has the key {key!r}"
            raise KeyError(message)


def _drawn(result: CheckResult) -> PictureData:
    if result.drawn is None:
        message = "nothing was kept for this picture"
        raise ValueError(message)
    return result.drawn


def _hover(result: CheckResult) -> PowerPoint:
    hover = _drawn(result).hover
    if hover is None:
        message = "there is no hover to draw"
        raise ValueError(message)
    return hover


def _authority(result: CheckResult) -> AuthorityAnswer:
    authority = _drawn(result).authority
    if authority is None:
        message = "there is no hover to draw"
        raise ValueError(message)
    return authority


def _spread(result: CheckResult) -> SpreadAnswer:
    if result.spread is None:
        message = "no crafts within the spreads were computed"
        raise ValueError(message)
    return result.spread


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
