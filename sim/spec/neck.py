"""A neck that bends: a hinge about two axes, each with spring, damper and stops."""

from __future__ import annotations

import math
from typing import Annotated, Final, Literal, final

from pydantic import Discriminator, Field, Tag

from sim.spec.place import Place
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import StrictSpec

Stiffness = Annotated[Uncertain, Quantity("angle_gain", least=0.0, most=1e5, uncertain=True)]
HingeDamping = Annotated[Uncertain, Quantity("rate_gain", least=0.0, most=1e4, uncertain=True)]
Stop = Annotated[float, Quantity("angle", above=0.0, most=0.5 * math.pi)]

_DEGREE: Final = math.pi / 180.0
USUAL_DAMPING_RATIO: Final = 0.05


@final
class HingeAxis(StrictSpec):
    """One axis of the hinge.

    Attributes
    ----------
    stiffness_n_m_rad : Uncertain
        [N m/rad] Of the spring, which is at rest where the head stands in the file.
    damping_n_m_s_rad : Uncertain or None
        [N m s/rad] None means a share of critical damping, worked out when the craft is packed.
    stop_rad : float
        [rad] Travel each way.
    """

    stiffness_n_m_rad: Stiffness = Field(alias="stiffness")
    damping_n_m_s_rad: HingeDamping | None = Field(
        None,
        alias="damping",
        description="5 % of critical, as of a plain spring; common practice, no source",
    )
    stop_rad: Stop = Field(
        30.0 * _DEGREE, alias="stop", description="travel each way; common practice, no source"
    )

    def worked_out(self) -> dict[str, str]:
        """Say what stands for a damping that was left out.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        share = f"{100.0 * USUAL_DAMPING_RATIO:.0f} %"
        return {"damping_n_m_s_rad": f"{share} of critical, craft held still"}


@final
class HingedNeck(StrictSpec):
    """A neck that bends about a pivot: the head rolls, and pitches about the axis that has rolled.

    Attributes
    ----------
    pivot : Place
        [m] Where the neck bends; it is fixed in the craft.
    roll, pitch : HingeAxis
        About the forward axis of the craft, and about the right axis of the head.
    """

    pivot: Place
    roll: HingeAxis
    pitch: HingeAxis


def _kind(raw: object) -> str:
    return "hinge" if isinstance(raw, dict | HingedNeck) else "word"


Neck = Annotated[
    Annotated[Literal["rigid"], Tag("word")] | Annotated[HingedNeck, Tag("hinge")],
    Discriminator(_kind),
]
"""The word `rigid`, or a section that describes the hinge."""
