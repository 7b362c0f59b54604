"""Turn what pydantic found into faults at a line and column, in the builder's words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from sim.spec.load import Document, Mark, Path_
from sim.spec.strict import StrictSpec, model_within, nearest_word

_MOST_KEYS_SHOWN: Final = 12


def note_validation(error: ValidationError, document: Document, model: type[StrictSpec]) -> None:
    """Note every fault of a validation in the document.

    Parameters
    ----------
    error : ValidationError
        What pydantic found.
    document : Document
        The file, which receives the faults.
    model : type
        The model that was wanted; its keys are the known words.
    """
    found = error.errors(include_url=False)
    meant = set(_meant_keys(found, document, model))
    for details in found:
        for path, what in _placed(details, document, model):
            if path in document.spoiled or () in document.spoiled:
                continue
            if details["type"] == "missing" and path in meant:
                continue
            document.note(_mark(path, details["type"], document), f"{_name(path, document)}{what}")


def note_at(document: Document, path: Path_, what: str) -> None:
    """Note a fault at the value that a path leads to, or at the nearest key above it.

    Parameters
    ----------
    document : Document
        The file, which receives the fault.
    path : tuple
        Keys and list positions.
    what : str
        What is wrong, and what would be right.
    """
    document.note(_mark(path, "value", document), f"{_name(path, document)}{what}")


def _meant_keys(
    found: list[ErrorDetails], document: Document, model: type[StrictSpec]
) -> Iterator[Path_]:
    """Give the path of each key that a misspelt one means: that it is missing need not be told."""
    for details in found:
        if details["type"] == "extra_forbidden":
            *above, key = data_path(details["loc"], document.data, details["type"])
            near = nearest_word(key, known_keys(model, tuple(above)))
            if near is not None:
                yield (*above, near)


def _placed(
    details: ErrorDetails, document: Document, model: type[StrictSpec]
) -> Iterator[tuple[Path_, str]]:
    """Give each fault of one pydantic error with its path in the file."""
    path = data_path(details["loc"], document.data, details["type"])
    if details["type"] == "placed":
        for below, what in details["ctx"]["faults"]:
            yield (*path, *below), what
        return
    yield path, _words(details, path, model)


def data_path(loc: tuple[int | str, ...], data: object, error_type: str) -> Path_:
    """Give the path in the file of a place that pydantic names.

    Pydantic may add the names of union members to a place; what is not in the file is dropped,
    but for the last step of a missing key.

    Parameters
    ----------
    loc : tuple
        Pydantic's place.
    data : object
        What the file holds.
    error_type : str
        Pydantic's type of error.

    Returns
    -------
    tuple
        Keys and list positions.
    """
    path: list[str | int] = []
    here = data
    for index, step in enumerate(loc):
        if isinstance(here, dict) and step in here:
            here = here[str(step)]
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
        elif not (error_type == "missing" and index == len(loc) - 1):
            continue
        path.append(step)
    return tuple(path)


def _mark(path: Path_, error_type: str, document: Document) -> Mark:
    """Give the place to point at: the key if it is unknown, the parent's key if it is missing."""
    if error_type == "extra_forbidden" and path in document.keys:
        return document.keys[path]
    if path in document.values and error_type != "missing":
        return _value_mark(path, document)
    while path and path not in document.keys and path not in document.values:
        path = path[:-1]
    if path in document.keys:
        return document.keys[path]
    return document.values.get(path, (1, 1))


def _value_mark(path: Path_, document: Document) -> Mark:
    """Give where a value stands; for a whole section its key, which the eye finds first."""
    here: Any = document.data
    for step in path:
        here = _inside(here, step)
    if isinstance(here, dict | list) and path in document.keys:
        return document.keys[path]
    return document.values[path]


def _inside(here: object, step: str | int) -> object:
    """Give what stands at one step of a path, or None."""
    if isinstance(here, dict):
        return here.get(step)
    if isinstance(here, list) and isinstance(step, int) and step < len(here):
        return here[step]
    return None


def _name(path: Path_, document: Document) -> str:
    """Give the path in words, list items by their name: `rotors.left.motor: `."""
    words: list[str] = []
    here: Any = document.data
    for step in path:
        here = _inside(here, step)
        name = here.get("name") if isinstance(here, dict) else None
        if not isinstance(step, int):
            words.append(step)
        else:
            words.append(name if isinstance(name, str) and name else str(step + 1))
    return ".".join(words) + ": " if words else ""


_PLAIN_WORDS: Final = {
    "missing": "is missing",
    "model_type": "must be a section of 'key: value' lines",
    "tuple_type": "must be a list, each item beginning with '-'",
    "int_type": "must be a whole number without a unit",
    "string_type": "must be text; put it in quotes",
    "string_too_short": "must not be empty",
    "string_too_long": "is too long: at most {max_length} letters",
    "too_short": "needs at least {min_length} items, has {actual_length}",
    "too_long": "takes at most {max_length} items",
    "greater_than_equal": "must be at least {ge}",
    "less_than_equal": "must be at most {le}",
    "quantity": "{text}",
}


def _words(details: ErrorDetails, path: Path_, model: type[StrictSpec]) -> str:
    """Say what is wrong and what would be right."""
    context = details.get("ctx", {})
    match details["type"]:
        case "extra_forbidden":
            return _unknown_key(str(path[-1]), known_keys(model, path[:-1]))
        case "literal_error":
            words = _unknown_word(details["input"], str(context["expected"]))
            section = known_keys(model, path)
            return words + (f", or a section with {', '.join(section)}" if section else "")
        case kind if kind in _PLAIN_WORDS:
            return _PLAIN_WORDS[kind].format(**context)
        case _:
            message = details["msg"]
            return message[0].lower() + message[1:]


def _unknown_key(key: str, known: list[str]) -> str:
    near = nearest_word(key, known)
    if near is not None:
        return f"is not a known key here; did you mean '{near}'?"
    shown = ", ".join(known[:_MOST_KEYS_SHOWN]) + (", ..." if len(known) > _MOST_KEYS_SHOWN else "")
    return f"is not a known key here; known are {shown}"


def _unknown_word(given: object, expected: str) -> str:
    known = [word.strip("' ") for word in expected.replace(" or ", ",").split(",")]
    near = nearest_word(given, known)
    text = str(given)[:40]
    if near is not None:
        return f"'{text}' is not known here; did you mean '{near}'?"
    return f"'{text}' is not known here; use {', '.join(known)}"


def known_keys(model: type[StrictSpec], path: Path_) -> list[str]:
    """Give the keys that are known at a path of a model.

    Parameters
    ----------
    model : type
        Model of the whole file.
    path : tuple
        Keys and list positions of a section.

    Returns
    -------
    list of str
        In the order of the model.
    """
    here: type[StrictSpec] | None = model
    for step in path:
        if isinstance(step, int) or here is None:
            continue
        here = _section_model(here, step)
    if here is None:
        return []
    return [field.alias or name for name, field in here.model_fields.items()]


def _section_model(model: type[StrictSpec], key: str) -> type[StrictSpec] | None:
    for name, field in model.model_fields.items():
        if (field.alias or name) == key:
            return model_within(field.annotation)
    return None
