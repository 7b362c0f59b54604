"""Height hold: the upward acceleration that brings the craft to an asked height."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.params.craft_record import ControlRecord


@compiled
def climb_wanted(control: ControlRecord, error_m: float, target_m_s: float) -> float:
    """Give the climb [m/s] asked for a height error [m], between the sink and climb limits.

    A target that climbs at `target_m_s` [m/s] is followed without lag.
    """
    wanted = control.height_p_1_s * error_m + target_m_s
    return min(max(wanted, -control.max_sink_m_s), control.max_climb_m_s)


@compiled
def climb_integral(
    control: ControlRecord, climb_error_m_s: float, integral: float, period_s: float, most: float
) -> float:
    """Give the integral [m/s2] one run [s] later, at most `most` [m/s2] either way."""
    grown = integral + control.climb_i_1_s2 * climb_error_m_s * period_s
    return min(max(grown, -most), most)
