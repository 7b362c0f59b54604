"""Pictures of question 2: each attitude loop as gain against phase, with the margins asked for."""

from __future__ import annotations

from matplotlib.figure import Figure

from sim.analysis.check_result import CheckResult
from sim.analysis.required_margins import RequiredMargins
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
    stability = result.stability
    frequencies, values = stability.loops[axis]
    line = LoopLine("", frequencies, values, stability.margins[axis])
    required = RequiredMargins(stability.required_gain_db, stability.required_phase_rad)
    return draw_nichols(axis, [line], required)
