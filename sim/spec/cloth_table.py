"""The table of common fabrics, as figures with their range and where they come from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final, Literal, final

from sim.spec.load import read_document
from sim.spec.units import UnitError, parse_quantity

ClothName = Literal["organza", "tulle", "cotton gauze", "muslin", "ripstop", "paper"]

TABLE_FILE: Final = "fabrics.yaml"
KIND_OF: Final[dict[str, str]] = {
    "areal_density": "areal_density",
    "open_fraction": "share",
    "bending_length": "length",
    "damping": "share",
    "wet_factor": "number",
}
_FIGURES: Final = ("value", "least", "most")


@final
@dataclass(frozen=True)
class ClothFigure:
    """One figure of a fabric in the table.

    Attributes
    ----------
    value : float
        Usual value, in the SI unit of its kind.
    least, most : float
        Range in which most cloth of that name lies, same unit.
    source : str
        Where the figure comes from.
    """

    value: float
    least: float
    most: float
    source: str


class FabricTableFault(Exception):
    """The table that comes with the program cannot be used; the message says why."""


@cache
def cloth_table() -> Mapping[str, Mapping[str, ClothFigure]]:
    """Give the table of common fabrics that comes with the program.

    Returns
    -------
    mapping
        By name of the cloth, then by key of the craft file (`areal_density`, ...).
    """
    return read_cloth_table(files("sim.spec").joinpath(TABLE_FILE).read_bytes())


def read_cloth_table(raw: bytes) -> dict[str, dict[str, ClothFigure]]:
    """Read a table of fabrics.

    Parameters
    ----------
    raw : bytes
        YAML, UTF-8: by cloth and key a map of `value`, `least`, `most` and `source`.

    Returns
    -------
    dict
        By name of the cloth, then by key.

    Raises
    ------
    FabricTableFault
        When a figure is missing, cannot be read, or lies outside its own range.
    """
    document = read_document(raw, TABLE_FILE)
    if document.faults:
        raise FabricTableFault(document.faults[0].what)
    assert isinstance(document.data, dict)
    return {
        cloth: {key: _figure(cloth, key, figures) for key in KIND_OF}
        for cloth, figures in document.data.items()
    }


def _figure(cloth: str, key: str, figures: Any) -> ClothFigure:
    place = f"{cloth}.{key}"
    try:
        written = figures[key]
        value, least, most = (parse_quantity(str(written[part]), KIND_OF[key]) for part in _FIGURES)
        source = str(written["source"])
    except (KeyError, TypeError, UnitError) as error:
        raise FabricTableFault(f"{place}: {error}") from error
    if not least <= value <= most:
        raise FabricTableFault(f"{place}: the value lies outside its own range")
    if not source:
        raise FabricTableFault(f"{place}: does not say where it comes from")
    return ClothFigure(value, least, most, source)
