"""What a study's rows depend on, so that flights of two different studies are never mixed."""

from __future__ import annotations

import hashlib
import json
import platform
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final, final

from llvmlite.binding import get_host_cpu_name

from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec

_ROOT: Final = Path(__file__).resolve().parents[2]
_LAWS: Final = (
    "sim/numerics",
    "sim/params",
    "sim/physics",
    "sim/sensing",
    "sim/step",
    "sim/spec",
    "sim/mass",
    "sim/pack",
    "sim/flight",
    "controllers",
)
_LIBRARIES: Final = ("numpy", "numba", "llvmlite", "scipy")
MOST_TOLD: Final = 6


def code_digest() -> str:
    """Give a digest of the text of every source file that a flight's row depends on."""
    digest = hashlib.sha256()
    for folder in _LAWS:
        for file in sorted((_ROOT / folder).rglob("*.py")):
            digest.update(file.relative_to(_ROOT).as_posix().encode())
            digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def versions() -> dict[str, str]:
    """Give what computes: interpreter, processor, libraries that the compiled code needs."""
    found = {name: version(name) for name in _LIBRARIES}
    found["python"] = platform.python_version()
    found["machine"] = f"{platform.system()} {platform.machine()}"
    # Sines and logarithms differ in the last digit between processors and C libraries.
    found["processor"] = get_host_cpu_name()
    found["C library"] = " ".join(platform.libc_ver()).strip()
    return found


@final
@dataclass(frozen=True)
class StudyIdentity:
    """Everything that decides the rows of a study, apart from wind, direction and flight number.

    Attributes
    ----------
    values : dict
        As plain data, as it stands in `study.json`.
    """

    values: dict[str, Any]

    @property
    def digest(self) -> str:
        """SHA-256 of the values, 16 hexadecimal digits."""
        text = json.dumps(self.values, sort_keys=True, separators=(",", ":"))
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    def differences(self, other: dict[str, Any]) -> list[str]:
        """Say what differs from the values of another study, a few entries at most."""
        told = [
            f"{path}: {_short(theirs)} there, {_short(ours)} here"
            for path, theirs, ours in _apart(other, self.values, "")
        ]
        if len(told) > MOST_TOLD:
            told = [*told[:MOST_TOLD], f"and {len(told) - MOST_TOLD} more"]
        return told


def _short(value: Any) -> str:
    text = "nothing" if value is None else json.dumps(value)
    return text if len(text) <= 40 else f"{text[:37]}..."  # noqa: PLR2004 - a line's worth


def _apart(theirs: Any, ours: Any, path: str) -> list[tuple[str, Any, Any]]:
    """Give the places at which two pieces of plain data differ."""
    if isinstance(theirs, dict) and isinstance(ours, dict):
        found = []
        for key in sorted({*theirs, *ours}):
            below = f"{path}.{key}" if path else key
            found += _apart(theirs.get(key), ours.get(key), below)
        return found
    if isinstance(theirs, list) and isinstance(ours, list) and len(theirs) == len(ours):
        found = []
        for number, (one, other) in enumerate(zip(theirs, ours, strict=True), 1):
            found += _apart(one, other, f"{path}[{number}]")
        return found
    return [] if theirs == ours else [(path, theirs, ours)]


def study_identity(craft: CraftSpec, scenario: ScenarioSpec, start: Any) -> StudyIdentity:
    """Give the identity of a study.

    Parameters
    ----------
    craft, scenario : CraftSpec, ScenarioSpec
        Names and notes do not count; nor do the scenario's mean wind and its direction, which are
        columns of the rows, nor what counts as enough flights.
    start : ndarray of one state record
        Hover in still air, or the stand on the ground.
    """
    shape = craft.model_dump(mode="json")
    day = scenario.model_dump(mode="json")
    for plain in (shape, day):
        plain.pop("name", None)
        plain.pop("note", None)
    seed = day.pop("seed")
    day.pop("flights", None)
    for key in ("mean_m_s", "from_rad"):
        day["wind"].pop(key, None)
    for key in ("success", "confidence"):
        day["limits"].pop(key, None)
    values = {
        "craft": shape,
        "scenario": day,
        "seed": seed,
        "start": hashlib.sha256(start.tobytes()).hexdigest()[:16],
        "code": code_digest(),
        "versions": versions(),
    }
    return StudyIdentity(json.loads(json.dumps(values)))
