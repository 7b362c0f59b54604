"""Self-levelling: the body rate that brings the craft to an asked attitude."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled


@compiled
def level_rate(stiffness_1_s: float, error_rad: float, most_rad_s: float) -> float:
    """Give the rate [rad/s] asked for an angle error [rad], at most `most_rad_s`."""
    return min(max(stiffness_1_s * error_rad, -most_rad_s), most_rad_s)


@compiled
def attitude_for(
    north_m_s2: float, east_m_s2: float, heading_rad: float, gravity_m_s2: float, most_rad: float
) -> tuple[float, float]:
    """Give the roll and pitch [rad] whose thrust gives a horizontal acceleration [m/s2].

    tan(tilt) = a / g for a craft that holds its height; both angles at most `most_rad`.
    """
    sine, cosine = math.sin(heading_rad), math.cos(heading_rad)
    forward = north_m_s2 * cosine + east_m_s2 * sine
    right = -north_m_s2 * sine + east_m_s2 * cosine
    roll = math.atan(right / gravity_m_s2)
    pitch = -math.atan(forward / gravity_m_s2)
    return (
        min(max(roll, -most_rad), most_rad),
        min(max(pitch, -most_rad), most_rad),
    )
