"""What is not known about fabric in wash and wind, with its range and where that comes from."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final, TypeAlias, final

from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.drape_cloth import loss_coefficient
from sim.spec.airframe import CraftSpec
from sim.spec.cloth_table import KIND_OF, ClothFigure
from sim.spec.drape import MOST_PANELS, DrapeSpec
from sim.spec.fabric import FabricSpec
from sim.spec.fabric_change import with_air_scaled, with_drapes, with_fabrics
from sim.spec.quantity import Uncertain
from sim.spec.units import format_quantity

Case: TypeAlias = tuple[CraftSpec, PackedCraft]
CaseChange: TypeAlias = Callable[[CraftSpec, PackedCraft], Case]

WASH_FORCE: Final = (0.6, 1.5)
FACE_ON: Final = (0.92, 1.07)
ALONG: Final = (0.6, 1.5)
SCREEN: Final = (0.7, 1.6)
MEASURED_SCREEN: Final = (0.85, 1.15)
OPEN_POINTS: Final = 0.05
BENDING: Final = (0.5, 2.0)
MOST_OPEN: Final = 0.95


@final
@dataclass(frozen=True)
class Unsure:
    """One thing that is not known.

    Attributes
    ----------
    what : str
        Such as "areal density of the cloth".
    range_words, source : str
        How far it is moved, and where that range comes from.
    ends : tuple of callable
        Give the craft of the low and of the high end.
    """

    what: str
    range_words: str
    source: str
    ends: tuple[CaseChange, CaseChange]


def unsure_things(craft: CraftSpec) -> Iterator[Unsure]:
    """Give everything about the fabric that is moved for a band.

    Parameters
    ----------
    craft : CraftSpec
        With fabric; what is the same for several drapes errs together.

    Yields
    ------
    Unsure
        One after the other.
    """
    fabrics = [drape.fabric for drape in craft.drapes]
    yield _wash(fabrics)
    yield _coefficient(
        "normal_coefficient",
        "force on cloth that stands across the air",
        FACE_ON,
        "solid plates give 1.1 to 1.28; Hoerner 1965, chapter 3, from memory",
    )
    yield _coefficient(
        "tangent_coefficient",
        "drag of cloth that streams along the air",
        ALONG,
        "flags of cloth were measured at 0.06 to 0.15; Hoerner 1965, p. 3-25, second-hand",
    )
    if any(fabric.open_fraction > 0.0 for fabric in fabrics):
        yield from _openness(fabrics)
    if any(fabric.bending_length_m > 0.0 for fabric in fabrics):
        yield Unsure(
            "bending length of the cloth",
            *_range_of(fabrics, "bending_length", "half to twice", "common practice, no source"),
            (
                _fabrics_moved(lambda fabric: _bending(fabric, 0)),
                _fabrics_moved(lambda fabric: _bending(fabric, 1)),
            ),
        )
    if any(fabric.areal_density_kg_m2.plus_minus > 0.0 for fabric in fabrics):
        yield Unsure(
            "areal density of the cloth",
            *_range_of(fabrics, "areal_density", "its spread", "the craft file"),
            (
                _fabrics_moved(lambda f: _density(f, -1.0)),
                _fabrics_moved(lambda f: _density(f, 1.0)),
            ),
        )
    if any(drape.length_m.plus_minus > 0.0 for drape in craft.drapes):
        yield Unsure(
            "length of the drape",
            "its spread",
            "the craft file",
            (_drapes_moved(lambda d: _length(d, -1.0)), _drapes_moved(lambda d: _length(d, 1.0))),
        )
    yield from _division(craft)


def _division(craft: CraftSpec) -> Iterator[Unsure]:
    """Give twice the strips and twice the rows, as far as so many panels can be computed."""
    panels = sum(drape.panel_count for drape in craft.drapes)
    if 2 * panels > MOST_PANELS:
        return

    yield Unsure(
        "how finely the fabric is divided",
        "twice the strips / rows",
        "compared here",
        (_drapes_moved(_twice_the_strips), _drapes_moved(_twice_the_rows)),
    )


def _twice_the_strips(drape: DrapeSpec) -> DrapeSpec:
    """Divide a sheet more finely; ribbons and tentacles are as many as there are."""
    return drape.model_copy(update={"strips": 2 * drape.strips}) if drape.is_sheet else drape


def _twice_the_rows(drape: DrapeSpec) -> DrapeSpec:
    return drape.model_copy(update={"rows": 2 * drape.rows})


def _spec_moved(change: Callable[[CraftSpec], CraftSpec]) -> CaseChange:
    """Make a change of the spec into one of the case, packed anew."""

    def moved(craft: CraftSpec, packed: PackedCraft) -> Case:
        changed = change(craft)
        return changed, pack_craft(changed, packed.air)

    return moved


def _fabrics_moved(change: Callable[[FabricSpec], dict[str, object]]) -> CaseChange:
    return _spec_moved(lambda craft: with_fabrics(craft, change))


def _drapes_moved(change: Callable[[DrapeSpec], DrapeSpec]) -> CaseChange:
    return _spec_moved(lambda craft: with_drapes(craft, change))


def _record_scaled(name: str, factor: float) -> CaseChange:
    """Make a change of all panels' coefficient of a name."""

    def moved(craft: CraftSpec, packed: PackedCraft) -> Case:
        records = packed.records.copy()
        records["drape"]["node"][name] *= factor
        return craft, replace(packed, records=records)

    return moved


def _coefficient(name: str, what: str, ends: tuple[float, float], source: str) -> Unsure:
    words = f"{ends[0]:g} to {ends[1]:g} times"
    scaled = (_record_scaled(name, ends[0]), _record_scaled(name, ends[1]))
    return Unsure(what, words, source, scaled)


def _wash(fabrics: list[FabricSpec]) -> Unsure:
    """Give the unsureness of the wash itself: that of a calibration where there is one."""
    shares = [fabric.air_factor.plus_minus / fabric.air_factor.value for fabric in fabrics]
    if max(shares) > 0.0:
        low, high = max(1.0 - max(shares), 0.0), 1.0 + max(shares)
        source = "from the calibration of air_factor"
    else:
        low, high = WASH_FORCE
        source = (
            "no published measurement of cloth in a small rotor's wake was found; slipstreams"
            " differ that much between root and tip, from memory"
        )
    return Unsure(
        "force of the wash on the cloth",
        f"{low:.3g} to {high:.3g} times",
        source,
        (
            _spec_moved(lambda craft: with_air_scaled(craft, low)),
            _spec_moved(lambda craft: with_air_scaled(craft, high)),
        ),
    )


def _openness(fabrics: list[FabricSpec]) -> Iterator[Unsure]:
    estimated = [fabric for fabric in fabrics if fabric.loss_coefficient is None]
    ends, source = MEASURED_SCREEN, "as measured; common practice, no source"
    if estimated:
        yield Unsure(
            "open fraction of the cloth",
            *_range_of(fabrics, "open_fraction", "5 points", "common practice, no source"),
            (
                _fabrics_moved(lambda fabric: _open(fabric, 0)),
                _fabrics_moved(lambda fabric: _open(fabric, 1)),
            ),
        )
        ends, source = SCREEN, "screens of wire against fine threads; common practice, no source"
    low, high = ends
    yield Unsure(
        "pressure loss through the cloth",
        f"{low:g} to {high:g} times",
        source,
        (_fabrics_moved(lambda f: _loss(f, low)), _fabrics_moved(lambda f: _loss(f, high))),
    )


def _figures(fabrics: list[FabricSpec], key: str) -> list[ClothFigure]:
    found = (fabric.figure(key) for fabric in fabrics)
    return [figure for figure in found if figure is not None]


def _range_of(fabrics: list[FabricSpec], key: str, otherwise: str, source: str) -> tuple[str, str]:
    """Give range and source: those of the table of fabrics, or what stands for them."""
    figures = _figures(fabrics, key)
    if not figures:
        return otherwise, source
    first, unit = figures[0], "table of fabrics"
    kind = KIND_OF[key]
    words = f"{format_quantity(first.least, kind)} to {format_quantity(first.most, kind)}"
    return words if len(figures) == 1 else "as in its table", f"{unit}: {first.source}"


def _open(fabric: FabricSpec, end: int) -> dict[str, object]:
    figure = fabric.figure("open_fraction")
    if fabric.open_fraction <= 0.0 or fabric.loss_coefficient is not None:
        return {}
    if figure is not None:
        return {"open_fraction": (figure.least, figure.most)[end]}
    moved = fabric.open_fraction + (-OPEN_POINTS, OPEN_POINTS)[end]
    return {"open_fraction": min(max(moved, 0.0), MOST_OPEN)}


def _loss(fabric: FabricSpec, factor: float) -> dict[str, object]:
    if fabric.open_fraction <= 0.0:
        return {}
    given = fabric.loss_coefficient
    present = loss_coefficient(fabric.open_fraction) if given is None else given
    return {"loss_coefficient": factor * present}


def _bending(fabric: FabricSpec, end: int) -> dict[str, object]:
    figure = fabric.figure("bending_length")
    if figure is not None:
        return {"bending_length_m": (figure.least, figure.most)[end]}
    return {"bending_length_m": BENDING[end] * fabric.bending_length_m}


def _density(fabric: FabricSpec, sign: float) -> dict[str, object]:
    density = fabric.areal_density_kg_m2
    return {"areal_density_kg_m2": Uncertain(density.value + sign * density.plus_minus)}


def _length(drape: DrapeSpec, sign: float) -> DrapeSpec:
    length = drape.length_m
    moved = Uncertain(length.value + sign * length.plus_minus)
    return drape.model_copy(update={"length_m": moved})
