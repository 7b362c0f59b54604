"""Pictures of question 2: each attitude loop as gain against phase, with the margins asked for."""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.figure import Figure

from sim.analysis.check_result import CheckResult
from sim.params.record import FloatArray
from sim.report.figure_style import BLUE, INK, RED, say

_TURN_DEG: Final = 360.0
_CRITICAL_DEG: Final = -180.0
_JUMP_DEG: Final = 180.0
_HIGHEST_DB: Final = 40.0
_RAD_S_PER_HZ: Final = 2.0 * np.pi


def wrapped_curve(values: np.ndarray) -> tuple[FloatArray, FloatArray]:
    """Give phase and gain of a loop for a chart that is one turn wide.

    Parameters
    ----------
    values : ndarray of complex, shape (frequencies,)
        [-] The loop, for negative feedback.

    Returns
    -------
    phase_deg, gain_db : ndarray
        [deg] from -360 to 0 and [dB], with a gap (nan) where the curve leaves one edge and comes
        in at the other.
    """
    with np.errstate(divide="ignore"):
        gain = 20.0 * np.log10(np.abs(values))
    phase = np.degrees(np.angle(values)) % _TURN_DEG - _TURN_DEG
    edges = np.flatnonzero(np.abs(np.diff(phase)) > _JUMP_DEG) + 1
    return np.insert(phase, edges, np.nan), np.insert(gain, edges, np.nan)


def draw_loop(result: CheckResult, axis: str) -> Figure:
    """Draw one loop; it must not cross the bars around the point where feedback turns round.

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
    _, values = stability.loops[axis]
    phase, gain = wrapped_curve(values)
    figure = Figure(figsize=(3.5, 3.4), layout="constrained")
    axes = figure.subplots()
    axes.plot(phase, gain, color=BLUE)
    bound = float(np.degrees(stability.required_phase_rad))
    up = stability.required_gain_db
    axes.plot([_CRITICAL_DEG - bound, _CRITICAL_DEG + bound], [0.0, 0.0], color=RED, linewidth=4.0)
    axes.plot([_CRITICAL_DEG, _CRITICAL_DEG], [-up, up], color=RED, linewidth=4.0)
    axes.plot(_CRITICAL_DEG, 0.0, marker="x", color=INK, markersize=8, markeredgewidth=2)
    say(axes, (_CRITICAL_DEG, -up - 2.0), "keep clear", ha="center", va="top")
    margins = stability.margins[axis]
    crossing = margins.gain_crossings
    if crossing and crossing[-1].frequency_rad_s is not None:
        lag = float(np.degrees(crossing[-1].value)) % _TURN_DEG
        place = (lag + _CRITICAL_DEG) % -_TURN_DEG
        axes.plot(place, 0.0, marker="o", color=BLUE, markersize=6, markeredgecolor=INK)
        words = f"{crossing[-1].frequency_rad_s / _RAD_S_PER_HZ:.1f} Hz"
        say(axes, (place, 0.0), words, shift=(8.0, -13.0))
    axes.set_title(axis)
    axes.set_xlim(-_TURN_DEG, 0.0)
    axes.set_xticks(np.arange(-_TURN_DEG, 1.0, 90.0))
    axes.set_ylim(-_HIGHEST_DB, _HIGHEST_DB)
    axes.set_xlabel("phase of the loop, deg")
    axes.set_ylabel("gain of the loop, dB")
    return figure
