"""Write calibrated air factors into a copy of the craft file."""

from __future__ import annotations

from typing import Any

from sim.analysis.air_calibration import AirCalibration
from sim.analysis.craft_edit import Edit, edited_text
from sim.spec.load import Path_, read_document
from sim.spec.quantity import Uncertain


def applied_text(raw: bytes, file: str, calibration: AirCalibration) -> str:
    """Give the text of a craft file with the air factor of each drape written in.

    Parameters
    ----------
    raw : bytes
        The craft file.
    file : str
        Its name, for messages.
    calibration : AirCalibration
        Found for it.

    Raises
    ------
    InputFaults
        When a value cannot be changed where it stands, or the changed text cannot be read.
    """
    data: Any = read_document(raw, file).data
    written = data["drape"]
    paths: list[Path_] = (
        [("drape", i) for i in range(len(written))] if isinstance(written, list) else [("drape",)]
    )
    drapes = written if isinstance(written, list) else [written]
    why = (
        "gustworthy drape: hover throttle read"
        f" {100.0 * calibration.with_fabric.value:.4g} % with and"
        f" {100.0 * calibration.without_fabric.value:.4g} % without fabric"
    )
    edits: list[Edit] = []
    for path, drape, factor in zip(paths, drapes, calibration.air_factors, strict=True):
        here = (*path, "fabric", "air_factor")
        edits += _edits(here, drape["fabric"].get("air_factor"), factor, why)
    return edited_text(raw, file, edits)


def _edits(path: Path_, present: Any, factor: Uncertain, why: str) -> list[Edit]:
    """Give the edits of one factor, in the form that it has in the file."""
    value = f"{factor.value:.3g}"
    # A spread as wide as the value itself would reach where the factor may not go.
    spread = f"{min(factor.plus_minus, 0.99 * float(value)):.3g}"
    if isinstance(present, dict):
        return [Edit((*path, "value"), value, why), Edit((*path, "plus_minus"), spread, why)]
    return [Edit(path, f"{{value: {value}, plus_minus: {spread}}}", why)]
