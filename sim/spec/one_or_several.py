"""A field for which one mapping or a list of them may be written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, final

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema


def _as_written(items: list[Any]) -> list[Any]:
    return items


@final
@dataclass(frozen=True)
class OneOrSeveral:
    """Metadata of such a field, whose type is a tuple of sections.

    Attributes
    ----------
    prepare : callable
        Receives the list as written, a single mapping as a list of one, and gives the list to read.
    """

    prepare: Callable[[list[Any]], list[Any]] = _as_written

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Validate a list, whatever was written."""
        return core_schema.no_info_before_validator_function(self._listed, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Give the JSON Schema: one, or a list."""
        several = handler(schema)
        return {"oneOf": [several["items"], {**several, "minItems": 1}]}

    def _listed(self, raw: object) -> object:
        if isinstance(raw, dict):
            return [raw]
        return self.prepare(raw) if isinstance(raw, list) else raw
