"""From controller spec to loop records; gains left out follow from inertia, lags and delays.

The rule (common practice, no source): the body-rate loop crosses over at a fixed share of the
inverse of all lags and delays in it, and every outer loop at a fixed share of the one inside.

Where tilting rotors make the pitch there is no integral in that axis: held level by an integral,
the craft answers the moment of its own rotor drag by tilting the rotors further the way it drifts,
and runs away slowly (the linear model of a bare two-rotor craft shows it: growth in about 6 s).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

from sim.spec.airframe import CraftSpec
from sim.spec.control import ControllerSpec, RateGains
from sim.spec.quantity import Uncertain

RATE_SHARE = 0.33
LEVEL_SHARE = 0.32
INTEGRAL_SHARE = 0.1
CLIMB_SHARE = 0.3
SPEED_SHARE = 0.35
POSITION_SHARE = 0.3
MOST_RATE_YAW = 1.5


@final
@dataclass(frozen=True)
class LoopLags:
    """Lag [s] of the actuator behind each axis, without the controller's own delay."""

    roll_s: float
    pitch_s: float
    yaw_s: float
    height_s: float


def _given(value: Uncertain | None, otherwise: float) -> float:
    return otherwise if value is None else value.value


def _known(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def loop_lag_s(spec: ControllerSpec) -> float:
    """Give the controller's own lag [s]: delay, half a period of holding, gyro filter."""
    return spec.delay_s + 0.5 / spec.loop_rate_hz + 1.0 / spec.gyro_cutoff_rad_s


def _write_axis(
    record: Any,
    gains: RateGains,
    inertia_kg_m2: float,
    crossover: float,
    integral_share: float,
    most_n_m: float,
) -> None:
    record.p_n_m_s = _given(gains.p_n_m_s, inertia_kg_m2 * crossover)
    record.i_n_m = _given(gains.i_n_m, float(record.p_n_m_s) * crossover * integral_share)
    record.d_n_m_s2 = _given(gains.d_n_m_s2, 0.0)
    record.integral_limit_n_m = _known(gains.torque_limit_n_m, most_n_m)


def write_loops(
    craft: CraftSpec,
    control: Any,
    lags: LoopLags,
    inertia_kg_m2: tuple[float, float, float],
    most_moment_n_m: tuple[float, float, float],
    step_s: float,
) -> None:
    """Fill in the control record of a craft.

    Parameters
    ----------
    craft : CraftSpec
    control : record
        `ControlRecord` to fill in.
    lags : LoopLags
        Of the actuators.
    inertia_kg_m2 : tuple of float
        [kg m2] About roll, pitch, yaw.
    most_moment_n_m : tuple of float
        [N m] That the integrals may reach.
    step_s : float
        [s] Of the integration; the loop period is rounded to whole steps, the delay to whole runs.
    """
    spec = craft.controller
    control.period_ticks = max(round(1.0 / (spec.loop_rate_hz * step_s)), 1)
    period_s = int(control.period_ticks) * step_s
    control.delay_runs = round(spec.delay_s / period_s)
    control.derivative_cutoff_rad_s = spec.derivative_cutoff_rad_s
    own = loop_lag_s(spec)
    actuators = (lags.roll_s, lags.pitch_s, lags.yaw_s)
    crossover = [RATE_SHARE / (own + lag) for lag in actuators]
    axes = (spec.rate.roll, spec.rate.pitch, spec.rate.yaw)
    by_tilt = craft.layout == "bicopter"
    integral = (INTEGRAL_SHARE, 0.0 if by_tilt else INTEGRAL_SHARE, INTEGRAL_SHARE)
    for axis in range(3):
        _write_axis(
            control.rate[axis],
            axes[axis],
            inertia_kg_m2[axis],
            crossover[axis],
            integral[axis],
            most_moment_n_m[axis],
        )
    asked = (spec.level.roll_per_s, spec.level.pitch_per_s, spec.level.yaw_per_s)
    for axis in range(3):
        control.level_1_s[axis] = _known(asked[axis], LEVEL_SHARE * crossover[axis])
    most = spec.level.max_rate_rad_s
    control.max_rate_rad_s[:] = (most, most, min(most, MOST_RATE_YAW))
    control.max_tilt_rad = spec.level.max_tilt_rad
    height = spec.height
    climb = CLIMB_SHARE / (own + lags.height_s + spec.sensors.position_lag_s)
    control.climb_p_1_s = _known(height.speed_p_per_s, climb)
    control.climb_i_1_s2 = _known(
        height.speed_i_per_s2, INTEGRAL_SHARE * float(control.climb_p_1_s) ** 2
    )
    control.height_p_1_s = _known(height.p_per_s, POSITION_SHARE * float(control.climb_p_1_s))
    control.max_climb_m_s, control.max_sink_m_s = height.max_climb_m_s, height.max_sink_m_s
    position = spec.position
    level = min(float(control.level_1_s[0]), float(control.level_1_s[1]))
    control.speed_p_1_s = _known(position.speed_p_per_s, SPEED_SHARE * level)
    control.speed_i_1_s2 = _known(
        position.speed_i_per_s2, INTEGRAL_SHARE * float(control.speed_p_1_s) ** 2
    )
    control.position_p_1_s = _known(position.p_per_s, POSITION_SHARE * float(control.speed_p_1_s))
    control.max_speed_m_s = position.max_speed_m_s
    control.reserved = spec.reserved
    control.loop_factor[:] = 1.0
