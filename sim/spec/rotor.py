"""One rotor: its place and turning sense, its propeller, and what drives and tilts it."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.place import Place
from sim.spec.power import MotorSpec, SpeedControllerSpec
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted
from sim.spec.structure import Mass
from sim.spec.tilt import TiltSpec

Diameter = Annotated[float, Quantity("length", above=0.0, most=3.0)]
Pitch = Annotated[float, Quantity("length", above=0.0, most=3.0)]
RadiusShare = Annotated[float, Quantity("share", least=0.0, most=1.0)]
ChordRatio = Annotated[float, Quantity("share", above=0.0, most=1.0)]
Angle = Annotated[float, Quantity("angle", least=-0.5 * math.pi, most=0.5 * math.pi)]
Advance = Annotated[float, Quantity("number", least=-1.0, most=3.0)]
Coefficient = Annotated[float, Quantity("number", least=-1.0, most=1.0)]
Thrust = Annotated[float, Quantity("force", above=0.0, most=1e4)]
ShaftSpeed = Annotated[float, Quantity("rotation", above=0.0, most=1e4)]
Factor = Annotated[Uncertain, Quantity("share", above=0.0, most=10.0, uncertain=True)]

ESTIMATE_SPREAD: Final = 0.10
MEASURED_SPREAD: Final = 0.05


@final
class ChordStation(StrictSpec):
    """Chord of the blade at one radius, both as a share of the tip radius."""

    radius: RadiusShare
    chord: ChordRatio


@final
class TwistStation(StrictSpec):
    """Angle of the blade against the rotor plane at one radius (share of the tip radius)."""

    radius: RadiusShare
    angle_rad: Angle = Field(alias="angle")


@final
class CoefficientRow(StrictSpec):
    """One row of a coefficient table: J = V/(nD), CT = T/(rho n2 D4), CP = P/(rho n3 D5)."""

    advance: Advance
    thrust: Coefficient
    power: Coefficient


@final
class MeasuredThrust(StrictSpec):
    """One reading of static thrust at a shaft speed."""

    thrust_n: Thrust = Field(alias="thrust")
    speed_rad_s: ShaftSpeed = Field(alias="speed")


@final
class PropellerSpec(StrictSpec):
    """A propeller by its diameter, pitch and blades, and by whatever more is known of it."""

    diameter_m: Diameter = Field(alias="diameter")
    pitch_m: Pitch = Field(alias="pitch")
    mass_kg: Mass = Field(alias="mass")
    blades: Annotated[int, Field(strict=True, ge=2, le=6)] = Field(2, description="blade count")
    chord_ratio: tuple[ChordStation, ...] | None = Field(
        None, min_length=2, max_length=40, description="a usual outline of a hobby propeller"
    )
    twist: tuple[TwistStation, ...] | None = Field(
        None, min_length=2, max_length=40, description="the same pitch at every radius"
    )
    table: Annotated[tuple[CoefficientRow, ...] | None, Unlisted()] = Field(
        None, min_length=1, max_length=200
    )
    measured_thrust: Annotated[MeasuredThrust | None, Unlisted()] = Field(None)
    thrust_factor_given: Factor | None = Field(
        None,
        alias="thrust_factor",
        description="on the estimated thrust, with its spread: 10 %, or 5 % with a measurement",
    )
    torque_factor_given: Factor | None = Field(
        None,
        alias="torque_factor",
        description="on the estimated torque, with its spread: 10 %, or 5 % with a measurement",
    )

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that tables ascend.

        Parameters
        ----------
        view : SectionView
            The propeller as far as it can be read.

        Returns
        -------
        list of PlacedFault
            One for each table that does not.
        """
        columns = {
            "chord_ratio": ("radius", [row.radius for row in view.get("chord_ratio") or ()]),
            "twist": ("radius", [row.radius for row in view.get("twist") or ()]),
            "table": ("advance", [row.advance for row in view.get("table") or ()]),
        }
        return [
            ((key,), f"rows must ascend in '{name}'")
            for key, (name, column) in columns.items()
            if any(following <= first for first, following in pairwise(column))
        ]

    @property
    def spread(self) -> float:
        """Give the spread of thrust and torque, as a share.

        Returns
        -------
        float
            [-] About two standard deviations.
        """
        measured = self.table is not None or self.measured_thrust is not None
        return MEASURED_SPREAD if measured else ESTIMATE_SPREAD

    @property
    def thrust_factor(self) -> Uncertain:
        """Give the factor on thrust.

        Returns
        -------
        Uncertain
            [-] As given, else one with the spread of an estimate or of a measurement.
        """
        return self.thrust_factor_given or Uncertain(1.0, self.spread)

    @property
    def torque_factor(self) -> Uncertain:
        """Give the factor on torque.

        Returns
        -------
        Uncertain
            [-] As given, else one with the spread of an estimate or of a measurement.
        """
        return self.torque_factor_given or Uncertain(1.0, self.spread)

    def worked_out(self) -> dict[str, str]:
        """Give the factors that stand for an unmeasured propeller.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        factor = f"1, plus or minus {self.spread:g}"
        return {
            "thrust_factor_given": factor,
            "torque_factor_given": factor,
            "chord_ratio": "estimated",
            "twist": "constant pitch",
        }


@final
class EveryRotor(StrictSpec):
    """What each rotor has unless it says otherwise."""

    propeller: Annotated[PropellerSpec | None, Unlisted()] = Field(None)
    motor: Annotated[MotorSpec | None, Unlisted()] = Field(None)
    speed_controller: Annotated[SpeedControllerSpec | None, Unlisted()] = Field(None)
    tilt: Annotated[TiltSpec | None, Unlisted()] = Field(None)


Turning = Literal["clockwise", "anticlockwise"]


@final
class RotorEntry(StrictSpec):
    """One rotor as the craft file lists it; what is missing comes from `every_rotor`."""

    name: str = Field(min_length=1, max_length=80, strict=True)
    place: Place
    turns: Turning
    propeller: Annotated[PropellerSpec | None, Unlisted()] = Field(None)
    motor: Annotated[MotorSpec | None, Unlisted()] = Field(None)
    speed_controller: Annotated[SpeedControllerSpec | None, Unlisted()] = Field(None)
    tilt: Annotated[TiltSpec | None, Unlisted()] = Field(None)


@final
class RotorSpec(StrictSpec):
    """One rotor, complete.

    Attributes
    ----------
    place : Place
        The tilt pivot if it tilts, else the hub.
    turns : str
        Seen from above.
    tilt : TiltSpec or None
        None when the rotor is fixed.
    """

    name: str
    place: Place
    turns: Turning
    propeller: PropellerSpec
    motor: MotorSpec
    speed_controller: SpeedControllerSpec
    tilt: TiltSpec | None


def complete_rotor(entry: RotorEntry, every: EveryRotor | None) -> RotorSpec | None:
    """Fill what a rotor leaves to `every_rotor`.

    Parameters
    ----------
    entry : RotorEntry
        As listed.
    every : EveryRotor or None
        What all rotors share.

    Returns
    -------
    RotorSpec or None
        None when the propeller, motor or speed controller is given nowhere.
    """
    shared = every if every is not None else EveryRotor()
    propeller = entry.propeller or shared.propeller
    motor = entry.motor or shared.motor
    speed_controller = entry.speed_controller or shared.speed_controller
    if propeller is None or motor is None or speed_controller is None:
        return None
    return RotorSpec(
        name=entry.name,
        place=entry.place,
        turns=entry.turns,
        propeller=propeller,
        motor=motor,
        speed_controller=speed_controller,
        tilt=entry.tilt or shared.tilt,
    )
