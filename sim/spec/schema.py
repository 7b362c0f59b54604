"""JSON Schema of craft and scenario files, for editors that complete and check while one types."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, Final

from sim.spec.airframe import CraftFile
from sim.spec.defaults import default_text
from sim.spec.quantity import Uncertain
from sim.spec.scenario import ScenarioSpec
from sim.spec.strict import StrictSpec, Unlisted, model_within

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


def craft_schema() -> dict[str, Any]:
    """Give the JSON Schema of a craft file.

    Returns
    -------
    dict
        Draft 2020-12. It knows keys, units and words, not what needs two sections at once.
    """
    return _schema(CraftFile, "gustworthy craft file")


def scenario_schema() -> dict[str, Any]:
    """Give the JSON Schema of a scenario file.

    Returns
    -------
    dict
        Draft 2020-12. It knows keys, units and words, not what needs two sections at once.
    """
    return _schema(ScenarioSpec, "gustworthy scenario file")


def schema_text(schema: dict[str, Any]) -> str:
    """Write a schema as the shipped schema files hold it.

    Parameters
    ----------
    schema : dict
        From `craft_schema` or `scenario_schema`.

    Returns
    -------
    str
        JSON, indented, with a line end.
    """
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def _schema(model: type[StrictSpec], title: str) -> dict[str, Any]:
    schema = model.model_json_schema(by_alias=True, mode="validation")
    sections = {section.__name__: section for section in _sections_within(model)}
    for name, section in schema["$defs"].items():
        _write_defaults(section["properties"], sections[name])
    _write_defaults(schema["properties"], model)
    whole: dict[str, Any] = _without_null({"$schema": DIALECT, **schema, "title": title})
    return whole


def _sections_within(model: type[StrictSpec]) -> Iterator[type[StrictSpec]]:
    for field in model.model_fields.values():
        section = model_within(field.annotation)
        if section is not None:
            yield section
            yield from _sections_within(section)


def _write_defaults(properties: dict[str, Any], section: type[StrictSpec]) -> None:
    """Write each default as a builder would, with its unit; leave out what only means 'absent'."""
    for name, field in section.model_fields.items():
        written = properties[field.alias or name]
        written.pop("title", None)
        listed = not any(isinstance(data, Unlisted) for data in field.metadata)
        if isinstance(field.default, float | Uncertain) and listed:
            written["default"] = default_text(field.default, field)
        elif not isinstance(field.default, str | int) or not listed:
            written.pop("default", None)


def _without_null(node: Any) -> Any:
    """Take out that a value may be null: the reader refuses a key without a value."""
    if isinstance(node, list):
        return [_without_null(item) for item in node if item != {"type": "null"}]
    if not isinstance(node, dict):
        return node
    tidy = {key: _without_null(value) for key, value in node.items()}
    choices = tidy.get("anyOf")
    if isinstance(choices, list) and len(choices) == 1:
        del tidy["anyOf"]
        tidy = {**choices[0], **tidy}
    return tidy
