"""Drapes of every cut, one or several, with cloth as measured or from the table of fabrics."""

from __future__ import annotations

import math
from pathlib import Path
from typing import get_args

import jsonschema
import pytest

from sim.errors import InputFaults
from sim.spec import Uncertain, craft_from_bytes, with_fabric_wet, without_fabric
from sim.spec.cloth_table import (
    KIND_OF,
    ClothName,
    FabricTableFault,
    cloth_table,
    read_cloth_table,
)
from sim.spec.load import read_document
from sim.spec.schema import craft_schema
from sim.spec.units import format_quantity

ROOT = Path(__file__).parents[4]
BARE = (ROOT / "airframes/bare_bicopter.yaml").read_text(encoding="utf-8")
SIZES = "strips: 6\n  rows: 3\n  length: 50 cm"
GIVEN = "fabric: {areal_density: {value: 30 g/m2, plus_minus: 4 g/m2}, open_fraction: 40 %}"


def one(cut, rim, fabric=GIVEN, more=""):
    return f"drape:\n  cut: {cut}\n  {SIZES}\n  rim: {rim}\n  {fabric}\n{more}"


def listed(*drapes):
    items = []
    for drape in drapes:
        lines = drape.removeprefix("drape:\n").rstrip("\n").split("\n")
        items += [("  - " if i == 0 else "    ") + line[2:] for i, line in enumerate(lines)]
    return "drape:\n" + "\n".join(items) + "\n"


def read(drape):
    return craft_from_bytes((BARE + drape).encode(), "craft.yaml")


def told(drape):
    with pytest.raises(InputFaults) as caught:
        read(drape)
    return [(fault.line - BARE.count("\n"), fault.what) for fault in caught.value.faults]


RING = "{radius: 20 cm, place: {up: -10 cm}}"
ARC = "{radius: 20 cm, faces: 180 deg, spread: 150 deg, place: {up: -10 cm}}"
ROD = "{length: 60 cm, along: forward, place: {up: -10 cm}}"
OVAL = "{radius_forward: 30 cm, radius_right: 20 cm, place: {up: -10 cm}}"

GOOD = [
    ("skirt", RING, ""),
    ("skirt", OVAL, "  fullness: 1.4\n"),
    ("cape", ARC, "  fullness: 2\n"),
    ("ribbons", RING, "  width: 4 cm\n"),
    ("ribbons", ROD, "  width: 4 cm\n"),
    ("tentacles", ARC, "  width: 3 cm\n"),
    ("tentacles", OVAL, "  width: 3 cm\n"),
    ("banner", ROD, ""),
]


@pytest.mark.parametrize(("cut", "rim", "more"), GOOD)
def test_every_cut_hangs_from_the_rims_that_suit_it(cut, rim, more):
    text = BARE + one(cut, rim, more=more)
    (drape,) = craft_from_bytes(text.encode(), "craft.yaml").spec.drapes
    assert (drape.name, drape.cut, drape.panel_count) == ("drape", cut, 18)
    assert drape.fabric.areal_density_kg_m2 == Uncertain(0.03, 0.004)
    plain = read_document(text.encode(), "craft.yaml").data
    jsonschema.Draft202012Validator(craft_schema()).validate(plain)


def test_rims_say_what_they_are():
    by_rim = {
        rim: read(one("ribbons", rim, more="  width: 4 cm\n")).spec.drapes[0].rim
        for rim in (RING, ARC, ROD, OVAL)
    }
    assert [rim.is_straight for rim in by_rim.values()] == [False, False, True, False]
    assert [rim.is_closed for rim in by_rim.values()] == [True, False, False, True]
    assert [rim.is_circular for rim in by_rim.values()] == [True, True, False, False]
    assert by_rim[OVAL].radii_m == (0.3, 0.2)
    assert by_rim[ARC].faces_rad == pytest.approx(math.pi)


def test_several_drapes_are_numbered_unless_they_are_named():
    last = one("banner", ROD, more="  name: pennant\n")
    text = listed(one("skirt", RING), one("cape", ARC), last)
    loaded = read(text)
    assert [drape.name for drape in loaded.spec.drapes] == ["drape", "drape 2", "pennant"]
    paths = {default.path for default in loaded.defaults}
    assert {"drape.fullness", "drape 2.fullness", "drape.pennant.fullness"} <= paths
    plain = read_document((BARE + text).encode(), "craft.yaml").data
    jsonschema.Draft202012Validator(craft_schema()).validate(plain)


FAULTS = [
    (("skirt", ROD, GIVEN, ""), "length: 60 cm", "hangs from a round rim"),
    (("skirt", ARC, GIVEN, ""), "faces", "it has no 'faces' and no 'spread'"),
    (("cape", RING, GIVEN, ""), "rim:", "give 'faces' and 'spread'"),
    (("banner", RING, GIVEN, ""), "rim:", "straight rim"),
    (("tentacles", RING, GIVEN, ""), "drape:", "'width', the thickness of each"),
    (("ribbons", RING, GIVEN, "  width: 4 cm\n  fullness: 2\n"), "fullness", "be gathered"),
    (("banner", ROD, GIVEN, "  width: 4 cm\n"), "width: 4 cm", "has no 'width'"),
    (("ribbons", "{place: {}}", GIVEN, "  width: 4 cm\n"), "rim:", "needs 'radius'"),
    (
        ("ribbons", "{radius: 1 m, length: 1 m, place: {}}", GIVEN, "  width: 4 cm\n"),
        "rim:",
        "not both",
    ),
    (("skirt", "{radius_right: 1 m, place: {}}", GIVEN, ""), "rim:", "'radius_forward' too"),
    (("skirt", "{radius: 1 m, radius_right: 1 m, place: {}}", GIVEN, ""), "rim:", "give either"),
    (("skirt", RING, "fabric: {cloth: organzza}", ""), "fabric:", "did you mean 'organza'?"),
    (("skirt", RING, "fabric: {open_fraction: 40 %}", ""), "fabric:", "areal_density: is missing"),
    (("skirt", RING, "fabric: {cloth: tulle, wet: 3}", ""), "fabric:", "must be true or false"),
    (
        ("skirt", RING, "fabric: {cloth: tulle, bending_length: 2}", ""),
        "fabric:",
        "needs a unit",
    ),
]


@pytest.mark.parametrize(("drape", "line", "words"), FAULTS)
def test_a_fault_is_told_once_at_its_line_whether_drapes_are_listed_or_not(drape, line, words):
    """As one mapping, and as the second of a list."""
    for text in (one(*drape), listed(one("skirt", RING), one(*drape))):
        before = text.rindex(line) if line != "drape:" else text.rindex("cut:")
        found = told(text)
        assert len(found) == 1, found
        number = text[:before].count("\n") + 1
        allowed = {number, 1} if line == "drape:" else {number}
        assert found[0][0] in allowed, (found, number)
        assert words in found[0][1]


def test_all_faults_of_all_drapes_are_told_at_once():
    text = listed(
        one("skirt", ROD, "fabric: {cloth: tuille, wet: maybe}"),
        one("cap", ARC, GIVEN),
        one("ribbons", RING, "fabric: {}"),
    )
    words = " | ".join(what for _, what in told(text))
    for part in (
        "drape.1.rim.length: a skirt hangs from a round rim",
        "drape.1.fabric.cloth: 'tuille' is not known here; did you mean 'tulle'?",
        "drape.1.fabric.wet: must be true or false",
        "drape.2.cut: 'cap' is not known here; did you mean 'cape'?",
        "drape.3: ribbons need 'width'",
        "drape.3.fabric.areal_density: is missing",
        "drape.3.fabric.open_fraction: is missing",
    ):
        assert part in words
    assert len(told(text)) == 7


def test_all_drapes_together_have_at_most_384_panels():
    many = one("skirt", RING).replace("strips: 6", "strips: 80")
    assert len(read(many).spec.drapes) == 1
    assert told(listed(many, many)) == [
        (1, "drape: the drapes have 480 panels together; at most 384 can be computed")
    ]


def test_two_drapes_of_one_name_and_an_empty_list_are_refused():
    both = listed(one("skirt", RING), one("banner", ROD, more="  name: drape\n"))
    assert [what for _, what in told(both)] == [
        "drape.drape.name: 'drape' is the name of an earlier drape too"
    ]
    assert "empty list" in told("drape: []\n")[0][1]


def test_cloth_of_the_table_stands_for_what_is_left_out_and_says_where_it_comes_from():
    """From the table, with half of its range as spread; what the file gives stays."""
    text = one("skirt", RING, "fabric: {cloth: cotton gauze, open_fraction: 61 %}")
    loaded = read(text)
    fabric = loaded.spec.drapes[0].fabric
    figures = cloth_table()["cotton gauze"]
    density = figures["areal_density"]
    assert fabric.areal_density_kg_m2.value == density.value
    assert fabric.areal_density_kg_m2.plus_minus == 0.5 * (density.most - density.least)
    assert fabric.bending_length_m == figures["bending_length"].value
    assert fabric.wet_factor == figures["wet_factor"].value
    assert fabric.open_fraction == 0.61
    assert fabric.figure("open_fraction") is None
    assert fabric.figure("areal_density") == density
    listed_defaults = {default.path: default for default in loaded.defaults}
    assert "drape.fabric.open_fraction" not in listed_defaults
    assert density.source in listed_defaults["drape.fabric.areal_density"].meaning
    assert "usual cotton gauze" in listed_defaults["drape.fabric.bending_length"].meaning


@pytest.mark.parametrize("cloth", get_args(ClothName))
def test_every_cloth_of_the_table_has_every_figure_with_range_and_source(cloth):
    table = cloth_table()
    assert list(table) == list(get_args(ClothName))
    for key, kind in KIND_OF.items():
        figure = table[cloth][key]
        assert figure.least <= figure.value <= figure.most, key
        words = figure.source.lower()
        assert "from memory" in words or "no source" in words, (key, words)
        assert format_quantity(figure.value, kind)
    fabric = read(one("skirt", RING, f"fabric: {{cloth: {cloth}}}")).spec.drapes[0].fabric
    assert fabric.cloth == cloth


BROKEN_TABLES = [
    ("organza: {areal_density: {value: 25 g/m2}}", "organza.areal_density"),
    ("organza: {areal_density: 25 g/m2}", "organza.areal_density"),
    (
        "organza: {areal_density: {value: 5 g/m2, least: 17 g/m2, most: 40 g/m2, source: x}}",
        "outside its own range",
    ),
    (
        "organza: {areal_density: {value: 25 g, least: 17 g/m2, most: 40 g/m2, source: x}}",
        "unit of a mass",
    ),
    ("organza: [", "not YAML"),
]


@pytest.mark.parametrize(("text", "words"), BROKEN_TABLES)
def test_a_table_that_cannot_be_used_says_why(text, words):
    with pytest.raises(FabricTableFault, match=words):
        read_cloth_table(text.encode())


def test_wet_is_a_state_that_multiplies_the_mass_only_then():
    for word in ("true", "yes"):
        soaked = f"{GIVEN[:-1]}, wet: {word}, wet_factor: 1.5}}"
        fabric = read(one("skirt", RING, soaked)).spec.drapes[0].fabric
        assert fabric.wet is True
        assert fabric.density_now_kg_m2.value == pytest.approx(0.045)
        assert fabric.density_now_kg_m2.plus_minus == pytest.approx(0.006)
    dry = read(one("skirt", RING, f"{GIVEN[:-1]}, wet_factor: 1.5}}"))
    assert dry.spec.drapes[0].fabric.density_now_kg_m2 == Uncertain(0.03, 0.004)
    assert "drape.fabric.wet" in {default.path for default in dry.defaults}


def test_variants_change_the_fabric_of_a_copy_only():
    craft = read(listed(one("skirt", RING), one("banner", ROD))).spec
    wet = with_fabric_wet(craft, wet=True)
    assert [drape.fabric.wet for drape in wet.drapes] == [True, True]
    assert [drape.fabric.wet for drape in craft.drapes] == [False, False]
    assert with_fabric_wet(wet, wet=False) == craft
    assert without_fabric(craft).drapes == ()
    assert without_fabric(craft).rotors == craft.rotors
    assert with_fabric_wet(without_fabric(craft), wet=True) == without_fabric(craft)
