"""What a stopped or weak motor leaves: hover, a level descent, or nothing but switching off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final, final

import numpy as np
from scipy.optimize import linprog

from sim.analysis.high_up import carried_up
from sim.analysis.operating_point import commanded
from sim.analysis.rotor_set import AXES, RotorSet, rotor_set, setting_of
from sim.analysis.trim import Trim
from sim.flight.run import fly
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.params.tally_record import Stop

STOPPED: Final = 0.0
WEAK: Final = 0.8
LEANS_RAD: Final = math.radians(45.0)
FLOWN_S: Final = 6.0
_UP: Final = np.array([1.0, 0.0, 0.0, 0.0])
_LEVEL: Final = (1, 2)
_STEADY: Final = (1, 2, 3)
_ALONE: Final = 1.0 - 1e-6


class Left(StrEnum):
    """What can still be held."""

    HOVER = "hover"
    TURNING = "hover, turning about the vertical"
    SINKS = "level while it sinks"
    NOTHING = "nothing"


@final
@dataclass(frozen=True)
class LossFlight:
    """A flight in which a motor stops or weakens in a steady hover.

    Attributes
    ----------
    stays : bool
        It ended level and in the air.
    leans_after_s : float or None
        [s] Until it leans by 45 degrees; None when it does not.
    lost_height_m : float
        [m] By the end.
    """

    stays: bool
    leans_after_s: float | None
    lost_height_m: float


@final
@dataclass(frozen=True)
class MotorLoss:
    """One motor at a share of its thrust.

    Attributes
    ----------
    rotor : int
    thrust_share : float
        [-] 0 stopped.
    left : Left
        What the rotors can still hold, whoever finds the settings.
    lift_left_n : float
        [N] Most thrust with no moment but the trim's (yaw let go where `left` says so), less the
        trim's thrust; below zero it sinks.
    weakest_roll_n_m, weakest_pitch_n_m : float
        [N m] Left in hover the weaker way; nan without a hover.
    tips_rad_s2 : ndarray, shape (3,)
        [rad/s2] How quickly it rolls, pitches and yaws off while the others stay as in the trim.
    flight : LossFlight or None
        With the loops as they are; None when not flown.
    """

    rotor: int
    thrust_share: float
    left: Left
    lift_left_n: float
    weakest_roll_n_m: float
    weakest_pitch_n_m: float
    tips_rad_s2: FloatArray
    flight: LossFlight | None

    @property
    def leans_rad_s2(self) -> float:
        """[rad/s2] Angular acceleration of the axis in roll and pitch together."""
        return float(np.hypot(self.tips_rad_s2[0], self.tips_rad_s2[1]))


def craft_with_motor(craft: Any, rotor: int, thrust_share: float) -> Any:
    """Give a craft record, in an array of one, with a stopped (0) or weak motor.

    A stopped motor gets no volts; a weak one is a damaged propeller: less thrust for the same
    torque. The flight controller does not know.
    """
    crafts = np.array([craft], dtype=craft.dtype)
    if thrust_share <= STOPPED:
        crafts["rotor"]["full_command"][0, rotor] = 0.0
    else:
        crafts["rotor"]["thrust_factor"][0, rotor] *= thrust_share
    return crafts


def most_lift_n(rotors: RotorSet, wrench: FloatArray, kept: tuple[int, ...]) -> float | None:
    """Give the most thrust [N] of the hull with some moments kept as in a wrench; None if none.

    A linear programme over mixtures of the sampled settings, which are what the hull holds: not
    less than the rotors reach, but for what lies between the samples.
    """
    scale = np.where(rotors.width > 0.0, rotors.width, 1.0)
    points = rotors.sampled / scale
    wanted = (wrench / scale)[list(kept)]
    found = linprog(
        -points[:, 0],
        A_eq=np.vstack([points[:, list(kept)].T, np.ones(len(points))]),
        b_eq=np.append(wanted, 1.0),
        method="highs",
    )
    return -float(found.fun) * float(scale[0]) if found.success else None


def _held(rotors: RotorSet, wrench: FloatArray) -> tuple[Left, float]:
    """Tell what can be held by the hull, and the lift [N] beyond the wrench's that goes with it."""
    needed = float(wrench[0])
    steady = most_lift_n(rotors, wrench, _STEADY)
    if steady is not None and steady >= needed:
        return Left.HOVER, steady - needed
    level = most_lift_n(rotors, wrench, _LEVEL)
    if level is None:
        return Left.NOTHING, -needed
    if level >= needed:
        return Left.TURNING, level - needed
    return Left.SINKS, level - needed


def _weaker(rotors: RotorSet, setting: FloatArray, wrench: FloatArray, axis: str) -> float:
    """Give what is left [N m] of an axis the weaker way."""
    left = []
    for sense in (1.0, -1.0):
        direction = np.zeros(len(AXES))
        direction[AXES.index(axis)] = sense
        amount = rotors.reach(setting, wrench, direction).amount
        left.append(math.nan if amount is None else amount)
    return min(left)


def fly_loss(craft: Any, trim: Trim) -> LossFlight:
    """Fly a changed craft from the trim of the whole one, without noise, and tell what happens."""
    flights, start = carried_up(trim, trim.state)
    flights["duration_s"] = FLOWN_S
    flights["limit"]["tilt_rad"] = LEANS_RAD
    flown = fly(craft, flights[0], start, every_s=FLOWN_S)
    leans = flown.stop == Stop.TILT
    began, ended = start[0].body.position_m[2], flown.state[0].body.position_m[2]
    return LossFlight(
        stays=flown.stop == Stop.TIME,
        leans_after_s=float(flown.tally.stop_s) if leans else None,
        lost_height_m=float(ended - began),
    )


def motor_loss(
    packed: PackedCraft, trim: Trim, rotor: int, thrust_share: float, *, flown: bool = False
) -> MotorLoss:
    """Tell what a craft can do with one motor at a share of its thrust.

    Parameters
    ----------
    packed, trim : the whole craft and its steady flight
    rotor : int
    thrust_share : float
        [-] 0 stopped.
    flown : bool
        Fly it as well.
    """
    state = commanded(trim)
    whole = rotor_set(packed.record, trim.flights[0], state)
    wrench = whole.wrenches(setting_of(state, whole))[0]
    crafts = craft_with_motor(packed.record, rotor, thrust_share)
    rotors = rotor_set(crafts[0], trim.flights[0], state)
    setting = setting_of(state, rotors)
    left, lift = _held(rotors, wrench)
    roll = pitch = math.nan
    if left is Left.HOVER and 0.0 < thrust_share < _ALONE:
        found = rotors.reach(setting, wrench, _UP)
        lift = lift if found.amount is None else found.amount
        roll = _weaker(rotors, setting, wrench, "roll")
        pitch = _weaker(rotors, setting, wrench, "pitch")
    tips = np.asarray(packed.record.inertia_inverse) @ (rotors.wrenches(setting)[0] - wrench)[1:]
    return MotorLoss(
        rotor=rotor,
        thrust_share=thrust_share,
        left=left,
        lift_left_n=lift,
        weakest_roll_n_m=roll,
        weakest_pitch_n_m=pitch,
        tips_rad_s2=tips,
        flight=fly_loss(crafts[0], trim) if flown else None,
    )


def motor_losses(packed: PackedCraft, trim: Trim, *, flown: bool = False) -> tuple[MotorLoss, ...]:
    """Stop each motor in turn, then weaken each in turn to 80 % of its thrust."""
    count = int(packed.record.rotor_count)
    return tuple(
        motor_loss(packed, trim, rotor, share, flown=flown)
        for share in (STOPPED, WEAK)
        for rotor in range(count)
    )
