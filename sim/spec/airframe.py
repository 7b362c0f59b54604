"""The craft as a whole: its parts, rotors, battery, drapes, legs and controller."""

from __future__ import annotations

from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.bench import BenchSpec
from sim.spec.contact import LegsSpec
from sim.spec.control import ControllerSpec
from sim.spec.drape import Drapes
from sim.spec.power import BatterySpec, ElectronicsSpec
from sim.spec.rotor import EveryRotor, RotorEntry, RotorSpec, complete_rotor
from sim.spec.strict import StrictSpec, Unlisted
from sim.spec.structure import HeadSpec, MeasuredSpec, PartSpec

MOST_PARTS: Final = 60
MOST_ROTORS: Final = 8

Layout = Literal["bicopter", "tricopter"]


class CraftSections(StrictSpec):
    """What a craft file and a complete craft have in common."""

    name: str = Field(min_length=1, max_length=80, strict=True)
    layout: Layout
    note: Annotated[str, Unlisted()] = Field("", max_length=2000, strict=True)
    measured: Annotated[MeasuredSpec | None, Unlisted()] = Field(None)
    parts: Annotated[tuple[PartSpec, ...], Unlisted()] = Field((), max_length=MOST_PARTS)
    head: Annotated[HeadSpec | None, Unlisted()] = Field(None)
    battery: BatterySpec
    electronics: ElectronicsSpec
    drapes: Annotated[Drapes, Unlisted()] = Field((), alias="drape")
    legs: LegsSpec | None = Field(None, description="no feet: flights can start in hover only")
    controller: ControllerSpec = Field(default_factory=ControllerSpec)
    bench: Annotated[BenchSpec | None, Unlisted()] = Field(None)

    def worked_out(self) -> dict[str, str]:
        """Say what stands for legs that were left out.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        return {"legs": "none"}


@final
class CraftFile(CraftSections):
    """A craft file as the builder writes it."""

    every_rotor: Annotated[EveryRotor | None, Unlisted()] = Field(None)
    rotors: tuple[RotorEntry, ...] = Field(min_length=1, max_length=MOST_ROTORS)


@final
class CraftSpec(CraftSections):
    """A craft, read and checked; every rotor is complete."""

    rotors: tuple[RotorSpec, ...]


def complete_craft(file: CraftFile) -> CraftSpec:
    """Give the craft with every rotor completed from `every_rotor`.

    Parameters
    ----------
    file : CraftFile
        As written, already checked: no rotor lacks a part.

    Returns
    -------
    CraftSpec
        The same craft.
    """
    rotors = [complete_rotor(entry, file.every_rotor) for entry in file.rotors]
    values = {name: getattr(file, name) for name in CraftSections.model_fields}
    return CraftSpec.model_construct(
        _fields_set=None,
        **values,
        rotors=tuple(rotor for rotor in rotors if rotor is not None),
    )
