"""The rim from which fabric hangs: a ring, an oval, an arc of either, or a straight rod."""

from __future__ import annotations

import math
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.place import Place
from sim.spec.quantity import Quantity
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted

RimSize = Annotated[float, Quantity("length", above=0.0, most=5.0)]
Facing = Annotated[float, Quantity("angle", least=-2.0 * math.pi, most=2.0 * math.pi)]
Spread = Annotated[float, Quantity("angle", above=0.0, most=2.0 * math.pi)]

WHOLE_TURN: Final = 2.0 * math.pi
ROUND_KEYS: Final = ("radius", "radius_forward", "radius_right", "faces", "spread")
STRAIGHT_KEYS: Final = ("length", "along")


@final
class RimSpec(StrictSpec):
    """The level line from which the fabric hangs.

    Sizes that a rim does not have are zero.

    Attributes
    ----------
    place : Place
        Middle of the ring or oval (of the whole one, for an arc), or of the rod.
    radius_m : float
        [m] Of a ring; 0 for an oval or a rod.
    radius_forward_m, radius_right_m : float
        [m] Half axes of an oval.
    faces_rad : float
        [rad] Direction of the middle of an arc, 0 forward, pi/2 to the right.
    spread_rad : float
        [rad] Of the whole arc, seen from the middle; a full turn for a closed rim.
    length_m : float
        [m] Of a straight rod.
    along : str
        Direction of a straight rod.
    """

    place: Place
    radius_m: Annotated[RimSize, Unlisted()] = Field(0.0, alias="radius")
    radius_forward_m: Annotated[RimSize, Unlisted()] = Field(0.0, alias="radius_forward")
    radius_right_m: Annotated[RimSize, Unlisted()] = Field(0.0, alias="radius_right")
    faces_rad: Annotated[Facing, Unlisted()] = Field(0.0, alias="faces")
    spread_rad: Annotated[Spread, Unlisted()] = Field(WHOLE_TURN, alias="spread")
    length_m: Annotated[RimSize, Unlisted()] = Field(0.0, alias="length")
    along: Annotated[Literal["forward", "right"], Unlisted()] = Field("right")

    @property
    def is_straight(self) -> bool:
        """Say whether the rim is a straight rod."""
        return self.length_m > 0.0

    @property
    def is_closed(self) -> bool:
        """Say whether the rim goes all the way round."""
        return not self.is_straight and self.spread_rad >= WHOLE_TURN

    @property
    def is_circular(self) -> bool:
        """Say whether the rim is a circle or an arc of one."""
        forward, right = self.radii_m
        return forward == right > 0.0

    @property
    def radii_m(self) -> tuple[float, float]:
        """Give the half axes of a round rim.

        Returns
        -------
        tuple of float
            [m] Along forward and right; equal for a ring, zeros for a rod.
        """
        if self.radius_m > 0.0:
            return (self.radius_m, self.radius_m)
        return (self.radius_forward_m, self.radius_right_m)

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that the keys make one shape.

        Parameters
        ----------
        view : SectionView
            The rim as far as it can be read.

        Returns
        -------
        list of PlacedFault
            What contradicts, and what is missing.
        """
        round_given = [key for key in ROUND_KEYS if view.gives(key)]
        straight_given = [key for key in STRAIGHT_KEYS if view.gives(key)]
        if round_given and straight_given:
            text = f"a rim is round ('{round_given[0]}') or straight ('{straight_given[0]}')"
            return [((straight_given[0],), f"{text}, not both")]
        if straight_given:
            return [] if not view.lacks("length") else [((), "a straight rim needs 'length'")]
        return _faults_of_round(view)


def _faults_of_round(view: SectionView) -> list[PlacedFault]:
    faults: list[PlacedFault] = []
    ovals = [key for key in ("radius_forward", "radius_right") if view.gives(key)]
    if view.gives("radius"):
        faults += [((key,), "give either 'radius' or the two of an oval") for key in ovals]
    elif len(ovals) == 1:
        other = "radius_right" if ovals == ["radius_forward"] else "radius_forward"
        if view.lacks(other):
            faults.append(((), f"an oval needs '{other}' too"))
    elif not ovals and view.lacks("radius"):
        faults.append(((), "needs 'radius', or 'radius_forward' and 'radius_right', or 'length'"))
    if view.gives("faces") and view.lacks("spread"):
        faults.append(((), "an arc that 'faces' somewhere needs its 'spread'"))
    return faults
