"""What a step notes down: scratch of the present step, and the tally of the whole flight."""

from __future__ import annotations

from enum import IntEnum
from typing import Annotated

from sim.params.craft_record import BODY_PLACES, MAX_BODIES, MAX_ROTORS
from sim.params.drape_record import MAX_PANELS
from sim.params.fabric_work_record import FabricWorkRecord
from sim.params.kept_record import KEPT, KeptRecord
from sim.params.neck_record import NeckWorkRecord
from sim.params.record import FloatArray, Quantity, record_type


class Stop(IntEnum):
    """Why a flight ended."""

    NONE = 0
    TIME = 1
    LANDED = 2
    TILT = 3
    DRIFT = 4
    HEIGHT = 5
    GROUND_STRIKE = 6
    FABRIC_IN_ROTOR = 7
    NOT_FINITE = 8
    TIP_OVER = 9
    PACK_EMPTY = 10
    SATURATED = 11
    STAYED_DOWN = 12
    HARD_TOUCHDOWN = 13
    OVER_CURRENT = 14
    SLOW_RECOVERY = 15
    SATURATED_OFTEN = 16


class Limit(IntEnum):
    """What an actuator or source can sit on."""

    THRUST_FULL = 0
    THRUST_LEAST = 1
    TILT_TRAVEL = 2
    TILT_SLEW = 3
    THRUST_RESERVE = 4
    YAW_GIVEN_UP = 5
    MOTOR_CURRENT = 6
    PACK_CURRENT = 7
    PACK_POWER = 8
    NECK_STOP = 9


LIMITS = len(Limit)
MAX_POINTS = MAX_PANELS + MAX_BODIES


class RotorWorkRecord:
    """One rotor in the present step."""

    hub_m: Annotated[FloatArray, Quantity("m", "body axes from the CG", (3,))]
    axis: Annotated[FloatArray, Quantity("-", "thrust direction, body axes", (3,))]
    hub_earth_m: Annotated[FloatArray, Quantity("m", "earth axes", (3,))]
    axis_earth: Annotated[FloatArray, Quantity("-", "thrust direction, earth axes", (3,))]
    wake_earth: Annotated[FloatArray, Quantity("-", "direction of the wake, earth axes", (3,))]
    induced_m_s: Annotated[float, Quantity("m/s", "through the disc")]
    radius_m: Annotated[float, Quantity("m", "of the disc")]
    thrust_n: Annotated[float, Quantity("N", "along the axis")]
    torque_n_m: Annotated[float, Quantity("N m", "aerodynamic, against the turning")]
    duty: Annotated[float, Quantity("-", "share of bus volts at the motor")]
    back_v: Annotated[float, Quantity("V", "that the motor makes as it turns")]
    current_a: Annotated[float, Quantity("A", "in the motor")]
    motor_torque_n_m: Annotated[float, Quantity("N m", "on the shaft")]
    tilt_rate_rad_s: Annotated[float, Quantity("rad/s", "of the rotor itself")]


class WorkRecord:
    """Scratch of the present step, so that nothing is allocated in it.

    The arrays of points and nodes come first: each is a whole number of cache lines, so that all
    begin on one where the record does, which saves a twentieth of a step.
    """

    point_m: Annotated[
        FloatArray, Quantity("m", "panel middles, then parts, earth axes", (3, MAX_POINTS))
    ]
    point_flow_m_s: Annotated[
        FloatArray, Quantity("m/s", "air past these points, earth axes", (3, MAX_POINTS))
    ]
    part_force_n: Annotated[
        FloatArray, Quantity("N", "drag of the parts, body axes", (3, BODY_PLACES))
    ]
    fabric: Annotated[FabricWorkRecord, Quantity("-", "nodes and panels of the fabric")]
    rotor: Annotated[list[RotorWorkRecord], Quantity("-", "rotors", (MAX_ROTORS,))]
    kept: Annotated[list[KeptRecord], Quantity("-", "what need not be worked out anew", (KEPT,))]
    rotation: Annotated[FloatArray, Quantity("-", "body to earth", (3, 3))]
    force_n: Annotated[FloatArray, Quantity("N", "on the body, body axes, no weight", (3,))]
    moment_n_m: Annotated[FloatArray, Quantity("N m", "about the CG, body axes", (3,))]
    neck: Annotated[NeckWorkRecord, Quantity("-", "hinge of the head")]
    drape_force_n: Annotated[FloatArray, Quantity("N", "of the rim on the body, earth axes", (3,))]
    bus_v: Annotated[float, Quantity("V", "at the speed controllers")]
    pack_a: Annotated[float, Quantity("A", "out of the pack")]
    clearance_m: Annotated[float, Quantity("m", "least distance of fabric to a rotor disc")]
    near_panel: Annotated[int, Quantity("-", "the panel that is so near")]
    near_rotor: Annotated[int, Quantity("-", "the rotor that it is so near to")]
    stretch: Annotated[float, Quantity("-", "greatest thread strain")]
    thrust_wanted_n: Annotated[FloatArray, Quantity("N", "by the mixer", (MAX_ROTORS,))]
    tilt_wanted_rad: Annotated[FloatArray, Quantity("rad", "by the mixer", (MAX_ROTORS,))]
    held_at_limit: Annotated[
        FloatArray, Quantity("-", "1 where the mixer met a limit at its last run", (LIMITS,))
    ]
    at_limit: Annotated[FloatArray, Quantity("-", "1 where a limit is met in this step", (LIMITS,))]
    in_own_wake: Annotated[float, Quantity("-", "1 while a rotor sinks into its own wake")]
    off_map: Annotated[float, Quantity("-", "1 while a rotor is outside its map")]
    upright: Annotated[float, Quantity("-", "cosine of the angle of the craft's axis to vertical")]
    on_ground: Annotated[float, Quantity("-", "1 while a foot touches")]
    target_m: Annotated[FloatArray, Quantity("m", "asked place, earth axes", (3,))]
    target_m_s: Annotated[FloatArray, Quantity("m/s", "its speed, earth axes", (3,))]


class TallyRecord:
    """What a flight amounts to."""

    stop: Annotated[int, Quantity("-", "why it ended, see Stop")]
    stop_s: Annotated[float, Quantity("s", "when it ended")]
    ticks_at_limit: Annotated[FloatArray, Quantity("-", "steps on each limit", (LIMITS,))]
    longest_run: Annotated[FloatArray, Quantity("-", "longest run of steps", (LIMITS,))]
    present_run: Annotated[FloatArray, Quantity("-", "steps of the run so far", (LIMITS,))]
    pressure: Annotated[
        FloatArray, Quantity("-", "steps on each limit less steps off it, not below 0", (LIMITS,))
    ]
    last_tick: Annotated[FloatArray, Quantity("-", "last step on each limit, -1 never", (LIMITS,))]
    last_run: Annotated[
        FloatArray, Quantity("-", "length of the last run ended or going", (LIMITS,))
    ]
    ticks: Annotated[float, Quantity("-", "steps flown")]
    most_tilt_rad: Annotated[float, Quantity("rad", "of the craft")]
    most_drift_m: Annotated[float, Quantity("m", "from the asked place, once judged")]
    most_height_loss_m: Annotated[float, Quantity("m", "below the asked height, once judged")]
    most_current_a: Annotated[float, Quantity("A", "of the pack")]
    least_clearance_m: Annotated[float, Quantity("m", "fabric to a rotor disc")]
    near_panel: Annotated[int, Quantity("-", "the panel that came so near")]
    near_rotor: Annotated[int, Quantity("-", "the rotor that it came so near to")]
    most_stretch: Annotated[float, Quantity("-", "of a thread")]
    most_rate_rad_s: Annotated[float, Quantity("rad/s", "of the body")]
    ticks_in_own_wake: Annotated[float, Quantity("-", "steps sinking into the wake")]
    ticks_off_map: Annotated[float, Quantity("-", "steps outside the rotor map")]
    touchdown_m_s: Annotated[float, Quantity("m/s", "sink at the last touch of the ground")]
    hardest_touchdown_m_s: Annotated[float, Quantity("m/s", "fastest sink at a touch, once flown")]
    ticks_disturbed: Annotated[float, Quantity("-", "steps in a row beyond half a limit")]
    longest_disturbed: Annotated[float, Quantity("-", "longest such run")]
    energy_j: Annotated[float, Quantity("J", "taken from the pack")]
    tick_on_ground: Annotated[float, Quantity("-", "steps in a row on the ground")]
    tick_in_air: Annotated[float, Quantity("-", "steps in a row off the ground")]
    has_flown: Annotated[float, Quantity("-", "1 once it has left the ground")]


WORK_TYPE = record_type(WorkRecord)
TALLY_TYPE = record_type(TallyRecord)
