"""Legs: where the craft touches the ground, and how stiff and rough that is."""

from __future__ import annotations

from typing import Annotated, Final, final

from pydantic import Field

from sim.spec.place import Place
from sim.spec.quantity import Quantity
from sim.spec.strict import StrictSpec

MOST_FEET: Final = 8

Stiffness = Annotated[float, Quantity("stiffness", above=0.0, most=1e6)]
ContactDamping = Annotated[float, Quantity("damping", least=0.0, most=1e5)]
Friction = Annotated[float, Quantity("number", least=0.0, most=2.0)]


@final
class LegsSpec(StrictSpec):
    """Feet of the craft; each is a spring with a damper and friction.

    Attributes
    ----------
    stiffness_n_m, damping_n_s_m : float or None
        Of each foot; None means sized from the weight when the craft is packed.
    """

    feet: tuple[Place, ...] = Field(min_length=3, max_length=MOST_FEET)
    stiffness_n_m: Stiffness | None = Field(
        None,
        alias="stiffness",
        description="sized from the weight: a landing sinks the feet a little",
    )
    damping_n_s_m: ContactDamping | None = Field(
        None, alias="damping", description="sized from the weight, so that the craft hardly bounces"
    )
    friction: Friction = Field(0.6, description="feet on grass or boards; common practice")
