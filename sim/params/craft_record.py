"""The craft as compiled code sees it: constant during a flight, of fixed capacity for every craft.

Places are in body axes (x forward, y right, z down; ISO 1151) from the centre of gravity.
"""

from __future__ import annotations

from typing import Annotated

from sim.params.drape_record import DrapeRecord
from sim.params.neck_record import NeckRecord
from sim.params.record import FloatArray, Grid, Quantity, record_type

MAX_ROTORS = 8
MAX_MAPS = 4
MAX_BODIES = 32
# Points come in whole vectors of this many; behind the last part there is room for one more.
LANES = 8
BODY_PLACES = MAX_BODIES + LANES
MAX_FEET = 8
AXIAL_NODES = 51
EDGE_NODES = 9
CHARGE_NODES = 21

BICOPTER = 2
TRICOPTER = 3


class MapNodeRecord:
    """Coefficients of one rotor at one node of its map (over rho A (Omega R)^2)."""

    thrust: Annotated[float, Quantity("-", "T / (rho A (Omega R)^2)")]
    torque: Annotated[float, Quantity("-", "Q / (rho A (Omega R)^2 R)")]
    in_plane_force: Annotated[float, Quantity("-", "along the edgewise flow, same norm as thrust")]
    rolling_moment: Annotated[float, Quantity("-", "about the edgewise flow, same norm as torque")]
    pitching_moment: Annotated[
        float, Quantity("-", "across the edgewise flow, same norm as torque")
    ]
    induced: Annotated[float, Quantity("-", "v_i / (Omega R)")]


class RotorMapRecord:
    """Map of one propeller over axial and edgewise flow at a reference speed."""

    axial_min: Annotated[
        float, Quantity("-", "V_axial/(Omega R) of the first row; climb is positive")
    ]
    axial_step: Annotated[float, Quantity("-", "between rows")]
    edge_step: Annotated[float, Quantity("-", "V_edge/(Omega R) between columns, the first at 0")]
    reference_speed_rad_s: Annotated[
        float, Quantity("rad/s", "rotor speed that the map is made for")
    ]
    thrust_speed_slope: Annotated[float, Quantity("-", "relative thrust change per relative speed")]
    torque_speed_slope: Annotated[float, Quantity("-", "relative torque change per relative speed")]
    node: Annotated[
        Grid[MapNodeRecord], Quantity("-", "the map, axial by edgewise", (AXIAL_NODES, EDGE_NODES))
    ]


class RotorRecord:
    """One rotor with its motor, speed controller and tilt servo."""

    pivot_m: Annotated[FloatArray, Quantity("m", "tilt pivot, body axes from the CG", (3,))]
    tilts: Annotated[int, Quantity("-", "1 when a servo tilts it")]
    tilt_axis: Annotated[FloatArray, Quantity("-", "unit vector; right-handed tilt about it", (3,))]
    hub_above_pivot_m: Annotated[float, Quantity("m", "hub from the pivot, along the rotor axis")]
    radius_m: Annotated[float, Quantity("m", "tip radius")]
    spin: Annotated[float, Quantity("-", "+1 clockwise seen from above, -1 anticlockwise")]
    inertia_kg_m2: Annotated[float, Quantity("kg m2", "blades and motor bell about the shaft")]
    map_index: Annotated[int, Quantity("-", "which of the craft's rotor maps")]
    thrust_factor: Annotated[float, Quantity("-", "on the map's thrust and in-plane force")]
    torque_factor: Annotated[float, Quantity("-", "on the map's torque")]
    blockage_change: Annotated[
        float, Quantity("-", "of the thrust, by what stands close above and below the disc")
    ]
    speed_constant_rad_s_v: Annotated[float, Quantity("rad/(s V)", "motor")]
    resistance_ohm: Annotated[float, Quantity("ohm", "motor winding and speed controller")]
    no_load_current_a: Annotated[float, Quantity("A", "motor")]
    current_limit_a: Annotated[float, Quantity("A", "the lesser of motor and speed controller")]
    full_command: Annotated[float, Quantity("-", "share of bus volts delivered at full command")]
    servo_frequency_rad_s: Annotated[float, Quantity("rad/s", "servo undamped natural frequency")]
    servo_damping: Annotated[float, Quantity("-", "servo damping ratio")]
    servo_slew_rad_s: Annotated[float, Quantity("rad/s", "servo greatest speed")]
    servo_deadband_rad: Annotated[float, Quantity("rad", "error that the servo ignores, each way")]
    servo_slop_rad: Annotated[float, Quantity("rad", "play of the linkage, whole width")]
    tilt_travel_rad: Annotated[float, Quantity("rad", "travel stop, each way")]


class BodyRecord:
    """Parts that feel the wind, each at its own place, coordinate by coordinate."""

    place_m: Annotated[FloatArray, Quantity("m", "body axes from the CG", (3, BODY_PLACES))]
    drag_area_m2: Annotated[
        FloatArray, Quantity("m2", "Cd times area along x, y, z", (3, BODY_PLACES))
    ]


class FootRecord:
    """A point that may touch the ground."""

    place_m: Annotated[FloatArray, Quantity("m", "body axes from the CG", (3,))]


class BatteryRecord:
    """Pack and wiring."""

    capacity_a_s: Annotated[float, Quantity("A s", "charge from full to empty")]
    open_circuit_v: Annotated[
        FloatArray, Quantity("V", "at charge 0 to 1 in equal steps", (CHARGE_NODES,))
    ]
    resistance_ohm: Annotated[float, Quantity("ohm", "pack, wiring and connectors")]
    electronics_w: Annotated[float, Quantity("W", "load that is always on")]
    current_limit_a: Annotated[float, Quantity("A", "pack rating")]


class SensingRecord:
    """Sensors and estimators."""

    gyro_cutoff_rad_s: Annotated[float, Quantity("rad/s", "low-pass corner")]
    gyro_noise_rad_s: Annotated[float, Quantity("rad/s", "standard deviation of a sample")]
    gyro_bias_rad_s: Annotated[float, Quantity("rad/s", "standard deviation of a flight's offset")]
    accelerometer_noise_m_s2: Annotated[float, Quantity("m/s2", "standard deviation of a sample")]
    attitude_time_constant_s: Annotated[float, Quantity("s", "of the correction to the vertical")]
    position_lag_s: Annotated[float, Quantity("s", "of place and velocity estimates")]
    position_noise_m: Annotated[float, Quantity("m", "standard deviation of a fix")]


class RateAxisRecord:
    """Body-rate loop of one axis; gains in physical units."""

    p_n_m_s: Annotated[float, Quantity("N m s/rad", "moment per rate error")]
    i_n_m: Annotated[float, Quantity("N m/rad", "moment per integrated rate error")]
    d_n_m_s2: Annotated[float, Quantity("N m s2/rad", "moment per measured angular acceleration")]
    integral_limit_n_m: Annotated[float, Quantity("N m", "anti-windup bound")]


class ControlRecord:
    """Gains, limits and timing of all loops."""

    period_ticks: Annotated[int, Quantity("-", "steps between two runs of the loops")]
    delay_runs: Annotated[int, Quantity("-", "runs from computing to acting")]
    derivative_cutoff_rad_s: Annotated[float, Quantity("rad/s", "filter of the rate derivative")]
    rate: Annotated[list[RateAxisRecord], Quantity("-", "roll, pitch, yaw", (3,))]
    level_1_s: Annotated[FloatArray, Quantity("1/s", "rate asked per angle error", (3,))]
    max_rate_rad_s: Annotated[FloatArray, Quantity("rad/s", "rate asked at most", (3,))]
    max_tilt_rad: Annotated[float, Quantity("rad", "attitude asked at most")]
    height_p_1_s: Annotated[float, Quantity("1/s", "climb asked per height error")]
    climb_p_1_s: Annotated[float, Quantity("1/s", "acceleration asked per climb error")]
    climb_i_1_s2: Annotated[float, Quantity("1/s2", "acceleration per integrated climb error")]
    max_climb_m_s: Annotated[float, Quantity("m/s", "climb asked at most")]
    max_sink_m_s: Annotated[float, Quantity("m/s", "sink asked at most")]
    position_p_1_s: Annotated[float, Quantity("1/s", "speed asked per position error")]
    speed_p_1_s: Annotated[float, Quantity("1/s", "acceleration asked per speed error")]
    speed_i_1_s2: Annotated[float, Quantity("1/s2", "acceleration per integrated speed error")]
    max_speed_m_s: Annotated[float, Quantity("m/s", "speed asked at most")]
    reserved: Annotated[float, Quantity("-", "share of throttle kept back for levelling")]
    loop_factor: Annotated[
        FloatArray, Quantity("-", "on thrust, roll, pitch, yaw, north, east demand; 1", (6,))
    ]


class MixerRecord:
    """How wanted thrust and moments become rotor thrusts and tilts."""

    layout: Annotated[int, Quantity("-", "2 two tilting rotors, 3 three with a tilting tail")]
    left: Annotated[int, Quantity("-", "index of the left rotor")]
    right: Annotated[int, Quantity("-", "index of the right rotor")]
    tail: Annotated[int, Quantity("-", "index of the tail rotor, three-rotor layout")]
    thrust_share: Annotated[FloatArray, Quantity("-", "rotor thrust per thrust", (MAX_ROTORS,))]
    thrust_per_roll: Annotated[FloatArray, Quantity("1/m", "per roll moment", (MAX_ROTORS,))]
    thrust_per_pitch: Annotated[FloatArray, Quantity("1/m", "per pitch moment", (MAX_ROTORS,))]
    pitch_arm_m: Annotated[float, Quantity("m", "height of the rotors over the CG that it assumes")]
    yaw_arm_m: Annotated[float, Quantity("m", "lever of the tilt for yaw")]
    full_thrust_n: Annotated[
        FloatArray, Quantity("N", "static thrust at full command, nominal pack", (MAX_ROTORS,))
    ]
    thrust_exponent: Annotated[float, Quantity("-", "thrust goes as throttle to this power")]
    least_thrust_n: Annotated[float, Quantity("N", "per rotor, so that it never stops in flight")]
    hover_thrust_n: Annotated[float, Quantity("N", "thrust that the height loop starts from")]


class CraftRecord:
    """Everything about a craft that does not change in a flight."""

    mass_kg: Annotated[float, Quantity("kg", "without fabric, which is carried as particles")]
    inertia_kg_m2: Annotated[FloatArray, Quantity("kg m2", "about the CG, body axes", (3, 3))]
    inertia_inverse: Annotated[FloatArray, Quantity("1/(kg m2)", "inverse of the above", (3, 3))]
    span_m: Annotated[
        float, Quantity("m", "distance of rotors or width of fabric, over which gusts differ")
    ]
    rotor_count: Annotated[int, Quantity("-", "rotors in use")]
    body_count: Annotated[int, Quantity("-", "drag bodies in use")]
    foot_count: Annotated[int, Quantity("-", "feet in use")]
    rotor: Annotated[list[RotorRecord], Quantity("-", "rotors", (MAX_ROTORS,))]
    rotor_map: Annotated[list[RotorMapRecord], Quantity("-", "propeller maps", (MAX_MAPS,))]
    battery: Annotated[BatteryRecord, Quantity("-", "power source")]
    body: Annotated[BodyRecord, Quantity("-", "drag bodies")]
    foot: Annotated[list[FootRecord], Quantity("-", "ground contact", (MAX_FEET,))]
    foot_stiffness_n_m: Annotated[float, Quantity("N/m", "of each foot")]
    foot_damping_n_s_m: Annotated[float, Quantity("N s/m", "of each foot")]
    foot_friction: Annotated[float, Quantity("-", "Coulomb coefficient")]
    drape: Annotated[DrapeRecord, Quantity("-", "fabric")]
    neck: Annotated[NeckRecord, Quantity("-", "hinge of the head")]
    sensing: Annotated[SensingRecord, Quantity("-", "sensors and estimators")]
    control: Annotated[ControlRecord, Quantity("-", "loops")]
    mixer: Annotated[MixerRecord, Quantity("-", "demand to actuators")]


CRAFT_TYPE = record_type(CraftRecord)
