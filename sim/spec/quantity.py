"""Types of spec fields that carry the kind of quantity, its range and its JSON Schema."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, LiteralString, final, get_args

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from sim.spec.strict import PlacedFault
from sim.spec.unit_table import KINDS
from sim.spec.units import NUMBER_PATTERN, UnitError, format_quantity, json_pattern, parse_quantity


@final
@dataclass(frozen=True)
class Uncertain:
    """A value that may carry a spread.

    Attributes
    ----------
    value : float
        Best value, in the unit that the field's name says.
    plus_minus : float
        About two standard deviations (19 of 20 times the truth is within), same unit; 0 when the
        builder gave none.
    """

    value: float
    plus_minus: float = 0.0


def _faults_below(faults: list[PlacedFault]) -> PydanticCustomError:
    """Make one pydantic error that carries several faults, each with its place below the field."""
    return PydanticCustomError("placed", "several faults", {"faults": faults})


def _refusal(text: str) -> PydanticCustomError:
    template: LiteralString = "{text}"
    return PydanticCustomError("quantity", template, {"text": text})


@final
@dataclass(frozen=True)
class Quantity:
    """Metadata of an annotated field: what kind of quantity, and in which range.

    Attributes
    ----------
    kind : str
        Key of `sim.spec.units.KINDS`.
    above, least, most : float
        Value must be more than `above`, at least `least` and at most `most`, in SI units.
    uncertain : bool
        Whether the builder may write `{value: ..., plus_minus: ...}`; then the field holds an
        `Uncertain`, else a float.
    words : tuple of (str, float)
        Words that stand for a value, such as the points of the compass.
    """

    kind: str
    above: float = -math.inf
    least: float = -math.inf
    most: float = math.inf
    uncertain: bool = False
    words: tuple[tuple[str, float], ...] = ()

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
        """Give the JSON Schema: a text with a unit, and a map where a spread may be written."""
        text = self._json_text(json_pattern(self.kind), [KINDS[self.kind].example])
        if not self.uncertain:
            return text
        percent = rf"^\s*{NUMBER_PATTERN}\s*%\s*$"
        spread = self._json_text(
            json_pattern(self.kind) + "|" + percent, [KINDS[self.kind].example, "5 %"]
        )
        return {
            "oneOf": [
                text,
                {
                    "type": "object",
                    "properties": {"value": text, "plus_minus": spread},
                    "required": ["value", "plus_minus"],
                    "additionalProperties": False,
                },
            ]
        }

    def _json_text(self, pattern: str, examples: list[str]) -> JsonSchemaValue:
        words = [word for word, _ in self.words]
        if words:
            pattern += "|^(" + "|".join(words) + ")$"
        kind = "string"
        schema: dict[str, Any] = {"type": kind, "pattern": pattern, "examples": examples + words}
        if "" in KINDS[self.kind].units:
            schema["type"] = ["number", "string"]
            if math.isfinite(self.least):
                schema["minimum"] = self.least
            if math.isfinite(self.above):
                schema["exclusiveMinimum"] = self.above
            if math.isfinite(self.most):
                schema["maximum"] = self.most
        return schema

    def read(self, raw: object) -> float | Uncertain:
        """Give the value of what the builder wrote, in SI units.

        Parameters
        ----------
        raw : object
            Text, number, map with `value` and `plus_minus`, or a value that was read before.

        Returns
        -------
        float or Uncertain
            As `uncertain` says.
        """
        if isinstance(raw, Uncertain):
            return raw if self.uncertain else raw.value
        if self.uncertain and isinstance(raw, Mapping):
            return self._read_spread(raw)
        value = self._read_one(raw, self.kind)
        self._check_range(value)
        return Uncertain(value) if self.uncertain else value

    def _read_one(self, raw: object, kind: str) -> float:
        example = KINDS[kind].example
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            form = f"{KINDS[kind].name}, such as '{example}'"
            if self.uncertain:
                form += f", or {{value: {example}, plus_minus: ...}}"
            raise _refusal("must be " + form)
        if isinstance(raw, str):
            for word, value in self.words:
                if raw.strip() == word:
                    return value
        try:
            return parse_quantity(repr(raw) if isinstance(raw, float) else str(raw), kind)
        except UnitError as error:
            raise _refusal(str(error)) from error

    def _check_range(self, value: float) -> None:
        limits = (
            (value > self.above, "more than", self.above),
            (value >= self.least, "at least", self.least),
            (value <= self.most, "at most", self.most),
        )
        for right, words, limit in limits:
            if not right:
                text = f"must be {words} {format_quantity(limit, self.kind)}"
                text += f", got {format_quantity(value, self.kind)}"
                raise _refusal(text)

    def _read_spread(self, raw: Mapping[object, object]) -> Uncertain:
        faults: list[PlacedFault] = []
        known = ("value", "plus_minus")
        faults += [
            ((str(key),), f"'{key}' is not a known key here; a quantity has value and plus_minus")
            for key in raw
            if key not in known
        ]
        faults += [((), f"'{key}' is missing") for key in known if key not in raw]
        value = self._part(raw, "value", self.kind, faults)
        if value is not None:
            try:
                self._check_range(value)
            except PydanticCustomError as error:
                faults.append((("value",), error.message()))
        spread = self._read_plus_minus(raw, value, faults)
        if not faults and value is not None and spread is not None:
            return Uncertain(value, spread)
        raise _faults_below(faults)

    def _part(
        self, raw: Mapping[object, object], key: str, kind: str, faults: list[PlacedFault]
    ) -> float | None:
        if key not in raw:
            return None
        try:
            return self._read_one(raw[key], kind)
        except PydanticCustomError as error:
            faults.append(((key,), error.message()))
            return None

    def _read_plus_minus(
        self, raw: Mapping[object, object], value: float | None, faults: list[PlacedFault]
    ) -> float | None:
        written = raw.get("plus_minus")
        relative = isinstance(written, str) and written.strip().endswith("%")
        kind = "share" if relative else self.kind
        spread = self._part(raw, "plus_minus", kind, faults)
        if spread is None or value is None:
            return None
        if relative and self.kind != "share":
            spread *= abs(value)
        if spread < 0.0:
            faults.append((("plus_minus",), "must not be negative; it counts both ways"))
        elif value - spread < max(self.above, self.least):
            least = format_quantity(max(self.above, self.least), self.kind)
            text = f"reaches below {least}, where the quantity itself may not go"
            faults.append((("plus_minus",), text))
        return spread


def quantity_within(*pieces: Any) -> Quantity | None:
    """Give the first quantity among pieces of an annotation, and within them, or None."""
    for piece in pieces:
        if isinstance(piece, Quantity):
            return piece
        found = quantity_within(*get_args(piece))
        if found is not None:
            return found
    return None
