"""A field that says yes or no."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, LiteralString, final

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

_WORDS: Final = {"yes": True, "no": False}


@final
@dataclass(frozen=True)
class _YesOrNo:
    """Metadata of a field that takes `true` and `false`, and the words `yes` and `no`."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Validate with `read`, whatever the annotated type."""
        return core_schema.no_info_plain_validator_function(
            self.read, serialization=core_schema.plain_serializer_function_ser_schema(lambda x: x)
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Give the JSON Schema: the four spellings."""
        return {"enum": [True, False, *_WORDS]}

    def read(self, raw: object) -> bool:
        """Give the truth of what the builder wrote.

        Parameters
        ----------
        raw : object
            A truth value, or one of the words.

        Returns
        -------
        bool
            True for yes.
        """
        if isinstance(raw, bool):
            return raw
        if isinstance(raw, str) and raw in _WORDS:
            return _WORDS[raw]
        template: LiteralString = "{text}"
        raise PydanticCustomError("quantity", template, {"text": "must be true or false"})


YesNo = Annotated[bool, _YesOrNo()]
"""True or false, as a builder writes it."""
