"""Loose fabric hung from a rim on the craft: a closed skirt or separate ribbons."""

from __future__ import annotations

from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.place import Place
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted

MOST_PANELS: Final = 96
LEAST_STRIPS_OF_SKIRT: Final = 3

DrapeLength = Annotated[Uncertain, Quantity("length", above=0.0, most=10.0, uncertain=True)]
RimRadius = Annotated[float, Quantity("length", above=0.0, most=5.0)]
RibbonWidth = Annotated[float, Quantity("length", above=0.0, most=2.0)]
ArealDensity = Annotated[Uncertain, Quantity("areal_density", above=0.0, most=5.0, uncertain=True)]
OpenFraction = Annotated[float, Quantity("share", least=0.0, most=0.95)]
LossCoefficient = Annotated[float, Quantity("number", above=0.0, most=1e4)]
Gathering = Annotated[float, Quantity("number", least=1.0, most=5.0)]
WetFactor = Annotated[float, Quantity("number", least=1.0, most=10.0)]
LossFactor = Annotated[float, Quantity("share", least=0.0, most=1.0)]


@final
class RimSpec(StrictSpec):
    """The level ring from which the fabric hangs."""

    radius_m: RimRadius = Field(alias="radius")
    place: Place


@final
class FabricSpec(StrictSpec):
    """The cloth itself.

    Attributes
    ----------
    open_fraction : float
        [-] Share of the cloth that is holes between threads.
    loss_coefficient : float or None
        [-] Pressure drop through the cloth over dynamic pressure, if measured; else from
        `open_fraction`.
    wet_factor : float
        [-] Mass when wet over mass when dry, applied to `areal_density_kg_m2`.
    damping : float
        [-] Loss factor of the cloth itself.
    """

    areal_density_kg_m2: ArealDensity = Field(alias="areal_density")
    open_fraction: OpenFraction
    loss_coefficient: LossCoefficient | None = Field(None, description="from the open fraction")
    wet_factor: WetFactor = Field(1.0, description="the fabric is dry")
    damping: LossFactor = Field(
        0.1, description="loss factor of light woven cloth; common practice, no source"
    )

    def worked_out(self) -> dict[str, str]:
        """Say where the loss coefficient comes from.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        return {"loss_coefficient": "estimated"}


@final
class DrapeSpec(StrictSpec):
    """Fabric as a grid of `strips` around by `rows` down.

    Attributes
    ----------
    width_m : float
        [m] Of each ribbon; 0 for a skirt, whose strips close the ring.
    fullness : float
        [-] Width of the cloth over the circumference of the rim; more than 1 when gathered.
    """

    cut: Literal["skirt", "ribbons"]
    strips: Annotated[int, Field(strict=True, ge=1, le=MOST_PANELS)]
    rows: Annotated[int, Field(strict=True, ge=1, le=MOST_PANELS)]
    length_m: DrapeLength = Field(alias="length")
    rim: RimSpec
    width_m: Annotated[RibbonWidth, Unlisted()] = Field(0.0, alias="width")
    fullness: Gathering = Field(1.0, description="the cloth is not gathered at the rim")
    fabric: FabricSpec

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that the keys suit the cut and that the panels can be computed.

        Parameters
        ----------
        view : SectionView
            The drape as far as it can be read.

        Returns
        -------
        list of PlacedFault
            What does not.
        """
        faults: list[PlacedFault] = []
        cut, strips, rows = view.get("cut"), view.get("strips"), view.get("rows")
        if isinstance(strips, int) and isinstance(rows, int) and strips * rows > MOST_PANELS:
            text = f"{strips} strips of {rows} rows are {strips * rows} panels"
            faults.append((("strips",), f"{text}; at most {MOST_PANELS} can be computed"))
        if cut == "ribbons" and view.lacks("width"):
            faults.append(((), "ribbons need 'width', the width of each"))
        if cut == "skirt" and view.gives("width"):
            text = "a skirt has no 'width': its strips close the ring (use 'fullness' to gather)"
            faults.append((("width",), text))
        if cut == "ribbons" and view.gives("fullness"):
            faults.append((("fullness",), "only a skirt can be gathered at the rim"))
        if cut == "skirt" and isinstance(strips, int) and strips < LEAST_STRIPS_OF_SKIRT:
            faults.append((("strips",), "a skirt needs at least 3 strips to close the ring"))
        return faults
