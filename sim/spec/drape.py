"""Loose fabric hung from rims on the craft: skirts, capes, ribbons, tentacles and banners."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Final, Literal, final

from pydantic import Field

from sim.spec.fabric import FabricSpec
from sim.spec.one_or_several import OneOrSeveral
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.rim import STRAIGHT_KEYS, RimSpec
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted

MOST_PANELS: Final = 384
MOST_DRAPES: Final = 16
LEAST_STRIPS_OF_SKIRT: Final = 3

Cut = Literal["skirt", "cape", "ribbons", "tentacles", "banner"]
DrapeLength = Annotated[Uncertain, Quantity("length", above=0.0, most=10.0, uncertain=True)]
StripWidth = Annotated[float, Quantity("length", above=0.0, most=2.0)]
Gathering = Annotated[float, Quantity("number", least=1.0, most=5.0)]
GridCount = Annotated[int, Field(strict=True, ge=1, le=MOST_PANELS)]

SHEETS: Final = frozenset({"skirt", "cape", "banner"})
WIDTH_OF: Final = {"ribbons": "the width of each", "tentacles": "the thickness of each"}


@final
class DrapeSpec(StrictSpec):
    """Fabric as a grid of `strips` around (or along a rod) by `rows` down.

    Attributes
    ----------
    name : str
        The first is "drape", the second "drape 2", unless the file names them.
    cut : str
        A skirt is a closed sheet, a cape an open one round an arc, a banner a flat one along a
        rod; ribbons are flat strips, tentacles tubes of cloth.
    width_m : float
        [m] Of each ribbon, or thickness of each tentacle; 0 for a sheet.
    fullness : float
        [-] Width of a sheet over the length of its rim; more than 1 when gathered.
    """

    name: Annotated[str, Unlisted()] = Field("drape", min_length=1, max_length=80, strict=True)
    cut: Cut
    strips: GridCount
    rows: GridCount
    length_m: DrapeLength = Field(alias="length")
    rim: RimSpec
    width_m: Annotated[StripWidth, Unlisted()] = Field(0.0, alias="width")
    fullness: Gathering = Field(1.0, description="the cloth is not gathered at the rim")
    fabric: FabricSpec

    @property
    def is_sheet(self) -> bool:
        """Say whether neighbouring strips are one cloth."""
        return self.cut in SHEETS

    @property
    def panel_count(self) -> int:
        """Give how many panels are computed."""
        return self.strips * self.rows

    def without_meaning(self) -> frozenset[str]:
        """Say that strips that hang alone cannot be gathered.

        Returns
        -------
        frozenset of str
            Field names.
        """
        return frozenset() if self.is_sheet else frozenset({"fullness"})

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
        if cut in WIDTH_OF and view.lacks("width"):
            faults.append(((), f"{cut} need 'width', {WIDTH_OF[cut]}"))
        if cut in SHEETS and view.gives("width"):
            text = f"a {cut} has no 'width': its strips are one cloth (use 'fullness' to gather)"
            faults.append((("width",), text))
        if cut in WIDTH_OF and view.gives("fullness"):
            faults.append((("fullness",), f"{cut} cannot be gathered at the rim"))
        if cut == "skirt" and isinstance(strips, int) and strips < LEAST_STRIPS_OF_SKIRT:
            faults.append((("strips",), "a skirt needs at least 3 strips to close the ring"))
        rim = view.raw.get("rim")
        if isinstance(rim, dict) and isinstance(cut, str):
            faults += [(("rim", *place), what) for place, what in _rim_faults(cut, rim)]
        return faults


def _rim_faults(cut: str, rim: dict[str, Any]) -> list[PlacedFault]:
    """Give how the rim does not suit the cut."""
    faults: list[PlacedFault] = []
    straight = [key for key in STRAIGHT_KEYS if key in rim]
    if cut in {"skirt", "cape"} and straight:
        faults.append(((straight[0],), f"a {cut} hangs from a round rim: give 'radius'"))
    if cut == "banner" and not straight:
        faults.append(((), "a banner hangs from a straight rim: give 'length' and 'along'"))
    if cut == "skirt":
        arc = [key for key in ("faces", "spread") if key in rim]
        text = f"a skirt closes all the way round: it has no {' and no '.join(map(repr, arc))}"
        faults += [((key,), f"{text}; take cut: cape") for key in arc[:1]]
    if cut == "cape" and not straight and "spread" not in rim:
        faults.append(((), "a cape hangs from an arc: give 'faces' and 'spread'"))
    return faults


def _with_names(items: list[Any]) -> list[Any]:
    """Give the drapes as written, the later ones with a name."""
    return [
        {"name": name_of_drape(index), **item} if isinstance(item, dict) and index else item
        for index, item in enumerate(items)
    ]


def name_of_drape(index: int) -> str:
    """Give the name of a drape that its file does not name.

    Parameters
    ----------
    index : int
        Place in the list, from 0.

    Returns
    -------
    str
        "drape", "drape 2", ...
    """
    return f"drape {index + 1}" if index else "drape"


Drapes = Annotated[tuple[DrapeSpec, ...], Field(max_length=MOST_DRAPES), OneOrSeveral(_with_names)]


def check_drapes(data: dict[str, Any], note: Callable[[tuple[str | int, ...], str], None]) -> None:
    """Check the drapes of a craft file against each other.

    Parameters
    ----------
    data : dict
        The craft file as plain values.
    note : callable
        Receives the path and the words of each fault.
    """
    listed = data.get("drape")
    if not isinstance(listed, list):
        return
    if not listed:
        note(("drape",), "is an empty list; leave it out when the craft has no fabric")
    seen: set[str] = set()
    panels = 0
    most = 0
    for index, item in enumerate(listed):
        drape = item if isinstance(item, dict) else {}
        name = drape.get("name", name_of_drape(index))
        if isinstance(name, str) and name in seen:
            place = ("drape", index, "name") if "name" in drape else ("drape", index)
            note(place, f"'{name}' is the name of an earlier drape too")
        elif isinstance(name, str):
            seen.add(name)
        strips, rows = drape.get("strips"), drape.get("rows")
        if type(strips) is int and type(rows) is int and strips > 0 and rows > 0:
            panels += strips * rows
            most = max(most, strips * rows)
    if panels > MOST_PANELS >= most:
        text = f"the drapes have {panels} panels together; at most {MOST_PANELS} can be computed"
        note(("drape",), text)
