"""Question 2, will it stay upright: modes and margins of every loop at the hover trim."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.analysis.chart import CONTROL
from sim.analysis.check_result import StabilityAnswer
from sim.analysis.linear_loop import ClosedLoop, LinearLoop
from sim.analysis.linearise import LinearModel, linearise
from sim.analysis.loop_margins import LoopMargins, decibel, margins_of_linear_loop
from sim.analysis.modes import Mode, modes
from sim.analysis.trim import Trim
from sim.params.record import FloatArray
from sim.params.state_record import EAST, NORTH, PITCH, ROLL, THRUST, YAW

AXES: dict[str, int] = {
    "height": THRUST,
    "roll": ROLL,
    "pitch": PITCH,
    "yaw": YAW,
    "north": NORTH,
    "east": EAST,
}
ATTITUDE_AXES = ("roll", "pitch", "yaw")
REQUIRED_GAIN_DB = 6.0
REQUIRED_PHASE_RAD = math.radians(45.0)
LOWEST_DRAWN_RAD_S = 0.05
SHOWN_MODES = 12


def axis_loop(model: LinearModel, closed: ClosedLoop, axis: str) -> LinearLoop:
    """Give the loop of an axis, broken at its demand: d is added after the demand u is read.

    u of a period is a state of the next, so that H(z) = z c (zI - A)^-1 B; written here as
    c A (zI - A)^-1 B + c B, the row of the demand being c.
    """
    column = AXES[axis]
    row = int(model.chart.demands[column])
    return LinearLoop(closed, model.b[:, column], model.a[row], float(model.b[row, column]))


def all_loops(model: LinearModel) -> tuple[ClosedLoop, dict[str, LinearLoop]]:
    """Give the closed loop and the loop of every axis, each with all other loops closed."""
    closed = ClosedLoop(model.a, model.period_s)
    return closed, {axis: axis_loop(model, closed, axis) for axis in AXES}


def all_margins(model: LinearModel) -> tuple[ClosedLoop, dict[str, LoopMargins]]:
    """Give the closed loop and the margins of every axis, each with all other loops closed."""
    closed, loops = all_loops(model)
    return closed, {axis: margins_of_linear_loop(loop) for axis, loop in loops.items()}


def shortfall(margins: LoopMargins) -> float:
    """Give how far a loop is from its required margins: below 1 they are met, inf if unstable.

    The largest of required over found gain margin (either way, in decibels) and phase margin
    (SAE AS94900: 6 dB and 45 degrees).
    """
    if not margins.stable or margins.gain_up is None or margins.gain_down is None:
        return math.inf
    if margins.phase_rad is None:
        return math.inf
    up = decibel(margins.gain_up.value)
    down = -decibel(margins.gain_down.value) if margins.gain_down.value > 0.0 else math.inf
    phase = abs(margins.phase_rad.value)
    floor = 1e-9
    return max(
        REQUIRED_GAIN_DB / max(up, floor),
        REQUIRED_GAIN_DB / max(down, floor),
        REQUIRED_PHASE_RAD / max(phase, floor),
    )


def is_idle_memory(mode: Mode) -> bool:
    """Tell whether a motion is only an integral that nothing feeds."""
    return mode.neutral and mode.moves == CONTROL


def no_stability(reason: str, swing_m_s: float) -> StabilityAnswer:
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
        required_gain_db=REQUIRED_GAIN_DB,
        required_phase_rad=REQUIRED_PHASE_RAD,
        passes=False,
        kept_residual=math.nan,
        disagreement=math.nan,
    )


def _picture(loop: LinearLoop, grid: FloatArray) -> tuple[FloatArray, NDArray[np.complex128]]:
    """Give the part of the grid [rad/s] that is drawn, and the loop's response there."""
    drawn = grid[grid >= LOWEST_DRAWN_RAD_S]
    return drawn, loop.response(drawn)


def stability_answer(trim: Trim, swing_m_s: float) -> StabilityAnswer:
    """Answer question 2 at a trim.

    Raises
    ------
    NotLinear
        If the step has no usable derivative there.
    """
    model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    closed, loops = all_loops(model)
    grids = {axis: loop.frequencies() for axis, loop in loops.items()}
    margins = {axis: margins_of_linear_loop(loop, grids[axis]) for axis, loop in loops.items()}
    stable = closed.unstable_roots() == 0
    pictures = {axis: _picture(loop, grids[axis]) for axis, loop in loops.items()}
    found = modes(model.a, model.period_s, model.chart.groups)
    worst = max(ATTITUDE_AXES, key=lambda axis: shortfall(margins[axis])) if stable else None
    passes = stable and worst is not None and shortfall(margins[worst]) <= 1.0
    return StabilityAnswer(
        has_trim=True,
        why_no_trim="",
        stable=stable,
        margins=margins,
        loops=pictures,
        modes=tuple(mode for mode in found if not is_idle_memory(mode))[:SHOWN_MODES],
        swing_m_s=swing_m_s,
        worst_axis=worst,
        required_gain_db=REQUIRED_GAIN_DB,
        required_phase_rad=REQUIRED_PHASE_RAD,
        passes=passes,
        kept_residual=trim.residual,
        disagreement=model.disagreement,
    )
