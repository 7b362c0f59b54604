"""All that changes in a flight, field by field; every state of the linear model is one of these.

Earth axes are north, east, down from the point on the ground below the start.
"""

from __future__ import annotations

from typing import Annotated

from sim.params.craft_record import MAX_ROTORS
from sim.params.drape_record import MAX_PANELS
from sim.params.neck_record import NeckStateRecord
from sim.params.record import FloatArray, Quantity, record_type
from sim.params.wind_record import LAGS

MAX_DELAY_RUNS = 48
MAX_PILOT_LOOKS = 32
DEMANDS = 6
THRUST, ROLL, PITCH, YAW, NORTH, EAST = range(DEMANDS)


class RotorStateRecord:
    """One rotor, its servo and what it is told."""

    speed_rad_s: Annotated[float, Quantity("rad/s", "shaft speed, never negative")]
    servo_rad: Annotated[float, Quantity("rad", "servo horn angle")]
    servo_rate_rad_s: Annotated[float, Quantity("rad/s", "servo horn speed")]
    tilt_rad: Annotated[float, Quantity("rad", "rotor angle after the play of the linkage")]
    throttle: Annotated[float, Quantity("-", "command held since the last run of the loops")]
    tilt_command_rad: Annotated[float, Quantity("rad", "command held likewise")]


class BodyStateRecord:
    """The craft as a moving solid."""

    position_m: Annotated[FloatArray, Quantity("m", "CG, earth axes", (3,))]
    velocity_m_s: Annotated[FloatArray, Quantity("m/s", "CG, earth axes", (3,))]
    attitude: Annotated[FloatArray, Quantity("-", "unit quaternion w x y z, body to earth", (4,))]
    rate_rad_s: Annotated[FloatArray, Quantity("rad/s", "body axes", (3,))]
    specific_force_m_s2: Annotated[FloatArray, Quantity("m/s2", "felt in the last step", (3,))]


class EstimateRecord:
    """What sensors and estimators believe."""

    gyro_rad_s: Annotated[FloatArray, Quantity("rad/s", "low-passed body rates", (3,))]
    angle_rad: Annotated[FloatArray, Quantity("rad", "roll, pitch, heading", (3,))]
    position_m: Annotated[FloatArray, Quantity("m", "earth axes", (3,))]
    velocity_m_s: Annotated[FloatArray, Quantity("m/s", "earth axes", (3,))]


class ControlStateRecord:
    """Memory of the loops, and the demands on their way to the mixer."""

    rate_integral_n_m: Annotated[FloatArray, Quantity("N m", "roll, pitch, yaw", (3,))]
    rate_slope_rad_s2: Annotated[FloatArray, Quantity("rad/s2", "filtered rate derivative", (3,))]
    last_gyro_rad_s: Annotated[FloatArray, Quantity("rad/s", "of the run before", (3,))]
    climb_integral_m_s2: Annotated[float, Quantity("m/s2", "height loop")]
    drift_integral_m_s2: Annotated[FloatArray, Quantity("m/s2", "north, east", (2,))]
    demand: Annotated[
        FloatArray, Quantity("N, N m, m/s2", "thrust, roll, pitch, yaw, north, east", (DEMANDS,))
    ]
    delayed: Annotated[
        FloatArray, Quantity("N, N m", "thrust and moments, newest first", (MAX_DELAY_RUNS, 4))
    ]


class WindStateRecord:
    """Shaping filters of the turbulence, and the air that they give now.

    Slopes are those of the component in a row along the direction in a column.
    """

    shaping: Annotated[
        FloatArray,
        Quantity(
            "m/s",
            "Dryden: along, two states across, two down; Kaimal: four lags a component",
            (3 * LAGS,),
        ),
    ]
    drawn_m_s: Annotated[FloatArray, Quantity("m/s", "turbulence, wind axes, no ramp", (3,))]
    slow_m_s: Annotated[FloatArray, Quantity("m/s", "the same behind the slopes' lags", (3,))]
    across_1_s: Annotated[FloatArray, Quantity("1/s", "du/dy dv/dy dw/dy du/dz dv/dz", (5,))]
    eddy_m_s: Annotated[FloatArray, Quantity("m/s", "turbulence, earth axes, no ramp", (3,))]
    eddy_slope_1_s: Annotated[FloatArray, Quantity("1/s", "of it, earth axes, no ramp", (3, 3))]
    gust_m_s: Annotated[FloatArray, Quantity("m/s", "earth axes, turbulence and gust", (3,))]
    mean_m_s: Annotated[FloatArray, Quantity("m/s", "earth axes, at the craft", (3,))]
    slope_1_s: Annotated[FloatArray, Quantity("1/s", "of mean and turbulence, earth axes", (3, 3))]


class PilotStateRecord:
    """What a person sees, and the accelerations asked for on their way to the sticks."""

    error_m: Annotated[FloatArray, Quantity("m", "of seeing the place, earth axes", (3,))]
    error_m_s: Annotated[FloatArray, Quantity("m/s", "of seeing the speed, earth axes", (3,))]
    place_m: Annotated[FloatArray, Quantity("m", "seen, earth axes", (3,))]
    speed_m_s: Annotated[FloatArray, Quantity("m/s", "seen, earth axes", (3,))]
    trim_m_s2: Annotated[FloatArray, Quantity("m/s2", "slow part of the stick, as learned", (3,))]
    wanted_m_s2: Annotated[
        FloatArray, Quantity("m/s2", "north, east, up; newest first", (MAX_PILOT_LOOKS, 3))
    ]
    asked_m_s2: Annotated[FloatArray, Quantity("m/s2", "at the sticks now", (3,))]
    looks_away: Annotated[float, Quantity("-", "looks left of the present lapse")]


class ParticleRecord:
    """One fabric particle."""

    position_m: Annotated[FloatArray, Quantity("m", "earth axes", (3,))]
    velocity_m_s: Annotated[FloatArray, Quantity("m/s", "earth axes", (3,))]


class StateRecord:
    """All that changes."""

    tick: Annotated[int, Quantity("-", "steps since the start")]
    charge: Annotated[float, Quantity("-", "share of the capacity left")]
    armed: Annotated[float, Quantity("-", "1 while the motors may turn")]
    gyro_bias_rad_s: Annotated[FloatArray, Quantity("rad/s", "drawn at the start", (3,))]
    body: Annotated[BodyStateRecord, Quantity("-", "the craft")]
    neck: Annotated[NeckStateRecord, Quantity("-", "the head on its hinge")]
    rotor: Annotated[list[RotorStateRecord], Quantity("-", "rotors", (MAX_ROTORS,))]
    estimate: Annotated[EstimateRecord, Quantity("-", "sensors")]
    control: Annotated[ControlStateRecord, Quantity("-", "loops")]
    wind: Annotated[WindStateRecord, Quantity("-", "air")]
    pilot: Annotated[PilotStateRecord, Quantity("-", "the person, if one flies")]
    particle: Annotated[list[ParticleRecord], Quantity("-", "fabric", (MAX_PANELS,))]


STATE_TYPE = record_type(StateRecord)
