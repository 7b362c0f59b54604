"""Tuned gains in a craft: in its spec, and in a copy of its file that keeps the builder's words."""

from __future__ import annotations

from typing import Any

from sim.analysis.craft_edit import Edit, edited_text
from sim.analysis.tune_space import GainSpace, Variable
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.load import Path_, read_document
from sim.spec.quantity import Uncertain

_DIGITS = 4
_WHY = "gustworthy tune"


def rounded(space: GainSpace, values: FloatArray) -> FloatArray:
    """Give gains as a craft file would have them: four digits in the file's units."""
    found = values.copy()
    for k, variable in enumerate(space.variables):
        found[k] = float(f"{values[k] * variable.per_si:.{_DIGITS}g}") / variable.per_si
    return found


def gain_text(variable: Variable, value: float) -> str:
    """Give a gain as it is written in a craft file."""
    return f"{value * variable.per_si:.{_DIGITS}g} {variable.unit}"


def with_gains(craft: CraftSpec, space: GainSpace, values: FloatArray) -> CraftSpec:
    """Give a craft with gains in SI units."""
    controller: Any = craft.controller
    for variable, value in zip(space.variables, values, strict=True):
        controller = _replaced(controller, variable.path, float(value))
    return craft.model_copy(update={"controller": controller})


def applied_text(raw: bytes, file: str, space: GainSpace, values: FloatArray) -> str:
    """Give the text of a craft file with tuned gains written in.

    Parameters
    ----------
    raw : bytes
        The craft file.
    file : str
        Its name, for messages.
    space : GainSpace
    values : ndarray, shape (size,)
        SI units.

    Raises
    ------
    InputFaults
        When a value cannot be changed where it stands, or the changed text cannot be read.
    """
    tree: dict[str, Any] = {}
    for variable, value in zip(space.variables, values, strict=True):
        branch = tree
        for key in variable.path[:-1]:
            branch = branch.setdefault(key, {})
        branch[variable.path[-1]] = gain_text(variable, float(value))
    data: Any = read_document(raw, file).data
    return edited_text(raw, file, _edits(data, (), {"controller": tree}))


def _edits(data: Any, path: Path_, tree: dict[str, Any]) -> list[Edit]:
    """Give one edit for each value that is there, and one for each section that is not."""
    found: list[Edit] = []
    for key, wanted in tree.items():
        here = (*path, key)
        if isinstance(wanted, dict) and isinstance(data, dict) and isinstance(data.get(key), dict):
            found += _edits(data[key], here, wanted)
        else:
            found.append(Edit(here, _flow(wanted), _WHY))
    return found


def _flow(value: Any) -> str:
    """Write nested texts in YAML's flow form."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(item)}" for key, item in value.items()) + "}"
    return str(value)


def _replaced(section: Any, path: tuple[str, ...], value: float) -> Any:
    """Give a section with a value at a path of keys replaced."""
    fields = type(section).model_fields
    name = next(n for n, f in fields.items() if (f.alias or n) == path[0])
    if len(path) > 1:
        inner: Any = _replaced(getattr(section, name), path[1:], value)
    else:
        inner = Uncertain(value) if "Uncertain" in str(fields[name].annotation) else value
    return section.model_copy(update={name: inner})
