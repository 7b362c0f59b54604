"""Wanted moments to rotor tilts: pitch and yaw of two rotors, yaw of a tilting tail."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.params.craft_record import BICOPTER, MixerRecord
from sim.params.record import FloatArray
from sim.params.tally_record import Limit

TILT_TRAVEL = int(Limit.TILT_TRAVEL)
YAW_GIVEN_UP = int(Limit.YAW_GIVEN_UP)
LEAST_THRUST_SHARE = 0.2


@compiled
def clipped(value: float, most: float) -> float:
    """Give the value between -most and most, in the unit of both."""
    return min(max(value, -most), most)


@compiled
def mix_tilts(
    mixer: MixerRecord,
    travel_rad: float,
    pitch: float,
    yaw: float,
    thrusts: FloatArray,
    tilts: FloatArray,
    at_limit: FloatArray,
) -> None:
    """Write the tilt [rad] of each rotor for pitch and yaw moments [N m], given its thrust [N].

    Two rotors: both tilt by M / (h T) for pitch, apart by N / (2 b T) for yaw, which has only the
    travel that pitch leaves. Three: the tail tilts sideways by -N / (l T). Small angles are taken
    for their sines; the loops close over the difference. A positive tilt of the two turns the
    thrust backwards.
    """
    floor = LEAST_THRUST_SHARE * mixer.hover_thrust_n
    if mixer.layout == BICOPTER:
        whole = max(thrusts[mixer.left] + thrusts[mixer.right], floor)
        wanted = pitch / (mixer.pitch_arm_m * whole)
        common = clipped(wanted, travel_rad)
        if common != wanted:
            at_limit[TILT_TRAVEL] = 1.0
        apart = yaw / (mixer.yaw_arm_m * whole)
        room = travel_rad - abs(common)
        given = clipped(apart, room)
        if given != apart:
            at_limit[YAW_GIVEN_UP] = 1.0
        tilts[mixer.left] = common - given
        tilts[mixer.right] = common + given
    else:
        tail = max(thrusts[mixer.tail], floor / 3.0)
        wanted = -yaw / (mixer.yaw_arm_m * tail)
        given = clipped(wanted, travel_rad)
        if given != wanted:
            at_limit[YAW_GIVEN_UP] = 1.0
        tilts[mixer.tail] = given
