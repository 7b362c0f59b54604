"""Where something sits: forward, right and up of the craft file's own origin."""

from __future__ import annotations

from typing import Annotated, final

from pydantic import Field

from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import StrictSpec

FARTHEST_M = 10.0

Coordinate = Annotated[
    Uncertain, Quantity("length", least=-FARTHEST_M, most=FARTHEST_M, uncertain=True)
]
"""Distance along one direction; a spread may be given."""


@final
class Place(StrictSpec):
    """A point of the craft as the builder writes it.

    Attributes
    ----------
    forward_m, right_m, up_m : Uncertain
        [m] From the origin of the craft file; a component left out is zero.
    """

    forward_m: Coordinate = Field(
        Uncertain(0.0), alias="forward", description="left out: on the origin, 0 m forward"
    )
    right_m: Coordinate = Field(
        Uncertain(0.0), alias="right", description="left out: on the middle line, 0 m right"
    )
    up_m: Coordinate = Field(
        Uncertain(0.0), alias="up", description="left out: level with the origin, 0 m up"
    )

    @property
    def body_m(self) -> tuple[float, float, float]:
        """Give the point in body axes.

        Returns
        -------
        tuple of float
            [m] (forward, right, down), from the origin of the craft file.
        """
        return (self.forward_m.value, self.right_m.value, -self.up_m.value)

    @property
    def plus_minus_m(self) -> tuple[float, float, float]:
        """Give the spread of each component.

        Returns
        -------
        tuple of float
            [m] About two standard deviations of forward, right and down.
        """
        return (self.forward_m.plus_minus, self.right_m.plus_minus, self.up_m.plus_minus)
