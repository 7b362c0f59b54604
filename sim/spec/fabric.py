"""The cloth of a drape: as measured, or by its name in the table of common fabrics."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Final, final, get_args

from pydantic import ConfigDict, Field, ModelWrapValidatorHandler, model_validator

from sim.spec.cloth_table import KIND_OF, ClothFigure, ClothName, cloth_table
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import StrictSpec, Unlisted
from sim.spec.unit_table import KINDS
from sim.spec.yes_no import YesNo

ArealDensity = Annotated[Uncertain, Quantity("areal_density", above=0.0, most=5.0, uncertain=True)]
OpenFraction = Annotated[float, Quantity("share", least=0.0, most=0.95)]
LossCoefficient = Annotated[float, Quantity("number", above=0.0, most=1e4)]
BendingLength = Annotated[float, Quantity("length", least=0.0, most=0.5)]
LossFactor = Annotated[float, Quantity("share", least=0.0, most=1.0)]
WetFactor = Annotated[float, Quantity("number", least=1.0, most=10.0)]
AirFactor = Annotated[Uncertain, Quantity("number", above=0.0, most=10.0, uncertain=True)]

BENDING_LENGTH_M: Final = 0.02
DAMPING: Final = 0.1
WET_FACTOR: Final = 2.0
NEEDED_WITHOUT_CLOTH: Final = ("areal_density", "open_fraction")
_FIRST_CLOTH: Final[str] = get_args(ClothName)[0]


def _schema_of_either(schema: dict[str, Any]) -> None:
    """Say that a fabric needs its cloth, or density and open fraction."""
    del schema["required"]
    schema["anyOf"] = [{"required": ["cloth"]}, {"required": list(NEEDED_WITHOUT_CLOTH)}]


@final
class FabricSpec(StrictSpec):
    """The cloth itself.

    With `cloth`, the table of common fabrics fills what the file does not give.

    Attributes
    ----------
    cloth : str or None
        Name in the table of common fabrics.
    areal_density_kg_m2 : Uncertain
        [kg/m2] Dry; from the table its spread is half of the range.
    open_fraction : float
        [-] Share of the cloth that is holes between threads.
    loss_coefficient : float or None
        [-] Pressure drop through the cloth over dynamic pressure, if measured; else from
        `open_fraction`.
    bending_length_m : float
        [m] c of the cantilever test (ASTM D1388, ISO 9073-7): the cloth's bending rigidity for
        each metre of width is areal density times gravity times c cubed; 0 for cloth without
        bending.
    damping : float
        [-] Loss factor of the cloth itself.
    wet_factor : float
        [-] Mass soaked over mass dry.
    wet : bool
        Whether the cloth is soaked now; only then `wet_factor` counts.
    air_factor : Uncertain
        [-] Factor on the force of the rotors' wash on this fabric, from a hover reading.
    """

    model_config = ConfigDict(json_schema_extra=_schema_of_either)

    cloth: Annotated[ClothName | None, Unlisted()] = Field(None)
    areal_density_kg_m2: ArealDensity = Field(alias="areal_density")
    open_fraction: OpenFraction
    loss_coefficient: LossCoefficient | None = Field(None, description="from the open fraction")
    bending_length_m: BendingLength = Field(
        BENDING_LENGTH_M,
        alias="bending_length",
        description="of light woven cloth; common practice, no source (1 to 4 cm)",
    )
    damping: LossFactor = Field(
        DAMPING, description="loss factor of light woven cloth; common practice, no source"
    )
    wet_factor: WetFactor = Field(
        WET_FACTOR,
        description="soaked cloth holds its own mass of water; common practice, no source",
    )
    wet: YesNo = Field(default=False, description="the fabric is dry")
    air_factor: AirFactor = Field(
        Uncertain(1.0), description="the wash on the fabric is not calibrated by a hover reading"
    )

    @model_validator(mode="wrap")
    @classmethod
    def _filled(cls, raw: Any, handler: ModelWrapValidatorHandler[FabricSpec]) -> FabricSpec:
        """Fill from the table what the file leaves out, as defaults.

        A misspelt cloth is refused by its own field; the first cloth of the table stands in for
        it, so that nothing else is called missing.
        """
        if not isinstance(raw, Mapping) or raw.get("cloth") is None:
            return handler(raw)
        table = cloth_table()
        name = raw["cloth"]
        figures = table[name if isinstance(name, str) and name in table else _FIRST_CLOTH]
        filled = {key: _as_written(key, figures[key]) for key in figures if key not in raw}
        spec = handler({**raw, **filled})
        by_key = {field.alias or key: key for key, field in cls.model_fields.items()}
        spec.model_fields_set.difference_update(by_key[key] for key in filled)
        return spec

    @property
    def mass_factor(self) -> float:
        """Give mass as it is now over mass dry.

        Returns
        -------
        float
            [-] `wet_factor` when wet, else 1.
        """
        return self.wet_factor if self.wet else 1.0

    @property
    def density_now_kg_m2(self) -> Uncertain:
        """Give the areal density of the cloth in the state that it is in.

        Returns
        -------
        Uncertain
            [kg/m2] Wet when `wet`.
        """
        dry, factor = self.areal_density_kg_m2, self.mass_factor
        return Uncertain(dry.value * factor, dry.plus_minus * factor)

    def figure(self, key: str) -> ClothFigure | None:
        """Give the figure of the table that stands for a key that the file leaves out.

        Parameters
        ----------
        key : str
            As in the file, such as `open_fraction`.

        Returns
        -------
        ClothFigure or None
            None when the file gives the figure itself or names no cloth.
        """
        if self.cloth is None:
            return None
        names = {field.alias or name: name for name, field in type(self).model_fields.items()}
        if names[key] in self.model_fields_set:
            return None
        return cloth_table()[self.cloth].get(key)

    def worked_out(self) -> dict[str, str]:
        """Say where the loss coefficient comes from.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        return {"loss_coefficient": "estimated"}

    def origins(self) -> dict[str, str]:
        """Give where the figures of the table come from.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        names = {field.alias or name: name for name, field in type(self).model_fields.items()}
        found = ((key, self.figure(key)) for key in cloth_table().get(self.cloth or "", ()))
        return {
            names[key]: f"usual {self.cloth}; {figure.source}"
            for key, figure in found
            if figure is not None
        }

    def without_meaning(self) -> frozenset[str]:
        """Say that a dry fabric does not mind its wet factor.

        Returns
        -------
        frozenset of str
            Field names.
        """
        return frozenset() if self.wet else frozenset({"wet_factor"})


def _as_written(key: str, figure: ClothFigure) -> str | Uncertain:
    """Give a figure of the table as the field reads it."""
    if key == "areal_density":
        return Uncertain(figure.value, 0.5 * (figure.most - figure.least))
    return f"{figure.value!r} {KINDS[KIND_OF[key]].si}"
