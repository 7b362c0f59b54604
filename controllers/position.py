"""Position hold: the horizontal acceleration that brings the craft to an asked place."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.craft_record import ControlRecord


@compiled
def speed_wanted(
    control: ControlRecord, error_m: tuple[float, float], target_m_s: tuple[float, float]
) -> tuple[float, float]:
    """Give the velocity north and east [m/s] asked for a position error [m], at most its limit.

    A target that moves at `target_m_s` [m/s] is followed without lag.
    """
    north = control.position_p_1_s * error_m[0] + target_m_s[0]
    east = control.position_p_1_s * error_m[1] + target_m_s[1]
    speed = math.sqrt(north * north + east * east)
    if speed > control.max_speed_m_s:
        north *= control.max_speed_m_s / speed
        east *= control.max_speed_m_s / speed
    return north, east


@compiled
def drift_integral(
    control: ControlRecord, speed_error_m_s: float, integral: float, period_s: float, most: float
) -> float:
    """Give the integral [m/s2] of one axis a run [s] later, at most `most` [m/s2] either way."""
    grown = integral + control.speed_i_1_s2 * speed_error_m_s * period_s
    return min(max(grown, -most), most)
