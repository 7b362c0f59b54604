"""What can be wrong on the bench: each cause with its parameter, likely values and bounds.

Every figure here is a judgement of what is met in practice; common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import Final, final

PAIR_WEIGHT: Final = 0.05
FILE_WEIGHT: Final = 3.0


class CauseKind(Enum):
    """Which parameter a cause moves."""

    WITHHELD = "withheld_throttle"
    END_POINTS = "end_points"
    PACK_SAG = "pack_sag"
    WIRING = "wiring"
    PROPELLER_LOAD = "propeller_load"
    PROPELLER_THRUST = "propeller_thrust"
    SPEED_CONSTANT = "speed_constant"
    MOTOR_RESISTANCE = "motor_resistance"
    CURRENT_LIMIT = "current_limit"
    ONE_END_POINT = "one_end_point"
    ONE_MOTOR = "one_motor"
    METER = "meter"


class Form(Enum):
    """How a parameter is written for people."""

    SHARE_LOST = "share"
    FACTOR = "factor"
    OHM = "ohm"


@final
@dataclass(frozen=True)
class Cause:
    """One thing that may be wrong.

    Attributes
    ----------
    kind : CauseKind
    words : str
        What is wrong, as a clause.
    cure : str
        What to do about it.
    centre, spread : float
        Gaussian prior of the parameter, if this is the cause: most likely value and one standard
        deviation, cut off at the bounds.
    least, most : float
        Bounds of the fit.
    least_possible, most_possible : float
        Range outside of which no sound craft is: a better fit there is called impossible.
    form : Form
        `SHARE_LOST`: the share itself. `FACTOR`: natural logarithm of a factor. `OHM`: ohms.
    weight : float
        Prior weight; one for each kind, shared by the rotors.
    rotor : int or None
        Which rotor, for causes of one rotor.
    """

    kind: CauseKind
    words: str
    cure: str
    centre: float
    spread: float
    least: float
    most: float
    least_possible: float
    most_possible: float
    form: Form
    weight: float = 1.0
    rotor: int | None = None

    @property
    def key(self) -> str:
        """Give a word that names the cause; the rotor's number, from 1, behind it where one is."""
        return self.kind.value if self.rotor is None else f"{self.kind.value}_{self.rotor + 1}"


def bench_causes(rotor_names: tuple[str, ...], *, thrust_was_read: bool) -> tuple[Cause, ...]:
    """Give every cause that may explain readings of a craft.

    Parameters
    ----------
    rotor_names : tuple of str
        In the order of the craft.
    thrust_was_read : bool
        A propeller that only pulls less than thought shows in the thrust alone.

    Returns
    -------
    tuple of Cause
        Causes of all rotors, then of single ones, then of the meter.
    """
    causes = [*_CAUSES]
    if not thrust_was_read:
        causes = [cause for cause in causes if cause.kind is not CauseKind.PROPELLER_THRUST]
    share = 1.0 / len(rotor_names)
    for i, name in enumerate(rotor_names):
        causes.append(
            Cause(
                CauseKind.ONE_END_POINT,
                f"the speed controller of '{name}' does not reach full",
                "calibrate that controller's end points",
                0.0,
                0.15,
                0.0,
                0.7,
                0.0,
                0.5,
                Form.SHARE_LOST,
                share,
                i,
            )
        )
        causes.append(
            Cause(
                CauseKind.ONE_MOTOR,
                f"the motor of '{name}' is not like the others (speed constant)",
                "swap or replace that motor",
                0.0,
                0.1,
                -0.7,
                0.7,
                math.log(0.7),
                math.log(1.4),
                Form.FACTOR,
                share,
                i,
            )
        )
    return tuple(causes)


_CAUSES: Final = (
    Cause(
        CauseKind.WITHHELD,
        "the flight controller withholds throttle",
        "raise the flight controller's throttle limit, as far as levelling can spare it",
        0.10,
        0.05,
        0.0,
        0.6,
        0.0,
        0.35,
        Form.SHARE_LOST,
    ),
    Cause(
        CauseKind.END_POINTS,
        "end points of the speed controllers are not calibrated",
        "calibrate the speed controllers' end points against the full range of the command",
        0.0,
        0.15,
        0.0,
        0.7,
        0.0,
        0.5,
        Form.SHARE_LOST,
    ),
    Cause(
        CauseKind.PACK_SAG,
        "the pack sags more (its resistance is higher)",
        "use a newer, warmer or larger pack",
        0.0,
        0.8,
        math.log(0.2),
        math.log(20.0),
        math.log(0.5),
        math.log(10.0),
        Form.FACTOR,
    ),
    Cause(
        CauseKind.WIRING,
        "leads, joints or connectors add resistance",
        "feel for warm connectors; solder joints anew, use thicker and shorter leads",
        0.0,
        0.025,
        0.0,
        0.5,
        0.0,
        0.15,
        Form.OHM,
    ),
    Cause(
        CauseKind.PROPELLER_LOAD,
        "the propellers load the motors more or less than thought",
        "check diameter and pitch; a propeller that loads less lets the motor go unused",
        0.0,
        0.2,
        -1.2,
        1.2,
        math.log(0.6),
        math.log(1.6),
        Form.FACTOR,
    ),
    Cause(
        CauseKind.PROPELLER_THRUST,
        "the propellers pull less or more for the same shaft power",
        "check that they are the right way up and of the right sense, undamaged and unobstructed",
        0.0,
        0.15,
        -1.2,
        0.5,
        math.log(0.5),
        math.log(1.2),
        Form.FACTOR,
    ),
    Cause(
        CauseKind.SPEED_CONSTANT,
        "the motors' speed constant is not the one in the file",
        "measure it: turns per minute over volts of the free motor",
        0.0,
        0.1,
        -0.7,
        0.7,
        math.log(0.75),
        math.log(1.33),
        Form.FACTOR,
    ),
    Cause(
        CauseKind.MOTOR_RESISTANCE,
        "the motors' resistance is not the one in the file",
        "measure it from lead to lead; look for scorched windings",
        0.0,
        0.5,
        math.log(0.2),
        math.log(15.0),
        math.log(0.5),
        math.log(5.0),
        Form.FACTOR,
    ),
    Cause(
        CauseKind.CURRENT_LIMIT,
        "the speed controllers limit the current",
        "raise their current limit if motors and pack bear it, or fit larger ones",
        0.0,
        0.35,
        math.log(0.15),
        0.0,
        math.log(0.2),
        0.0,
        Form.FACTOR,
    ),
    Cause(
        CauseKind.METER,
        "the current meter reads wrong throughout",
        "calibrate the current sensor against a known load",
        0.0,
        0.06,
        -0.7,
        0.7,
        math.log(0.8),
        math.log(1.25),
        Form.FACTOR,
    ),
)
