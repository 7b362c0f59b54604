"""The flight controller: loop rate, delays, gains, limits and sensors."""

from __future__ import annotations

import math
from typing import Annotated, Final, final

from pydantic import Field

from sim.spec.quantity import Quantity, Uncertain
from sim.spec.sensing import SensorsSpec
from sim.spec.strict import StrictSpec

RateGain = Annotated[Uncertain, Quantity("rate_gain", least=0.0, most=1000.0, uncertain=True)]
AngleGain = Annotated[Uncertain, Quantity("angle_gain", least=0.0, most=1e5, uncertain=True)]
AccelerationGain = Annotated[
    Uncertain, Quantity("acceleration_gain", least=0.0, most=100.0, uncertain=True)
]
TorqueLimit = Annotated[float, Quantity("torque", above=0.0, most=1000.0)]
PerTime = Annotated[float, Quantity("per_time", least=0.0, most=100.0)]
PerTimeSquared = Annotated[float, Quantity("per_time_squared", least=0.0, most=100.0)]
Tilt = Annotated[float, Quantity("angle", above=0.0, most=1.2)]
TurningRate = Annotated[float, Quantity("rotation", above=0.0, most=20.0)]
Speed = Annotated[float, Quantity("speed", above=0.0, most=30.0)]
LoopRate = Annotated[float, Quantity("frequency", least=20.0, most=1000.0)]
Delay = Annotated[float, Quantity("time", least=0.0, most=0.2)]
Cutoff = Annotated[float, Quantity("angular_frequency", above=0.0, most=6000.0)]
Reserve = Annotated[float, Quantity("share", least=0.0, most=0.5)]

_DEGREE: Final = math.pi / 180.0
_FROM_INERTIA: Final = "from the inertia about this axis and the delays of the loop"
_FROM_LOOP: Final = "from the loop inside it"


@final
class RateGains(StrictSpec):
    """Gains of one axis of the body-rate loop; None means worked out when the craft is packed.

    Attributes
    ----------
    p_n_m_s : Uncertain or None
        [N m s] Torque per error of turning rate (N m per rad/s).
    i_n_m : Uncertain or None
        [N m] Torque per integral of that error (N m per rad).
    d_n_m_s2 : Uncertain or None
        [N m s2] Torque against measured turning acceleration (N m per rad/s2).
    torque_limit_n_m : float or None
        [N m] Most that the loop may ask for.
    """

    p_n_m_s: RateGain | None = Field(None, alias="p", description=_FROM_INERTIA)
    i_n_m: AngleGain | None = Field(None, alias="i", description=_FROM_INERTIA)
    d_n_m_s2: AccelerationGain | None = Field(None, alias="d", description=_FROM_INERTIA)
    torque_limit_n_m: TorqueLimit | None = Field(
        None, alias="torque_limit", description="what rotors and tilts can give"
    )


@final
class RateSpec(StrictSpec):
    """The body-rate loop, axis by axis."""

    roll: RateGains = Field(default_factory=RateGains)
    pitch: RateGains = Field(default_factory=RateGains)
    yaw: RateGains = Field(default_factory=RateGains)


@final
class LevelSpec(StrictSpec):
    """The self-levelling loop: turning rate asked for per angle of error.

    Attributes
    ----------
    roll_per_s, pitch_per_s, yaw_per_s : float or None
        [1/s] None means worked out when the craft is packed.
    """

    roll_per_s: PerTime | None = Field(None, alias="roll", description=_FROM_LOOP)
    pitch_per_s: PerTime | None = Field(None, alias="pitch", description=_FROM_LOOP)
    yaw_per_s: PerTime | None = Field(None, alias="yaw", description=_FROM_LOOP)
    max_tilt_rad: Tilt = Field(
        25.0 * _DEGREE, alias="max_tilt", description="steepest lean that the loops may ask for"
    )
    max_rate_rad_s: TurningRate = Field(
        120.0 * _DEGREE, alias="max_rate", description="fastest turning that the loop may ask for"
    )


@final
class HeightSpec(StrictSpec):
    """Height hold: height error to climb speed, climb speed error to acceleration.

    Attributes
    ----------
    p_per_s : float or None
        [1/s] Climb speed per height error.
    speed_p_per_s : float or None
        [1/s] Acceleration per climb speed error.
    speed_i_per_s2 : float or None
        [1/s2] Acceleration per integral of climb speed error.
    """

    p_per_s: PerTime | None = Field(None, alias="p", description=_FROM_LOOP)
    speed_p_per_s: PerTime | None = Field(
        None, alias="speed_p", description="from the quickness of the rotors"
    )
    speed_i_per_s2: PerTimeSquared | None = Field(None, alias="speed_i", description=_FROM_LOOP)
    max_climb_m_s: Speed = Field(1.5, alias="max_climb", description="fastest climb asked for")
    max_sink_m_s: Speed = Field(0.7, alias="max_sink", description="fastest sink asked for")


@final
class PositionSpec(StrictSpec):
    """Position hold: place error to ground speed, ground speed error to acceleration.

    Attributes
    ----------
    p_per_s : float or None
        [1/s] Ground speed per place error.
    speed_p_per_s : float or None
        [1/s] Acceleration per ground speed error.
    speed_i_per_s2 : float or None
        [1/s2] Acceleration per integral of ground speed error.
    """

    p_per_s: PerTime | None = Field(None, alias="p", description=_FROM_LOOP)
    speed_p_per_s: PerTime | None = Field(None, alias="speed_p", description=_FROM_LOOP)
    speed_i_per_s2: PerTimeSquared | None = Field(None, alias="speed_i", description=_FROM_LOOP)
    max_speed_m_s: Speed = Field(
        3.0, alias="max_speed", description="fastest ground speed asked for"
    )


@final
class ControllerSpec(StrictSpec):
    """The flight controller as a whole.

    Attributes
    ----------
    loop_rate_hz : float
        [Hz] How often the body-rate loop runs.
    delay_s : float
        [s] From reading the sensors to the new command at rotors and servos: sample, compute and
        output delays together.
    reserved : float
        [-] Share of full throttle that is kept back for levelling.
    """

    loop_rate_hz: LoopRate = Field(
        500.0, alias="loop_rate", description="how often the flight controller computes"
    )
    delay_s: Delay = Field(
        0.004, alias="delay", description="from reading the sensors to the command at the motors"
    )
    gyro_cutoff_rad_s: Cutoff = Field(
        2.0 * math.pi * 80.0, alias="gyro_cutoff", description="filter on the gyro"
    )
    derivative_cutoff_rad_s: Cutoff = Field(
        2.0 * math.pi * 30.0,
        alias="derivative_cutoff",
        description="filter on the turning acceleration that d acts on",
    )
    reserved: Reserve = Field(
        0.1, description="throttle kept back for levelling; common practice, no source"
    )
    rate: RateSpec = Field(default_factory=RateSpec)
    level: LevelSpec = Field(default_factory=LevelSpec)
    height: HeightSpec = Field(default_factory=HeightSpec)
    position: PositionSpec = Field(default_factory=PositionSpec)
    sensors: SensorsSpec = Field(default_factory=SensorsSpec)

    @property
    def period_s(self) -> float:
        """Give the time between two runs of the body-rate loop.

        Returns
        -------
        float
            [s] One over the loop rate.
        """
        return 1.0 / self.loop_rate_hz
