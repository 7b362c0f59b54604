"""A faulty craft file gives all its faults at once, each with its line, column and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.errors import InputFaults
from sim.spec import craft_from_bytes, load_craft, load_scenario, scenario_from_bytes

ROOT = Path(__file__).parents[4]
BICOPTER = (ROOT / "airframes/bare_bicopter.yaml").read_text(encoding="utf-8")
TRICOPTER = (ROOT / "airframes/jellyfish_tricopter.yaml").read_text(encoding="utf-8")
JELLYFISH = (ROOT / "airframes/jellyfish_bicopter.yaml").read_text(encoding="utf-8")
HOP = (ROOT / "scenarios/first_hop.yaml").read_text(encoding="utf-8")


def changed(text, *pairs):
    for before, after in pairs:
        assert text.count(before) >= 1, before
        text = text.replace(before, after, 1)
    return text


def faults(text):
    with pytest.raises(InputFaults) as caught:
        craft_from_bytes(text.encode(), "craft.yaml")
    return caught.value.faults


def place_of(text, part):
    """Give line and column of the first occurrence of a piece of text."""
    before = text[: text.index(part)]
    return before.count("\n") + 1, len(before) - before.rfind("\n")


def test_all_faults_are_told_at_once_in_the_order_of_the_file():
    text = changed(
        BICOPTER,
        ("layout: bicopter", "layout: bycopter"),
        ("length: 74 cm", "lenght: 74 cm"),
        ("mass: 110 g", "mass: -110 g"),
        ("cells: 3", "cells: 3.5"),
        ("idle_power: 3.5 W", "idle_power: 3,5 W"),
        ("capacity: 4 Ah", "capacity: 4 kg"),
    )
    found = faults(text)
    told = [(fault.line, fault.column, fault.what) for fault in found]
    wanted = [
        (place_of(text, "bycopter"), "did you mean 'bicopter'"),
        (place_of(text, "lenght"), "did you mean 'length'"),
        (place_of(text, "-110 g"), "at least 0 kg"),
        (place_of(text, "3.5\n"), "whole number"),
        (place_of(text, "4 kg"), "is a unit of a mass"),
        (place_of(text, "3,5 W"), "point, not a comma"),
    ]
    for (line, column), words in wanted:
        assert any(
            told_place == (line, column) and words in what
            for told_place, what in ((fault[:2], fault[2]) for fault in told)
        ), (line, column, words, told)
    assert told == sorted(told, key=lambda fault: fault[:2])
    assert all(fault.file == "craft.yaml" and fault.excerpt for fault in found)


ONE_FAULT = [
    ("unknown key", BICOPTER, ("cells: 3", "cell: 3"), "cell: 3", "did you mean 'cells'"),
    ("two equal keys", BICOPTER, ("cells: 3", "cells: 3\n  cells: 4"), "cells: 4", "given twice"),
    ("no number", BICOPTER, ("mass: 320 g", "mass: .nan"), ".nan", "not a finite number"),
    ("nan with unit", BICOPTER, ("mass: 320 g", "mass: nan g"), "nan g", "a number and its unit"),
    ("negative mass", BICOPTER, ("mass: 320 g", "mass: -320 g"), "-320 g", "more than 0 kg"),
    (
        "zero mass of a pack",
        BICOPTER,
        ("mass: 320 g", "mass: 0 g"),
        "0 g\n  place: {up: -22",
        "more",
    ),
    (
        "zero length of a rod",
        BICOPTER,
        ("length: 24 cm", "length: 0 cm"),
        "0 cm\n    radius: 5",
        "0",
    ),
    (
        "empty section",
        BICOPTER,
        ("name: left", "name: left\n    tilt:"),
        "tilt:\n    turns",
        "no val",
    ),
    (
        "text for a map",
        BICOPTER,
        ("place: {up: -22 cm}", "place: low"),
        "low\n",
        "section of 'key:",
    ),
    ("map for a text", BICOPTER, ("mass: 320 g", "mass: [1]"), "mass: [1]", "must be a mass"),
    (
        "spread wider than the mass",
        BICOPTER,
        ("mass: 320 g", "mass: {value: 3 g, plus_minus: 4 g}"),
        "4 g}",
        "reaches below 0 kg",
    ),
    (
        "negative spread",
        BICOPTER,
        ("mass: 320 g", "mass: {value: 3 g, plus_minus: -1 g}"),
        "-1 g}",
        "must not be negative",
    ),
    (
        "misspelt spread",
        BICOPTER,
        ("mass: 320 g", "mass: {value: 3 g, plusminus: 1 g, plus_minus: 1 g}"),
        "1 g, plus",
        "not a known key",
    ),
    (
        "arm of zero length",
        BICOPTER,
        ("place: {right: -35 cm, up: 1 cm}", "place: {up: 1 cm}"),
        "place: {up: 1 cm}",
        "arm of zero length",
    ),
    (
        "rotors on one side",
        BICOPTER,
        ("right: -35 cm", "right: 30 cm"),
        "place: {right: 35 cm",
        "same side",
    ),
    (
        "motor without propeller",
        BICOPTER,
        ("  propeller: {diameter: 11 in, pitch: 4.5 in, blades: 2, mass: 12 g}\n", ""),
        "- name: left",
        "a motor but no 'propeller'",
    ),
    (
        "tilt axis of a bicopter",
        BICOPTER,
        ("axis: right", "axis: forward"),
        "axis: forward",
        "must be 'right' on a bicopter",
    ),
    (
        "two rotors of one name",
        TRICOPTER,
        ("- name: tail", "- name: front left"),
        "front left\n    turns: clockwise\n    place: {forward: -52",
        "name of an earlier one",
    ),
    (
        "tail tilts forward",
        TRICOPTER,
        ("axis: forward", "axis: right"),
        "axis: right",
        "must be 'forward' on a tricopter",
    ),
    (
        "tilting rotor in front",
        TRICOPTER,
        ("place: {forward: -52 cm, up: 2 cm}", "place: {forward: 52 cm, up: 2 cm}"),
        "place: {forward: 52 cm",
        "behind the other two",
    ),
    ("too many panels", JELLYFISH, ("strips: 8", "strips: 160"), "strips: 160", "at most 384"),
    ("width of a skirt", JELLYFISH, ("rows: 3", "rows: 3\n  width: 3 cm"), "3 cm\n  length", "no"),
    (
        "inner radius",
        JELLYFISH,
        ("inner_radius: 10 mm", "inner_radius: 2 cm"),
        "2 cm\n",
        "less than",
    ),
    (
        "size of another shape",
        JELLYFISH,
        ("along: up\n    length: 38 cm", "length: 38 cm\n    width: 1 cm"),
        "1 cm\n",
        "a rod has no 'width'",
    ),
]


@pytest.mark.parametrize(
    ("text", "change", "at", "words"),
    [row[1:] for row in ONE_FAULT],
    ids=[row[0] for row in ONE_FAULT],
)
def test_one_fault_is_told_on_its_line(text, change, at, words):
    text = changed(text, change)
    line = place_of(text, at)[0]
    found = faults(text)
    assert any(fault.line == line and words in fault.what for fault in found), [*map(str, found)]


def test_wrong_number_of_rotors_is_told():
    text = changed(BICOPTER, ("layout: bicopter", "layout: tricopter"))
    assert any("tricopter has 3 rotors, this file lists 2" in fault.what for fault in faults(text))


def test_two_tilting_rotors_of_a_tricopter_are_told():
    servo = "{slew: 0.1 s/60deg, stall_torque: 1 N m, mass: 40 g}"
    tilt = f"  tilt: {{axis: forward, travel: 30 deg, servo: {servo}}}\n"
    text = changed(TRICOPTER, ("every_rotor:\n", "every_rotor:\n" + tilt))
    assert any("exactly one rotor of a tricopter tilts" in fault.what for fault in faults(text))


def test_bicopter_without_tilt_is_told():
    text = BICOPTER[: BICOPTER.index("  tilt:\n")] + BICOPTER[BICOPTER.index("rotors:\n") :]
    assert sum("needs 'tilt'" in fault.what for fault in faults(text)) == 2


def test_rotors_at_one_place_are_told_even_when_another_section_is_faulty():
    """A fault in the battery must not hide that two rotors sit on each other."""
    text = changed(
        TRICOPTER,
        ("place: {forward: 28 cm, right: -45 cm, up: 4 cm}", "place: {forward: 28 cm, up: 4 cm}"),
        ("place: {forward: 28 cm, right: 45 cm, up: 4 cm}", "place: {forward: 28 cm, up: 4 cm}"),
        ("cells: 4", "cells: none"),
    )
    told = [fault.what for fault in faults(text)]
    assert any("same place as rotor 'front left'" in what for what in told), told
    assert any("whole number" in what for what in told), told


def test_missing_key_is_marked_at_its_section():
    text = changed(BICOPTER, ("  capacity: 4 Ah\n", ""))
    (fault,) = faults(text)
    assert (fault.line, fault.column) == place_of(text, "battery:")
    assert "battery.capacity: is missing" in fault.what


def test_fault_prints_file_line_column_and_a_caret():
    text = changed(BICOPTER, ("cells: 3", "cells: three"))
    (fault,) = faults(text)
    first, excerpt, caret = str(fault).split("\n")
    assert first.startswith(f"craft.yaml:{fault.line}:{fault.column}: battery.cells: ")
    assert excerpt[caret.index("^") :].startswith("three")


def test_rotors_that_turn_the_same_way_are_a_warning_only():
    loaded = craft_from_bytes(changed(BICOPTER, ("anticlockwise", "clockwise")).encode(), "c")
    assert len(loaded.warnings) == 1
    assert "both rotors turn clockwise" in loaded.warnings[0]
    assert craft_from_bytes(BICOPTER.encode(), "c").warnings == ()


def test_own_part_of_a_rotor_wins_over_every_rotor():
    text = changed(
        BICOPTER,
        ("  - name: left\n", "  - name: left\n    speed_controller: {current_limit: 99 A}\n"),
    )
    left, right = craft_from_bytes(text.encode(), "c").spec.rotors
    assert left.speed_controller.current_limit_a == 99.0
    assert right.speed_controller.current_limit_a == 35.0
    assert left.propeller == right.propeller


def test_scenario_faults_have_their_places():
    text = changed(
        HOP,
        ("{at: 6 s, do: hold}", "{at: 6 s, do: move_to, north: 3 m}"),
        ("{at: 16 s, do: land}", "{at: 3 s, do: lend}"),
        ("from: west", "from: wset"),
        ("success: 95 %", "success: 120 %"),
    )
    with pytest.raises(InputFaults) as caught:
        scenario_from_bytes(text.encode(), "s.yaml")
    told = {(fault.line, fault.what.split(": ", 1)[1]) for fault in caught.value.faults}
    for part, words in (
        ("move_to", "move_to needs 'east'"),
        ("lend", "did you mean 'land'"),
        ("wset", "a number and its unit"),
        ("120 %", "at most"),
    ):
        line = place_of(text, part)[0]
        assert any(at == line and words in what for at, what in told), told


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("{at: 16 s, do: land}", "{at: 6 s, do: land}"), "after the step before it"),
        (("{at: 16 s, do: land}", "{at: 30 s, do: land}"), "when the flight is over"),
        (("start: ground", "start: hover"), "cannot take off"),
        (("do: take_off, height: 1.5 m", "do: hold"), "needs take_off"),
        (("elevation: 200 m", "elevation: 200 m\n  pressure: 1000 hPa"), "not both"),
    ],
)
def test_task_that_cannot_be_flown_is_refused(change, words):
    with pytest.raises(InputFaults, match=words):
        scenario_from_bytes(changed(HOP, change).encode(), "s.yaml")


def test_points_of_the_compass_are_bearings(tmp_path):
    path = tmp_path / "s.yaml"
    path.write_text(changed(HOP, ("from: west", "from: southwest")), encoding="utf-8")
    by_word = load_scenario(path)
    path.write_text(changed(HOP, ("from: west", "from: 225 deg")), encoding="utf-8")
    by_angle = load_scenario(path)
    assert by_word.spec.wind.from_rad == pytest.approx(by_angle.spec.wind.from_rad, rel=1e-15)


SNIPPETS = (
    *"\n:{}[],#'%|>?\t\x00-",
    *("", " ", "- ", "&a ", "*a", "!!x ", '"', "1e999", ".nan", "null", "\n---\n", "kg", "0"),
    *("mass: 3 g", "é", "9" * 400),
)


@st.composite
def mutated(draw, text):
    for _ in range(draw(st.integers(1, 6))):
        begin = draw(st.integers(0, len(text)))
        end = min(len(text), begin + draw(st.integers(0, 12)))
        text = text[:begin] + draw(st.sampled_from(SNIPPETS) | st.text(max_size=4)) + text[end:]
    return text


def faults_or_none(read, text):
    """Give the faults of a text, None when it is a good file; any other exception escapes."""
    try:
        read(text.encode("utf-8", "surrogatepass"), "file.yaml")
    except InputFaults as error:
        return error.faults
    return None


@settings(max_examples=300, deadline=None)
@given(mutated(JELLYFISH) | mutated(TRICOPTER))
def test_mutated_craft_never_escapes_but_as_faults(text):
    found = faults_or_none(craft_from_bytes, text)
    assert found is None or (found and all(fault.what and str(fault) for fault in found))


@settings(max_examples=100, deadline=None)
@given(mutated(HOP))
def test_mutated_scenario_never_escapes_but_as_faults(text):
    found = faults_or_none(scenario_from_bytes, text)
    assert found is None or (found and all(fault.what and str(fault) for fault in found))


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_never_escape_but_as_faults(raw):
    with pytest.raises(InputFaults):
        craft_from_bytes(raw, "craft.yaml")


def test_file_name_is_told_as_the_user_gave_it(tmp_path):
    path = tmp_path / "my craft.yaml"
    path.write_text("name: x\n", encoding="utf-8")
    with pytest.raises(InputFaults) as caught:
        load_craft(path)
    assert all(fault.file == str(path) for fault in caught.value.faults)
