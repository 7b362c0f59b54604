"""Body-rate loop: one axis of PID with the derivative on the measurement."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.params.craft_record import RateAxisRecord


@compiled
def rate_demand(
    gains: RateAxisRecord,
    wanted_rad_s: float,
    gyro_rad_s: float,
    slope_rad_s2: float,
    integral_n_m: float,
) -> float:
    """Give the moment [N m] asked for: P on the error, I as remembered, D on the measured slope."""
    error = wanted_rad_s - gyro_rad_s
    return gains.p_n_m_s * error + integral_n_m - gains.d_n_m_s2 * slope_rad_s2


@compiled
def rate_integral(
    gains: RateAxisRecord, wanted_rad_s: float, gyro_rad_s: float, integral: float, period_s: float
) -> float:
    """Give the integral [N m] one run [s] later, kept inside its bound."""
    grown = integral + gains.i_n_m * (wanted_rad_s - gyro_rad_s) * period_s
    return min(max(grown, -gains.integral_limit_n_m), gains.integral_limit_n_m)
