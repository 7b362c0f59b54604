"""A measured wind: a table of time, speed and perhaps direction, in a file of its own."""

from __future__ import annotations

import csv
import hashlib
import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Final, LiteralString, final

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from sim.errors import InputFaults
from sim.spec.load import read_bytes
from sim.spec.strict import PlacedFault, nearest_word
from sim.spec.units import UnitError, parse_quantity

FOLDER: Final = "folder"
LEAST_ROWS: Final = 10
MOST_FAULTS: Final = 20
MOST_SPEED_M_S: Final = 60.0
KINDS_OF_COLUMNS: Final = {"time": "time", "speed": "speed", "from": "angle"}
_HEADER = re.compile(r"\s*([A-Za-z]+)\s*[\[(]\s*([^\])]*?)\s*[\])]\s*")


@final
@dataclass(frozen=True)
class MeasuredWind:
    """A measured wind.

    Attributes
    ----------
    file : str
        As the scenario names it.
    sha256 : str
        Of the file, in hexadecimal.
    time_s, speed_m_s : tuple of float
        [s], [m/s] Ascending times; speeds.
    from_rad : tuple of float
        [rad] Where the wind comes from; empty when that was not measured.
    """

    file: str
    sha256: str
    time_s: tuple[float, ...]
    speed_m_s: tuple[float, ...]
    from_rad: tuple[float, ...]

    @property
    def has_direction(self) -> bool:
        """Whether the direction was measured."""
        return bool(self.from_rad)

    @property
    def lasts_s(self) -> float:
        """Time from the first row to the last [s]."""
        return self.time_s[-1] - self.time_s[0]

    def _mean(self, values: list[float]) -> float:
        """Give the mean over time, straight between the rows."""
        area = sum(
            0.5 * (values[k] + values[k + 1]) * (self.time_s[k + 1] - self.time_s[k])
            for k in range(len(values) - 1)
        )
        return area / self.lasts_s

    def _mean_vector(self) -> tuple[float, float]:
        """Give the means [m/s] of speed cos(from) and speed sin(from)."""
        turned = list(zip(self.speed_m_s, self.from_rad, strict=True))
        return (
            self._mean([speed * math.cos(angle) for speed, angle in turned]),
            self._mean([speed * math.sin(angle) for speed, angle in turned]),
        )

    @property
    def mean_m_s(self) -> float:
        """Mean wind of the whole record [m/s], as a vector where the direction was measured."""
        if not self.has_direction:
            return self._mean(list(self.speed_m_s))
        return math.hypot(*self._mean_vector())

    @property
    def mean_from_rad(self) -> float:
        """Direction of the mean wind [rad], from 0 to a turn; only with a measured direction."""
        north, east = self._mean_vector()
        return math.atan2(east, north) % (2.0 * math.pi)

    def departures_m_s(self) -> list[tuple[float, float]]:
        """Give what each row adds to the mean [m/s]: along the mean wind, and to its right."""
        mean = self.mean_m_s
        if not self.has_direction:
            return [(speed - mean, 0.0) for speed in self.speed_m_s]
        source = self.mean_from_rad
        return [
            (speed * math.cos(angle - source) - mean, speed * math.sin(angle - source))
            for speed, angle in zip(self.speed_m_s, self.from_rad, strict=True)
        ]

    @property
    def intensity(self) -> float:
        """Standard deviation along the mean wind over the mean [-]."""
        square = self._mean([along * along for along, _ in self.departures_m_s()])
        return math.sqrt(square) / self.mean_m_s


@final
class _Table:
    """The rows of a file as far as they can be read, and what is wrong with them."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[str] = []
        self.columns: dict[str, tuple[int, str]] = {}
        self.values: dict[str, list[float]] = {}

    def note(self, line: int, what: str) -> None:
        """Note a fault at a line, counted from 1."""
        self.faults.append(f"{self.file}, line {line}: {what}")

    def read_header(self, cells: list[str], line: int) -> None:
        """Read names and units of the columns."""
        for place, cell in enumerate(cells):
            match = _HEADER.fullmatch(cell)
            if match is None:
                self.note(
                    line, f"'{cell.strip()}' is no column with its unit, such as 'speed [m/s]'"
                )
                continue
            name, unit = match[1].lower(), match[2]
            if name not in KINDS_OF_COLUMNS:
                near = nearest_word(name, list(KINDS_OF_COLUMNS))
                hint = f"did you mean '{near}'?" if near else "use time, speed and from"
                self.note(line, f"unknown column '{match[1]}'; {hint}")
                continue
            if name in self.columns:
                self.note(line, f"column '{name}' stands here twice")
                continue
            try:
                parse_quantity(f"1 {unit}", KINDS_OF_COLUMNS[name])
            except UnitError as error:
                self.note(line, f"column '{name}': {error}")
            self.columns[name] = (place, unit)
            self.values[name] = []
        for name in ("time", "speed"):
            if name not in self.columns and not self.faults:
                self.note(line, f"there is no column '{name}', such as '{name} [...]'")

    def read_row(self, cells: list[str], line: int) -> None:
        """Read one row; a value that cannot be read is noted and left out."""
        for name, (place, unit) in self.columns.items():
            text = cells[place].strip() if place < len(cells) else ""
            try:
                value = parse_quantity(f"{text} {unit}", KINDS_OF_COLUMNS[name])
            except UnitError as error:
                self.note(line, f"{name}: {error}" if text else f"{name} is empty")
                continue
            before = self.values[name]
            if name == "time" and before and value <= before[-1]:
                self.note(line, f"time {text} {unit} does not come after the row before it")
            elif name == "speed" and not 0.0 <= value <= MOST_SPEED_M_S:
                self.note(line, f"speed {text} {unit} must lie from 0 to {MOST_SPEED_M_S:g} m/s")
            before.append(value)


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Give line number and cells of every line that is neither empty nor a remark."""
    separator = ";" if text.count(";") > text.count(",") else ","
    reader = csv.reader(io.StringIO(text), delimiter=separator)
    for cells in reader:
        if cells and any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith("#"):
            yield reader.line_num, cells


def read_measured_wind(path: Path, file: str) -> tuple[MeasuredWind | None, list[str]]:
    """Read a table of a measured wind.

    Parameters
    ----------
    path : Path
        The file: a header such as `time [s], speed [km/h], from [deg]` and rows of numbers, with
        commas or semicolons between; lines that begin with # are remarks.
    file : str
        Its name for messages.

    Returns
    -------
    tuple of (MeasuredWind or None, list of str)
        The wind, or every fault.
    """
    try:
        raw = read_bytes(path)
        text = raw.decode("utf-8-sig")
    except InputFaults as error:
        return None, [f"{file}: {fault.what}" for fault in error.faults]
    except UnicodeDecodeError as error:
        return None, [f"{file}: is not UTF-8 text (byte {error.start})"]
    table = _Table(file)
    last = 1
    try:
        for line, cells in _rows(text):
            last = line
            if not table.columns and not table.faults:
                table.read_header(cells, line)
                if table.faults:
                    break
            else:
                table.read_row(cells, line)
    except csv.Error as error:
        table.note(last, f"is not a table: {error}")
    times, speeds = table.values.get("time", []), table.values.get("speed", [])
    if not table.faults and len(times) < LEAST_ROWS:
        table.note(last, f"has {len(times)} rows; at least {LEAST_ROWS} are needed")
    if not table.faults and max(speeds) == 0.0:
        table.note(last, "no row has any wind")
    if table.faults:
        shown = table.faults[:MOST_FAULTS]
        if len(table.faults) > MOST_FAULTS:
            shown.append(f"{file}: and {len(table.faults) - MOST_FAULTS} faults more")
        return None, shown
    sources = tuple(table.values.get("from", []))
    digest = hashlib.sha256(raw).hexdigest()
    return MeasuredWind(file, digest, tuple(times), tuple(speeds), sources), []


@final
@dataclass(frozen=True)
class _NamedTable:
    """Metadata of a field that names such a file and holds what stands in it."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Validate with `read`, whatever the annotated type."""
        return core_schema.with_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda wind: {"file": wind.file, "sha256": wind.sha256}
            ),
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Give the JSON Schema: the name of a file."""
        return {"type": "string", "examples": ["breeze.csv"]}

    def read(self, raw: object, info: ValidationInfo) -> MeasuredWind:
        """Read the file that the builder named, beside the scenario.

        Parameters
        ----------
        raw : object
            Name of the file, or a wind that was read before.
        info : ValidationInfo
            Its context holds the scenario's folder.

        Returns
        -------
        MeasuredWind
            What stands in it.
        """
        if isinstance(raw, MeasuredWind):
            return raw
        if not isinstance(raw, str):
            template: LiteralString = "{text}"
            text = "must be the name of a file, such as breeze.csv"
            raise PydanticCustomError("quantity", template, {"text": text})
        context: dict[str, Any] = info.context or {}
        wind, found = read_measured_wind(context.get(FOLDER, Path()) / raw, raw)
        if wind is None:
            faults: list[PlacedFault] = [((), what) for what in found]
            raise PydanticCustomError("placed", "several faults", {"faults": faults})
        return wind


MeasuredWindFile = Annotated[MeasuredWind, _NamedTable()]
"""The name of a file in a scenario, and what stands in it once read."""
