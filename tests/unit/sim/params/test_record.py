"""Records are declared once: every field has a unit, a meaning and a type."""

from __future__ import annotations

from typing import Annotated

import numpy as np
import pytest

from sim.params.craft_record import BODY_PLACES, CRAFT_TYPE, MAX_BODIES, MAX_ROTORS, CraftRecord
from sim.params.drape_record import MAX_PANELS
from sim.params.flight_record import FLIGHT_TYPE, FlightRecord
from sim.params.record import (
    FloatArray,
    IntArray,
    Quantity,
    blank_records,
    describe,
    record_type,
)
from sim.params.state_record import STATE_TYPE, StateRecord
from sim.params.tally_record import TALLY_TYPE, WORK_TYPE, TallyRecord, WorkRecord

RECORDS = {
    CraftRecord: CRAFT_TYPE,
    FlightRecord: FLIGHT_TYPE,
    StateRecord: STATE_TYPE,
    TallyRecord: TALLY_TYPE,
    WorkRecord: WORK_TYPE,
}


class Inner:
    """A field within a field."""

    gain: Annotated[float, Quantity("1/s", "a gain")]


class Outer:
    """One of everything."""

    count: Annotated[int, Quantity("-", "how many")]
    places: Annotated[FloatArray, Quantity("m", "some", (4, 3))]
    marks: Annotated[IntArray, Quantity("-", "others", (2,))]
    one: Annotated[Inner, Quantity("-", "nested")]
    many: Annotated[list[Inner], Quantity("-", "nested, several", (5,))]


def test_types_and_shapes_follow_the_declaration():
    kind = record_type(Outer)
    assert kind.names == ("count", "places", "marks", "one", "many")
    assert kind["count"] == np.int64
    assert kind["places"].shape == (4, 3)
    assert kind["marks"].base == np.int64
    assert kind["one"].names == ("gain",)
    assert kind["many"].shape == (5,)
    assert kind.itemsize == 8 * (1 + 12 + 2 + 1 + 5)


def test_attributes_reach_into_nested_records():
    """As compiled code reads them, with the compiler off."""
    records = np.zeros(1, dtype=record_type(Outer))
    records[0].many[3].gain = 2.5
    records[0].one.gain = 1.5
    assert records["many"]["gain"][0].tolist() == [0.0, 0.0, 0.0, 2.5, 0.0]
    assert float(records[0].one.gain) == 1.5


class Maybe:
    """A number or none, which compiled code does not know."""

    name: Annotated[float | None, Quantity("-", "a number or not")]


class Text:
    """A text, which has no fixed size."""

    name: Annotated[str, Quantity("-", "a text")]


@pytest.mark.parametrize("wrong", [Maybe, Text])
def test_a_field_without_a_record_type_is_refused(wrong):
    with pytest.raises(TypeError):
        record_type(wrong)


def test_describe_walks_into_nested_records():
    rows = describe(Outer)
    assert ("count", "-", "how many") in rows
    assert ("many.gain", "1/s", "a gain") in rows
    assert [path for path, _, _ in rows] == [
        "count",
        "places",
        "marks",
        "one",
        "one.gain",
        "many",
        "many.gain",
    ]


@pytest.mark.parametrize("declaration", list(RECORDS), ids=lambda kind: kind.__name__)
def test_every_field_of_every_record_has_unit_and_meaning(declaration):
    rows = describe(declaration)
    assert rows
    for path, unit, meaning in rows:
        assert unit.strip(), path
        assert len(meaning) > 1, path
        assert not meaning.endswith("."), path


@pytest.mark.parametrize("declaration", list(RECORDS), ids=lambda kind: kind.__name__)
def test_every_record_is_a_whole_number_of_words(declaration):
    """So that a state can be seen as a row of float64."""
    kind = RECORDS[declaration]
    assert kind == record_type(declaration)
    assert kind.itemsize % 8 == 0
    seen = np.zeros(2, dtype=kind).view(np.float64)
    assert seen.size == 2 * kind.itemsize // 8


def test_capacities_are_those_of_every_craft():
    """Eight rotors, 384 panels, 32 drag bodies, whichever craft flies: one type, compiled once."""
    assert (MAX_ROTORS, MAX_PANELS, MAX_BODIES) == (8, 384, 32)
    assert CRAFT_TYPE["rotor"].shape == (MAX_ROTORS,)
    assert CRAFT_TYPE["drape"]["panel"]["node"].shape == (MAX_PANELS,)
    assert CRAFT_TYPE["body"]["place_m"].shape == (3, BODY_PLACES)
    assert BODY_PLACES >= MAX_BODIES
    assert STATE_TYPE["particle"].shape == (MAX_PANELS,)


def test_arrays_of_nodes_begin_on_cache_lines():
    """Vector instructions that straddle two lines cost more; a field put before them moves them."""
    line = 64
    assert blank_records(WORK_TYPE, 2).ctypes.data % line == 0
    fabric, drape = WORK_TYPE.fields["fabric"], CRAFT_TYPE.fields["drape"]
    for name in ("node_m", "listed_m", "scratch"):
        assert (fabric[1] + fabric[0].fields[name][1]) % line == 0, name
    for name in ("panel", "node", "thread", "fold_stiffness_n_m"):
        assert (drape[1] + drape[0].fields[name][1]) % line == 0, name
