"""How YAML text is read: no traps of YAML, no file that blows up, every place known."""

from __future__ import annotations

import time

import pytest

from sim.errors import InputFaults
from sim.spec.load import MOST_BYTES, read_bytes, read_document

BOMB = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{second}: &{second} [{', '.join(['*' + first] * 9)}]\n"
    for first, second in zip("abcdefgh", "bcdefghi", strict=True)
)


def read(text):
    return read_document(text.encode(), "file.yaml")


def faults(text):
    return [(fault.line, fault.column, fault.what) for fault in read(text).faults]


def test_words_and_clock_times_stay_text():
    document = read("a: on\nb: no\nc: 12:30\nd: 2001-01-01\ne: 0x1F\nf: 1_000\n")
    assert document.data == {
        "a": "on", "b": "no", "c": "12:30", "d": "2001-01-01", "e": "0x1F", "f": "1_000",
    }  # fmt: skip


def test_numbers_are_decimal():
    document = read("a: 010\nb: -3\nc: 1.5\nd: .5\ne: 1e3\nf: '7'\ng: true\n")
    assert document.data == {
        "a": 10, "b": -3, "c": 1.5, "d": 0.5, "e": 1000.0, "f": "7", "g": True,
    }  # fmt: skip


def test_places_of_keys_and_values_are_known():
    document = read("rotors:\n  - name: left\n    mass: 3 g\n")
    assert document.keys["rotors", 0, "mass"] == (3, 5)
    assert document.values["rotors", 0, "mass"] == (3, 11)


def test_columns_count_letters_not_bytes():
    assert read("{näme: ü, b: 1}\n").keys["b",] == (1, 11)


def test_byte_order_mark_is_no_fault():
    document = read_document(b"\xef\xbb\xbfname: x\n", "file.yaml")
    assert document.data == {"name": "x"}
    assert not document.faults


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("a: 1\nb: 2\na: 3\n", 3, 1, "'a' is given twice (first on line 1)"),
        ("a: &x 1\n", 1, 4, "anchors"),
        ("a: *x\n", 1, 4, "references"),
        ("a: !!python/object:os.system 1\n", 1, 4, "tags"),
        ("a: .nan\n", 1, 4, "not a finite number"),
        ("a: 1\nb: .inf\n", 2, 4, "not a finite number"),
        ("a: 1e999\n", 1, 4, "not a finite number"),
        ("a:\nb: 1\n", 1, 1, "has no value"),
        ("a: null\n", 1, 1, "has no value"),
        ("a: 1\n---\nb: 2\n", 2, 1, "second document"),
        ("? [1, 2]\n: 3\n", 1, 3, "a key must be a word"),
        ("- 1\n- 2\n", 1, 1, "must be a list of 'key: value' lines"),
        ("", 1, 1, "empty"),
        ("# only a comment\n", 1, 1, "empty"),
        ("a: [1, 2\nb: 3\n", 2, 2, "not YAML"),
        ("a: b: 3\n", 1, 5, "not YAML"),
        ("place: {up: 1,2 cm}\n", 1, 15, "write a decimal with a point"),
        ("a: b\x00\n", 1, 5, "does not allow"),
    ],
)
def test_fault_has_its_place_and_words(text, line, column, words):
    found = faults(text)
    assert any(
        (at_line, at_column) == (line, column) and words in what
        for at_line, at_column, what in found
    ), found


def test_latin_1_text_is_refused_with_its_line():
    found = read_document("a: 1\nb: \xe9t\xe9\n".encode("latin-1"), "f").faults
    assert [(fault.line, "UTF-8" in fault.what) for fault in found] == [(2, True)]


def test_alias_bomb_is_refused_fast():
    begin = time.perf_counter()
    assert any("anchors" in what for _, _, what in faults(BOMB))
    assert time.perf_counter() - begin < 0.5


def test_too_deep_and_too_many_are_refused():
    assert any("deep" in what for _, _, what in faults("a: " + "[" * 200 + "]" * 200))
    assert any("items" in what for _, _, what in faults("a: [" + "1, " * 30_000 + "1]\n"))
    # Far beyond, the parser itself may stop first; it must still be a fault and no crash.
    assert faults("a: " + "[" * 50_000)


def test_empty_item_of_a_list_keeps_the_places_of_the_others():
    document = read("a:\n  -\n  - 3\n")
    assert document.data == {"a": ["", 3]}
    assert ("a", 0) in document.spoiled
    assert document.values["a", 1] == (3, 5)


def test_big_file_is_refused_by_its_size(tmp_path):
    path = tmp_path / "big.yaml"
    path.write_bytes(b"#" * (MOST_BYTES + 1))
    with pytest.raises(InputFaults, match="at most 1 MB"):
        read_bytes(path)


def test_missing_file_and_folder_are_faults(tmp_path):
    with pytest.raises(InputFaults, match="no such file"):
        read_bytes(tmp_path / "none.yaml")
    with pytest.raises(InputFaults, match="is a folder"):
        read_bytes(tmp_path)
