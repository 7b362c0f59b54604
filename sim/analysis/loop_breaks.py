"""The loops of a linear model, each broken at its demand: one at a time, or several together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.linear_loop import ClosedLoop, LinearLoop, frequency_grid
from sim.analysis.linearise import LinearModel
from sim.analysis.loop_margins import LoopMargins, Margin, margins_of_linear_loop
from sim.analysis.multi_loop import JointDisk, Sensitivity, joint_delay_margin, joint_disk_margin
from sim.params.record import FloatArray
from sim.params.state_record import EAST, NORTH, PITCH, ROLL, THRUST, YAW

Complexes: TypeAlias = NDArray[np.complex128]

AXES: dict[str, int] = {
    "height": THRUST,
    "roll": ROLL,
    "pitch": PITCH,
    "yaw": YAW,
    "north": NORTH,
    "east": EAST,
}
ATTITUDE_AXES = ("roll", "pitch", "yaw")
SENT_AXES = ("height", *ATTITUDE_AXES)
"""What the flight controller sends to rotors and servos, all of it through the same delay."""


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


@final
@dataclass(frozen=True)
class LoopsTogether:
    """Several loops of a stable linear model, broken at the same time.

    Attributes
    ----------
    axes : tuple of str
    sensitivity : callable
        S = I + H at frequencies [rad/s], shape (m, axes, axes).
    grid : ndarray, shape (m,)
        [rad/s] Fine enough to show every peak of S.
    """

    axes: tuple[str, ...]
    sensitivity: Sensitivity
    grid: FloatArray

    def disk(self) -> JointDisk:
        """Give the disk of factors that all these loops bear at the same time."""
        return joint_disk_margin(self.sensitivity, self.grid)

    def delay(self) -> Margin:
        """Give the delay [s] that these loops bear when it is added to all of them."""
        return joint_delay_margin(self.sensitivity, self.grid)


def loops_together(model: LinearModel, closed: ClosedLoop, axes: Iterable[str]) -> LoopsTogether:
    """Break the loops of some axes at the same time; the others stay closed."""
    names = tuple(axes)
    columns = np.array([AXES[axis] for axis in names])
    rows = model.chart.demands[columns]
    inject, measure = model.b[:, columns], model.a[rows]
    direct = model.b[np.ix_(rows, columns)]
    response = closed.transfer(inject, measure, direct)
    unit = np.eye(len(names))

    def sensitivity(frequencies_rad_s: FloatArray) -> Complexes:
        found: Complexes = unit + response(frequencies_rad_s)
        return found

    broken = model.a - inject @ np.linalg.solve(unit + direct, measure)
    roots = np.concatenate([closed.roots, np.linalg.eigvals(broken)])
    return LoopsTogether(names, sensitivity, frequency_grid(roots, model.period_s))
