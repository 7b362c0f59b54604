"""Question 2, will it stay upright: modes and margins of every loop at the hover trim."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sim.analysis.check_result import StabilityAnswer
from sim.analysis.condition_margins import ConditionMargins
from sim.analysis.linear_loop import LinearLoop
from sim.analysis.margin_study import MarginCase
from sim.analysis.modes import telling_modes
from sim.analysis.required_margins import STANDARD, RequiredMargins
from sim.params.record import FloatArray

LOWEST_DRAWN_RAD_S = 0.05


def no_stability(
    reason: str, swing_m_s: float, required: RequiredMargins = STANDARD
) -> StabilityAnswer:
    """Give the answer for a craft without a steady hover."""
    return StabilityAnswer(
        has_trim=False,
        why_no_trim=reason,
        stable=False,
        margins={},
        loops={},
        modes=(),
        swing_m_s=swing_m_s,
        worst_axis=None,
        required_gain_db=required.gain_db,
        required_phase_rad=required.phase_rad,
        passes=False,
        kept_residual=math.nan,
        disagreement=math.nan,
    )


def _picture(loop: LinearLoop) -> tuple[FloatArray, NDArray[np.complex128]]:
    """Give the frequencies [rad/s] at which a loop is drawn, and its response there."""
    grid = loop.frequencies()
    drawn = grid[grid >= LOWEST_DRAWN_RAD_S]
    return drawn, loop.response(drawn)


def stability_answer(found: ConditionMargins, *, drawn: bool = True) -> StabilityAnswer:
    """Answer question 2 from the margins in a steady flight.

    Parameters
    ----------
    found : ConditionMargins
    drawn : bool
        Whether the loops are wanted for pictures.
    """
    return StabilityAnswer(
        has_trim=True,
        why_no_trim="",
        stable=found.stable,
        margins=found.margins,
        loops={axis: _picture(loop) for axis, loop in found.loops.items()} if drawn else {},
        modes=telling_modes(found.model.a, found.model.period_s, found.model.chart.groups),
        swing_m_s=found.condition.swing_m_s,
        worst_axis=found.worst_axis,
        required_gain_db=found.required.gain_db,
        required_phase_rad=found.required.phase_rad,
        passes=found.passes,
        kept_residual=found.trim.residual,
        disagreement=found.model.disagreement,
        condition=found.condition,
        together=found.together,
        attitude_together=found.attitude,
        delay_together_s=found.delay_s,
    )


def with_conditions(stability: StabilityAnswer, cases: tuple[MarginCase, ...]) -> StabilityAnswer:
    """Give the answer with other conditions looked at as well, all of which must pass.

    A condition in which no margins are found says nothing either way.
    """
    passes = all(case.found is None or case.found.passes for case in cases)
    return replace(stability, cases=cases, passes=stability.passes and passes)
