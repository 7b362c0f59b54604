"""Change values in the text of a craft file, each under a comment that says what it was.

The text is changed where the reader of craft files says that a value stands; everything else,
comments and layout, stays as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, final

from sim.errors import Fault, InputFaults
from sim.spec.files import LoadedCraft, craft_from_bytes
from sim.spec.load import Document, Mark, Path_, read_document


@final
@dataclass(frozen=True)
class Edit:
    """One value to write: the path of its key in the file, its text, and why it is written."""

    path: Path_
    text: str
    why: str


@final
@dataclass(frozen=True)
class _Splice:
    """Text that replaces what stands between two marks."""

    start: Mark
    end: Mark
    text: str
    comment: str


def edited_text(raw: bytes, file: str, edits: Sequence[Edit]) -> str:
    """Give the text of a craft file with values written in.

    Parameters
    ----------
    raw : bytes
        The craft file.
    file : str
        Its name, for messages.
    edits : sequence of Edit
        What to write; a key that is not there is put at the start of its section.

    Raises
    ------
    InputFaults
        When a value cannot be changed where it stands, or the changed text cannot be read.
    """
    return edited_craft(raw, file, edits)[0]


def edited_craft(
    raw: bytes, file: str, edits: Sequence[Edit], document: Document | None = None
) -> tuple[str, LoadedCraft]:
    """Give the text of `edited_text`, and the craft that it describes.

    Parameters
    ----------
    raw, file, edits
        As for `edited_text`.
    document : Document, optional
        What `read_document` makes of `raw`, where that is known.
    """
    document = document or read_document(raw, file)
    lines = raw.decode("utf-8-sig").splitlines(keepends=True)
    ending = "\r\n" if lines and lines[0].endswith("\r\n") else "\n"
    splices = [_splice(document, edit, ending) for edit in edits]
    ordered = sorted(splices, key=lambda splice: splice.start, reverse=True)
    depths = [len(lines[s.start[0] - 1]) - len(lines[s.start[0] - 1].lstrip(" ")) for s in ordered]
    for splice in ordered:
        _put_in(lines, splice)
    for splice, depth in zip(ordered, depths, strict=True):
        lines.insert(splice.start[0] - 1, f"{' ' * depth}{splice.comment}{ending}")
    text = "".join(lines)
    return text, craft_from_bytes(text.encode("utf-8"), f"{file}, changed")


def _splice(document: Any, edit: Edit, ending: str) -> _Splice:
    """Give the change of text: another scalar, or a new key at the start of its section."""
    path, text, words = edit.path, edit.text, edit.why
    if (*path, "value") in document.ends:
        path = (*path, "value")
    if path in document.ends:
        start, end = document.values[path], document.ends[path]
        if start[0] != end[0]:
            what = f"'{edit.path[-1]}' runs over several lines; write it on one to change it"
            raise InputFaults((Fault(document.file, start[0], start[1], what),))
        was = document.lines[start[0] - 1][start[1] - 1 : end[1] - 1]
        return _Splice(start, end, text, f"# {words}; before, '{edit.path[-1]}' was {was}")
    *above, key = path
    here: Path_ = tuple(above)
    while here not in document.values:
        *rest, outer = here
        text, key, here = "{" + f"{key}: {text}" + "}", outer, tuple(rest)
    mark = document.values[here]
    comment = f"# {words}; '{key}' was not given before: take it out to undo this"
    line = document.lines[mark[0] - 1]
    if line[mark[1] - 1] == "{":
        behind = (mark[0], mark[1] + 1)
        return _Splice(behind, behind, f"{key}: {text}, ", comment)
    return _Splice(mark, mark, f"{key}: {text}{ending}{' ' * (mark[1] - 1)}", comment)


def _put_in(lines: list[str], splice: _Splice) -> None:
    number, column = splice.start[0] - 1, splice.start[1] - 1
    line = lines[number]
    lines[number] = line[:column] + splice.text + line[splice.end[1] - 1 :]
