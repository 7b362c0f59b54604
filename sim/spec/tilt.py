"""Tilt mechanism of a rotor: its axis, its travel and its servo."""

from __future__ import annotations

import math
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.quantity import Quantity
from sim.spec.strict import StrictSpec
from sim.spec.structure import Mass

Travel = Annotated[float, Quantity("angle", above=0.0, most=0.5 * math.pi)]
Play = Annotated[float, Quantity("angle", least=0.0, most=0.2)]
HubHeight = Annotated[float, Quantity("length", least=0.0, most=0.5)]
Slew = Annotated[float, Quantity("servo_speed", above=0.0, most=200.0)]
Bandwidth = Annotated[float, Quantity("angular_frequency", above=0.0, most=2000.0)]
Damping = Annotated[float, Quantity("number", above=0.0, most=5.0)]
StallTorque = Annotated[float, Quantity("torque", above=0.0, most=100.0)]

_DEGREE: Final = math.pi / 180.0


@final
class ServoSpec(StrictSpec):
    """The servo that turns the rotor: a second-order lag with a slew limit, deadband and play."""

    slew_rad_s: Slew = Field(alias="slew")
    stall_torque_n_m: StallTorque = Field(alias="stall_torque")
    mass_kg: Mass = Field(alias="mass")
    natural_frequency_rad_s: Bandwidth = Field(
        2.0 * math.pi * 10.0,
        alias="natural_frequency",
        description="small-signal quickness of a hobby servo; common practice, no source",
    )
    damping_ratio: Damping = Field(
        0.8, description="a servo that hardly overshoots; common practice, no source"
    )
    deadband_rad: Play = Field(
        0.2 * _DEGREE, alias="deadband", description="command change that the servo ignores"
    )
    slop_rad: Play = Field(
        0.5 * _DEGREE, alias="slop", description="free play between servo and rotor, stop to stop"
    )


@final
class TiltSpec(StrictSpec):
    """How a rotor tilts about its pivot, which is the rotor's place."""

    axis: Literal["right", "forward"]
    travel_rad: Travel = Field(alias="travel")
    hub_above_pivot_m: HubHeight = Field(
        0.0, alias="hub_above_pivot", description="the propeller turns at the height of the pivot"
    )
    servo: ServoSpec
