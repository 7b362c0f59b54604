"""Noise, bias and lag of the sensors that the flight controller reads."""

from __future__ import annotations

import math
from typing import Annotated, Final, final

from pydantic import Field

from sim.spec.quantity import Quantity
from sim.spec.strict import StrictSpec

TurningNoise = Annotated[float, Quantity("rotation", least=0.0, most=10.0)]
AccelerationNoise = Annotated[float, Quantity("acceleration", least=0.0, most=100.0)]
LongTime = Annotated[float, Quantity("time", above=0.0, most=100.0)]
Lag = Annotated[float, Quantity("time", least=0.0, most=5.0)]
PositionNoise = Annotated[float, Quantity("length", least=0.0, most=20.0)]

_DEGREE: Final = math.pi / 180.0


@final
class SensorsSpec(StrictSpec):
    """Sensors of an ordinary hobby flight controller unless the builder says otherwise."""

    gyro_noise_rad_s: TurningNoise = Field(
        0.1 * _DEGREE,
        alias="gyro_noise",
        description="standard deviation of each reading; usual for a hobby gyro",
    )
    gyro_bias_rad_s: TurningNoise = Field(
        0.05 * _DEGREE,
        alias="gyro_bias",
        description="standard deviation of the offset left after the gyro was zeroed",
    )
    accelerometer_noise_m_s2: AccelerationNoise = Field(
        0.2,
        alias="accelerometer_noise",
        description="standard deviation of each reading, with propeller vibration",
    )
    attitude_time_constant_s: LongTime = Field(
        8.0,
        alias="attitude_time_constant",
        description="how slowly the accelerometer corrects the attitude from the gyro",
    )
    position_lag_s: Lag = Field(
        0.2, alias="position_lag", description="age of a position when the controller gets it"
    )
    position_noise_m: PositionNoise = Field(
        0.1, alias="position_noise", description="standard deviation of the position's wander"
    )
