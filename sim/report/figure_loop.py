"""Pictures of question 2: each attitude loop, against phase and over frequency, with margins."""

from __future__ import annotations

from matplotlib.figure import Figure

from sim.analysis.check_result import CheckResult
from sim.analysis.required_margins import RequiredMargins
from sim.report.figure_bode import draw_bode
from sim.report.figure_nichols import LoopLine, draw_nichols


def draw_loop(result: CheckResult, axis: str) -> Figure:
    """Draw one loop of a check; it must not cross the bars around where feedback turns round.

    Parameters
    ----------
    result : CheckResult
        What was found.
    axis : str
        "roll", "pitch" or "yaw".

    Returns
    -------
    Figure
        In the style that is in force.
    """
    return draw_nichols(axis, [_line(result, axis)], _required(result))


def draw_loop_over_frequency(result: CheckResult, axis: str) -> Figure:
    """Draw gain and phase of one loop of a check, with its margins marked.

    Parameters
    ----------
    result : CheckResult
        What was found.
    axis : str
        "roll", "pitch" or "yaw".

    Returns
    -------
    Figure
        In the style that is in force.
    """
    return draw_bode(axis, [_line(result, axis)], _required(result))


def _line(result: CheckResult, axis: str) -> LoopLine:
    frequencies, values = result.stability.loops[axis]
    return LoopLine("", frequencies, values, result.stability.margins[axis])


def _required(result: CheckResult) -> RequiredMargins:
    stability = result.stability
    return RequiredMargins(stability.required_gain_db, stability.required_phase_rad)
