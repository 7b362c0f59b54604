"""Margins of one craft in one condition: every loop alone, and all of them together."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, final

from sim.analysis.condition import STILL_SWING_M_S, Condition, Fabric
from sim.analysis.flutter import Flutter, with_flutter_damped
from sim.analysis.linear_loop import ClosedLoop, LinearLoop
from sim.analysis.linearise import LinearModel, linearise
from sim.analysis.loop_breaks import (
    ATTITUDE_AXES,
    AXES,
    SENT_AXES,
    axis_loop,
    loops_together,
)
from sim.analysis.loop_margins import LoopMargins, Margin, margins_of_linear_loop
from sim.analysis.multi_loop import JointDisk
from sim.analysis.required_margins import STANDARD, RequiredMargins
from sim.analysis.trim import Trim, find_trim
from sim.pack.craft import PackedCraft
from sim.physics.air.wind_profile import mean_wind_ratio


@final
@dataclass(frozen=True)
class ConditionMargins:
    """What the loops of a craft bear in one steady flight.

    Attributes
    ----------
    condition : Condition
    required : RequiredMargins
    trim : Trim
    model : LinearModel
        With the flutter of the fabric, if any, damped.
    closed : ClosedLoop
    loops : dict
        Axis to its loop, with all other loops closed.
    margins : dict
        Axis to its margins.
    together : JointDisk or None
        All the axes varied at the same time; None when unstable or not asked for.
    attitude : JointDisk or None
        Roll, pitch and yaw varied at the same time; likewise.
    delay_s : Margin or None
        [s] Delay added to all that the flight controller sends out; likewise.
    flutter : Flutter or None
        What the fabric does by itself; None when it comes to rest.
    """

    condition: Condition
    required: RequiredMargins
    trim: Trim
    model: LinearModel
    closed: ClosedLoop
    loops: dict[str, LinearLoop]
    margins: dict[str, LoopMargins]
    together: JointDisk | None
    attitude: JointDisk | None
    delay_s: Margin | None
    flutter: Flutter | None = None

    @property
    def stable(self) -> bool:
        """Whether no motion grows."""
        return self.closed.unstable_roots() == 0

    @property
    def worst_axis(self) -> str | None:
        """The attitude axis that is nearest to its required margins; None when unstable."""
        if not self.stable:
            return None
        judged = [axis for axis in ATTITUDE_AXES if axis in self.margins]
        return max(judged, key=lambda axis: self.required.shortfall(self.margins[axis]))

    @property
    def shortfall(self) -> float:
        """[-] Required over found margin of the worst axis; at most 1 passes, inf when unstable."""
        worst = self.worst_axis
        return math.inf if worst is None else self.required.shortfall(self.margins[worst])

    @property
    def passes(self) -> bool:
        """Whether it is stable with the margins that are asked for."""
        return self.shortfall <= 1.0


def condition_of(flight: Any, *, charge: float, fabric: Fabric, swing_m_s: float) -> Condition:
    """Give the condition that a flight record is for, at the place of its first command."""
    height = -float(flight.command[0].place_m[2])
    ratio = mean_wind_ratio(
        height, float(flight.wind_height_m), float(flight.roughness_m), float(flight.least_height_m)
    )
    wind = float(flight.wind_m_s)
    return Condition(
        wind_m_s=wind * ratio if wind else 0.0,
        from_rad=float(flight.wind_from_rad),
        charge=charge,
        fabric=fabric,
        height_m=height,
        swing_m_s=swing_m_s,
    )


def margins_at(
    trim: Trim,
    condition: Condition,
    *,
    required: RequiredMargins = STANDARD,
    axes: Iterable[str] = tuple(AXES),
    together: bool = True,
) -> ConditionMargins:
    """Find the margins at a trim.

    Parameters
    ----------
    trim : Trim
    condition : Condition
        What the trim is for.
    required : RequiredMargins
    axes : iterable of str
        Whose single-loop margins are wanted.
    together : bool
        Whether the joint margins are wanted, too.

    Raises
    ------
    NotLinear
        If the step has no usable derivative there.
    """
    model, flutter = with_flutter_damped(
        linearise(trim.crafts, trim.flights, trim.state, trim.chart), trim
    )
    closed = ClosedLoop(model.a, model.period_s)
    loops = {axis: axis_loop(model, closed, axis) for axis in axes}
    joint = together and closed.unstable_roots() == 0
    return ConditionMargins(
        condition=condition,
        required=required,
        trim=trim,
        model=model,
        closed=closed,
        loops=loops,
        margins={axis: margins_of_linear_loop(loop) for axis, loop in loops.items()},
        together=loops_together(model, closed, AXES).disk() if joint else None,
        attitude=loops_together(model, closed, ATTITUDE_AXES).disk() if joint else None,
        delay_s=loops_together(model, closed, SENT_AXES).delay() if joint else None,
        flutter=flutter,
    )


def quick_margins(
    packed: PackedCraft,
    flight: Any,
    *,
    charge: float | None = None,
    swing_m_s: float = STILL_SWING_M_S,
    start: Trim | None = None,
    required: RequiredMargins = STANDARD,
    axes: Iterable[str] = tuple(AXES),
    together: bool = True,
) -> ConditionMargins:
    """Trim a craft and find its margins, quickly when the trim of a similar one is given.

    Parameters
    ----------
    packed : PackedCraft
    flight : record
        Such as `plain_flight` makes; wind and height are its own.
    charge : float, optional
        [-] Of the pack; that of the craft by default.
    swing_m_s : float
        [m/s] Swing at which the drag of the fabric is made linear.
    start : Trim, optional
        Of a similar craft or a nearby wind.
    required, axes, together
        See `margins_at`.

    Raises
    ------
    NoTrim
        If there is no steady flight.
    NotLinear
        If the step has no usable derivative there.
    """
    charge = packed.charge if charge is None else charge
    trim = find_trim(packed.record, flight, charge=charge, swing_m_s=swing_m_s, start=start)
    fabric: Fabric = "dry" if packed.fabric_mass_kg > 0.0 else "none"
    condition = condition_of(flight, charge=charge, fabric=fabric, swing_m_s=swing_m_s)
    return margins_at(trim, condition, required=required, axes=axes, together=together)
