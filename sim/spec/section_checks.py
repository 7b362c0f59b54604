"""Ask every section of a file what is wrong between its keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sim.spec.load import Path_
from sim.spec.strict import SectionView, StrictSpec, model_within

Note = Callable[[Path_, str], None]


def check_sections(model: type[StrictSpec], raw: Mapping[str, Any], note: Note) -> None:
    """Check between the keys of a section, and of all sections within it.

    Parameters
    ----------
    model : type
        Model of the section.
    raw : Mapping
        The section as written.
    note : callable
        Receives the path and the words of each fault.
    """
    _check(model, raw, (), note)


def _check(model: type[StrictSpec], raw: Mapping[str, Any], path: Path_, note: Note) -> None:
    for below, what in model.faults_between(SectionView(model, raw)):
        note((*path, *below), what)
    for name, field in model.model_fields.items():
        key = field.alias or name
        section = model_within(field.annotation)
        written = raw.get(key)
        if section is None or written is None:
            continue
        if isinstance(written, dict):
            _check(section, written, (*path, key), note)
        for index, item in enumerate(written if isinstance(written, list) else []):
            if isinstance(item, dict):
                _check(section, item, (*path, key, index), note)
