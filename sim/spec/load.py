"""Read YAML text into plain values, with the line and column of every key and value.

This is the only file that reads YAML. It walks the event stream and builds nothing on faith: no
anchors, aliases or tags, no second document, no doubled key, no empty value, a limit on size,
depth and number of items. A plain scalar is text unless it is written as a decimal number, `true`
or `false`: `on` stays a word, `12:30` stays text, `010` is ten.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, final

import yaml
from yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from sim.errors import Fault, InputFaults

MOST_BYTES: Final = 1_000_000
MOST_EVENTS: Final = 20_000
MOST_DEPTH: Final = 30
MOST_DIGITS: Final = 18
MOST_FAULTS: Final = 100
LONGEST_EXCERPT: Final = 160

Path_ = tuple[str | int, ...]
Mark = tuple[int, int]
Value = str | int | float | bool | dict[str, Any] | list[Any]

_INTEGER = re.compile(r"[-+]?[0-9]+")
_DECIMAL = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.?(?:inf|nan|infinity)", re.IGNORECASE)
_EMPTY: Final = frozenset({"", "~", "null", "Null", "NULL"})
_TRUTHS: Final = {"true": True, "True": True, "false": False, "False": False}
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@final
@dataclass
class Document:
    """A file as plain values, with where each stands.

    Attributes
    ----------
    file : str
        Name as the user gave it.
    lines : tuple of str
        The text, line by line.
    data : object
        Maps, lists, texts and numbers; an empty map when the file could not be read.
    keys, values : dict
        Line and column, from 1, of every key and of every value, by path.
    ends : dict
        Line and column just behind every text or number, by path.
    faults : list of Fault
        What is wrong with the text itself.
    spoiled : set of path
        Paths whose value was dropped because of a fault already noted.
    """

    file: str
    lines: tuple[str, ...]
    data: Value = field(default_factory=dict)
    keys: dict[Path_, Mark] = field(default_factory=dict)
    values: dict[Path_, Mark] = field(default_factory=dict)
    ends: dict[Path_, Mark] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    spoiled: set[Path_] = field(default_factory=set)

    def note(self, mark: Mark, what: str) -> None:
        """Note a fault at a line and column.

        Parameters
        ----------
        mark : tuple of int
            Line and column, from 1; (0, 0) for a fault without a place.
        what : str
            What is wrong, and what would be right.
        """
        self.faults.append(Fault(self.file, mark[0], mark[1], what, self._excerpt(mark)))

    def _excerpt(self, mark: Mark) -> str:
        line, column = mark
        if not 0 < line <= len(self.lines) or column > LONGEST_EXCERPT:
            return ""
        text = self.lines[line - 1][:LONGEST_EXCERPT].rstrip()
        return "".join(sign if sign.isprintable() else " " for sign in text)

    def raise_if_faulty(self) -> None:
        """Raise all faults noted, in the order of the file, if there are any."""
        if not self.faults:
            return
        ordered = sorted(self.faults, key=lambda fault: (fault.line, fault.column))
        shown = ordered[:MOST_FAULTS]
        if len(ordered) > MOST_FAULTS:
            shown.append(Fault(self.file, 0, 0, f"and {len(ordered) - MOST_FAULTS} faults more"))
        raise InputFaults(tuple(shown))


class _StopReading(Exception):
    """The text cannot be read further; the fault is noted."""


def read_bytes(path: Path) -> bytes:
    """Read a file after its size was looked at.

    Parameters
    ----------
    path : Path
        File to read.

    Returns
    -------
    bytes
        At most 1 MB.
    """
    try:
        if not path.is_file():
            what = "is a folder, not a file" if path.is_dir() else "no such file"
            raise InputFaults((Fault(str(path), 0, 0, what),))
        size = path.stat().st_size
        if size <= MOST_BYTES:
            with path.open("rb") as stream:
                raw = stream.read(MOST_BYTES + 1)
            size = len(raw)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputFaults((Fault(str(path), 0, 0, f"cannot be read: {reason}"),)) from error
    if size > MOST_BYTES:
        what = f"is {size / 1e6:.1f} MB; a craft or scenario file has at most 1 MB"
        raise InputFaults((Fault(str(path), 0, 0, what),))
    return raw


def read_document(raw: bytes, file: str) -> Document:
    """Read YAML text into plain values with their places.

    Parameters
    ----------
    raw : bytes
        The file's content, UTF-8 with or without a byte order mark.
    file : str
        Name for messages.

    Returns
    -------
    Document
        With every fault of the text noted in it.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        document = Document(file, ())
        document.note((line, 1), "is not UTF-8 text; save the file as UTF-8")
        return document
    document = Document(file, tuple(text.splitlines()))
    builder = _Builder(document, _events(text, document))
    try:
        builder.build()
    except _StopReading:
        pass
    except yaml.YAMLError as error:
        _note_syntax(error, document, text)
    return document


def _note_syntax(error: yaml.YAMLError, document: Document, text: str) -> None:
    """Note a fault of YAML's grammar in our words."""
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if mark is not None:
        reason = getattr(error, "problem", None) or "not readable"
        document.note(_place(mark), f"this is not YAML here: {reason}")
        return
    position = getattr(error, "position", None)
    if isinstance(position, int) and 0 <= position < len(text):
        before = text[:position]
        place = (before.count("\n") + 1, position - before.rfind("\n"))
        document.note(place, "holds a character that YAML does not allow")
        return
    document.note((0, 0), f"this is not YAML: {' '.join(str(error).split())}")


def _place(mark: Any) -> Mark:
    return (mark.line + 1, mark.column + 1)


def _events(text: str, document: Document) -> Iterator[Event]:
    """Give the events one by one, refusing what could blow up."""
    for count, event in enumerate(yaml.parse(text, Loader=_LOADER)):
        mark = _place(event.start_mark)
        if count > MOST_EVENTS:
            document.note(mark, f"more than {MOST_EVENTS} items; this is no craft or scenario file")
            raise _StopReading
        if isinstance(event, AliasEvent):
            document.note(mark, f"references (*{event.anchor}) are not used here: write it out")
            raise _StopReading
        if isinstance(event, NodeEvent) and event.anchor is not None:
            document.note(mark, f"anchors (&{event.anchor}) are not used here: write it out")
            raise _StopReading
        if getattr(event, "tag", None) is not None:
            document.note(mark, "tags (!) are not used here: leave it out")
            raise _StopReading
        yield event


class _Builder:
    """Builds plain values from events; recursion is bounded by the depth limit."""

    def __init__(self, document: Document, events: Iterator[Event]) -> None:
        self.document = document
        self.events = events

    def build(self) -> None:
        """Read the one document of the text."""
        documents = 0
        for event in self.events:
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self.document.note(
                        _place(event.start_mark), "a second document (---); one file holds one"
                    )
                    return
                self._read_root()
        if documents == 0:
            self.document.note((1, 1), "the file is empty")

    def _read_root(self) -> None:
        event = next(self.events)
        if isinstance(event, DocumentEndEvent):
            return
        mark = _place(event.start_mark)
        self.document.values[()] = mark
        value = self._value(event, ())
        if isinstance(value, dict):
            self.document.data = value
        elif value is not None:
            self.document.note(mark, "must be a list of 'key: value' lines")
        else:
            self.document.spoiled.add(())

    def _value(self, event: Event, path: Path_) -> Value | None:
        """Read one value; None when a fault was noted for it."""
        mark = _place(event.start_mark)
        self.document.values[path] = mark
        if len(path) > MOST_DEPTH:
            self.document.note(mark, f"nested more than {MOST_DEPTH} deep")
            raise _StopReading
        if isinstance(event, MappingStartEvent):
            return self._mapping(path)
        if isinstance(event, SequenceStartEvent):
            return self._sequence(path)
        assert isinstance(event, ScalarEvent)
        self.document.ends[path] = _place(event.end_mark)
        value = self._scalar(event, path)
        if value is None:
            self.document.spoiled.add(path)
        return value

    def _mapping(self, path: Path_) -> dict[str, Any]:
        result: dict[str, Any] = {}
        for event in self.events:
            if isinstance(event, MappingEndEvent):
                break
            mark = _place(event.start_mark)
            if not isinstance(event, ScalarEvent) or not event.value:
                self.document.note(mark, "a key must be a word")
                self._skip(event)
                self._skip(next(self.events))
                continue
            key = event.value
            here = (*path, key)
            if here in self.document.keys:
                first = self.document.keys[here][0]
                self.document.note(mark, f"'{key}' is given twice (first on line {first})")
                self._skip(next(self.events))
                continue
            self.document.keys[here] = mark
            value = self._value(next(self.events), here)
            if value is not None:
                result[key] = value
        return result

    def _sequence(self, path: Path_) -> list[Any]:
        result: list[Any] = []
        for event in self.events:
            if isinstance(event, SequenceEndEvent):
                break
            value = self._value(event, (*path, len(result)))
            result.append("" if value is None else value)
        return result

    def _skip(self, event: Event) -> None:
        """Pass over a value that is not wanted."""
        depth = 0
        while True:
            if isinstance(event, MappingStartEvent | SequenceStartEvent):
                depth += 1
            elif isinstance(event, MappingEndEvent | SequenceEndEvent):
                depth -= 1
            if depth == 0:
                return
            event = next(self.events)

    def _scalar(self, event: ScalarEvent, path: Path_) -> Value | None:
        text = event.value
        mark = _place(event.start_mark)
        if event.style:  # quoted or block text
            return str(text)
        if text in _EMPTY:
            self._note_empty(path, mark)
            return None
        value = _plain_value(text)
        if isinstance(value, float) and not math.isfinite(value):
            self.document.note(mark, f"{_quoted(path)}'{text[:40]}' is not a finite number")
            return None
        return value

    def _note_empty(self, path: Path_, mark: Mark) -> None:
        key = path[-1] if path else ""
        if isinstance(key, str) and key[:1].isdigit():
            what = f"'{key}' stands alone after a comma; write a decimal with a point"
        else:
            what = f"{_quoted(path)}has no value"
        self.document.note(self.document.keys.get(path, mark), what)


def _plain_value(text: str) -> str | int | float | bool:
    """Give what a scalar without quotes stands for; nan when it is no finite number."""
    if text in _TRUTHS:
        return _TRUTHS[text]
    if _INTEGER.fullmatch(text) and len(text) <= MOST_DIGITS:
        return int(text)
    if _DECIMAL.fullmatch(text):
        return float(text)
    return math.nan if _NOT_FINITE.fullmatch(text) else text


def _quoted(path: Path_) -> str:
    return f"'{path[-1]}': " if path and isinstance(path[-1], str) else ""
