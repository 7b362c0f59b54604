"""A study folder: what the study is, and the rows of its flights in files that are whole or absent.

    study.json                              what the rows depend on
    rows/<plan>/<first>-<flights>.parquet   columns of `sim.flight.rows`

A part file is written under a temporary name, flushed to the disk and then given its own name. A
process killed at any moment therefore leaves whole parts only, and a later run flies what is
missing.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final, final

import numpy as np
from numpy.typing import NDArray

from sim.errors import Fault, InputFaults, SimError
from sim.flight.folder_lock import sole_user
from sim.flight.identity import StudyIdentity
from sim.flight.plan import Part
from sim.flight.rows import COLUMNS, ROW_TYPE, Rows

FORMAT_VERSION: Final = 1
STUDY_FILE: Final = "study.json"
ROWS_FOLDER: Final = "rows"
PART_FLIGHTS: Final = 50
MOST_PARTS: Final = 400
_PART_NAME: Final = re.compile(r"(\d+)-(\d+)\.parquet")
_UNFINISHED: Final = ".unfinished"


def needs_parquet() -> None:
    """Refuse to begin when the library that writes the rows is not installed."""
    if find_spec("pyarrow") is None:
        message = "study folders need pyarrow: pip install 'gustworthy[studies]'"
        raise SimError(message)


def write_durably(path: Path, content: bytes) -> None:
    """Write a file under a temporary name beside it, flush it to the disk, then name it."""
    unfinished = path.with_name(f".{path.name}.{os.getpid()}{_UNFINISHED}")
    try:
        with unfinished.open("wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        unfinished.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)
        raise


def _parquet(rows: Rows, digest: str) -> bytes:
    import pyarrow as pa  # noqa: PLC0415 - an extra, and slow to import
    import pyarrow.parquet as pq  # noqa: PLC0415

    # From buffers, since making arrays from numpy would import pandas where it is installed.
    kinds = {"i": pa.int64(), "f": pa.float64()}
    arrays = [
        pa.Array.from_buffers(
            kinds[rows.dtype[name].kind], len(rows), [None, pa.py_buffer(rows[name].tobytes())]
        )
        for name in ROW_TYPE.names or ()
    ]
    table = pa.table(arrays, names=list(ROW_TYPE.names or ()))
    units = json.dumps({column.name: column.unit for column in COLUMNS})
    table = table.replace_schema_metadata({"gustworthy_study": digest, "units": units})
    sink = pa.BufferOutputStream()
    pq.write_table(table, sink, compression="zstd", use_dictionary=False, write_statistics=False)
    return bytes(sink.getvalue())


def _numbers(chunk: Any) -> NDArray[Any]:
    """Give a column's numbers from its buffer, for the same reason."""
    kind = np.int64 if str(chunk.type) == "int64" else np.float64
    return np.frombuffer(chunk.buffers()[1], dtype=kind)[chunk.offset : chunk.offset + len(chunk)]


@final
class StudyFolder:
    """The open folder of one study; see `opened`."""

    def __init__(self, folder: Path, digest: str, part_flights: int) -> None:
        self.folder = folder
        self.digest = digest
        self.part_flights = part_flights

    def parts(self, plan: str) -> list[Part]:
        """Give the parts that are there, by first flight."""
        folder = self.folder / ROWS_FOLDER / plan
        if not folder.is_dir():
            return []
        found = (_PART_NAME.fullmatch(path.name) for path in folder.iterdir())
        return sorted(Part(int(match[1]), int(match[2])) for match in found if match)

    def missing(self, plan: str, flights: int) -> Iterator[Part]:
        """Give what is to be flown until flights 0 to `flights` - 1 are all there.

        Parts lie within cells of `part_flights` flights, and fill them from the left.
        """
        return missing_parts(self.parts(plan), flights, self.part_flights)

    def write(self, plan: str, part: Part, rows: Rows) -> None:
        """Add a part."""
        folder = self.folder / ROWS_FOLDER / plan
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"{part.first:09d}-{part.flights}.parquet"
        write_durably(path, _parquet(rows, self.digest))

    def read(self, plan: str, part: Part, columns: Iterable[str] | None = None) -> Rows:
        """Give the rows of a part, or some columns of them; SimError when they are not its own."""
        import pyarrow.parquet as pq  # noqa: PLC0415 - an extra, and slow to import

        path = self.folder / ROWS_FOLDER / plan / f"{part.first:09d}-{part.flights}.parquet"
        names = list(ROW_TYPE.names or () if columns is None else columns)
        table = pq.ParquetFile(path).read(columns=names, use_threads=False)
        told = (table.schema.metadata or {}).get(b"gustworthy_study", b"").decode()
        if told != self.digest or table.num_rows != part.flights:
            message = f"{path} does not belong to this study: move it away"
            raise SimError(message)
        rows = np.zeros(part.flights, dtype=[(name, ROW_TYPE[name]) for name in names])
        for name in names:
            rows[name] = np.concatenate([_numbers(c) for c in table.column(name).chunks])
        return rows

    def cells(
        self, plan: str, flights: int, columns: Iterable[str] | None = None
    ) -> Iterator[Rows]:
        """Give the rows of flights 0 to `flights` - 1, a cell of `part_flights` at a time."""
        wanted = None if columns is None else list(columns)
        cell: list[Rows] = []
        edge = self.part_flights
        for part in self.parts(plan):
            if part.first >= flights:
                break
            if part.first >= edge:
                yield np.concatenate(cell)
                cell, edge = [], edge + self.part_flights
            cell.append(self.read(plan, part, wanted)[: flights - part.first])
        if cell:
            yield np.concatenate(cell)


def missing_parts(there: Iterable[Part], flights: int, size: int) -> Iterator[Part]:
    """Give the parts that are missing of flights 0 to `flights` - 1, within cells of `size`."""
    ends: dict[int, int] = {}
    for part in there:
        ends[part.first // size] = part.end
    for cell in range(-(-flights // size)):
        first = ends.get(cell, cell * size)
        end = min((cell + 1) * size, flights)
        if first < end:
            yield Part(first, end - first)


def part_size(flights: int) -> int:
    """Give flights a part file holds, so that a large study has some hundred files."""
    return PART_FLIGHTS * max(1, -(-flights // (PART_FLIGHTS * MOST_PARTS)))


@contextmanager
def opened(folder: Path, identity: StudyIdentity, part_flights: int) -> Iterator[StudyFolder]:
    """Begin a study in a folder, or go on with the one that is there.

    Parameters
    ----------
    folder : Path
        Made when it does not exist.
    identity : StudyIdentity
        Of the study to fly.
    part_flights : int
        Flights a part of a new study holds at most; one that is there keeps its own.

    Raises
    ------
    InputFaults
        When another study is in the folder, saying what differs; when it is not a study's folder;
        when another process works in it.
    SimError
        Without pyarrow.
    """
    needs_parquet()
    if folder.is_dir() and not (folder / STUDY_FILE).exists():
        strangers = [path.name for path in folder.iterdir() if not path.name.startswith(".")]
        if strangers:
            what = f"holds {strangers[0]!r} and no {STUDY_FILE}: give an empty folder or a study's"
            raise InputFaults((Fault(str(folder), 0, 0, what),))
    folder.mkdir(parents=True, exist_ok=True)
    with sole_user(folder):
        path = folder / STUDY_FILE
        if path.exists():
            size = _same_study(path, identity)
        else:
            size = part_flights
            data = {"format_version": FORMAT_VERSION, "digest": identity.digest}
            data |= {"part_flights": size, **identity.values}
            write_durably(path, (json.dumps(data, indent=2) + "\n").encode())
        for left in folder.rglob(f".*{_UNFINISHED}"):
            left.unlink(missing_ok=True)
        yield StudyFolder(folder, identity.digest, size)


def _same_study(path: Path, identity: StudyIdentity) -> int:
    """Give the size of the parts of the study that is there, or refuse it."""
    try:
        data: dict[str, Any] = json.loads(path.read_text("utf-8"))
        written, size, digest = (data.pop(k) for k in ("format_version", "part_flights", "digest"))
    except (ValueError, KeyError, AttributeError, TypeError):
        what = "is not a study of gustworthy"
        raise InputFaults((Fault(str(path), 0, 0, what),)) from None
    if written != FORMAT_VERSION:
        what = f"is of format {written}, this gustworthy writes {FORMAT_VERSION}"
        raise InputFaults((Fault(str(path), 0, 0, what),))
    if digest != identity.digest:
        told = identity.differences(data) or ["its digest"]
        what = "another study is in this folder; use a new folder. Different: " + "; ".join(told)
        raise InputFaults((Fault(str(path), 0, 0, what),))
    return int(size)
