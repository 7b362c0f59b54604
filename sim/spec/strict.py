"""Base class of all specs: frozen, unknown keys refused, YAML key as alias of the SI attribute."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Final, final

from pydantic import BaseModel, ConfigDict, TypeAdapter, ValidationError

PlacedFault = tuple[tuple[str | int, ...], str]
"""A fault by its place below a section, and its words."""

_NEAR: Final = 0.6


def nearest_word(word: object, known: list[str]) -> str | None:
    """Give the known word that a misspelt one most likely means.

    Parameters
    ----------
    word : object
        What was written.
    known : list of str
        Words that would be right.

    Returns
    -------
    str or None
        None when no known word is near.
    """
    near = difflib.get_close_matches(str(word).lower(), known, 1, _NEAR)
    return near[0] if near else None


@final
@dataclass(frozen=True)
class Unlisted:
    """Metadata of a field whose absence is no default worth listing (an optional section)."""


class StrictSpec(BaseModel):
    """A part of a craft or scenario file, read and checked."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True, populate_by_name=False
    )

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Give what is wrong between the keys of this section.

        It is asked whatever is wrong with single keys, so that one fault hides no other.

        Parameters
        ----------
        view : SectionView
            The section as far as it can be read.

        Returns
        -------
        list of PlacedFault
            Empty unless a spec checks something.
        """
        del view
        return []

    def worked_out(self) -> dict[str, str]:
        """Give, by field name, the text of values that are computed when left out.

        Returns
        -------
        dict[str, str]
            Empty unless a spec computes something.
        """
        return {}

    def origins(self) -> dict[str, str]:
        """Give, by field name, where values that were left out come from, if not from the field.

        Returns
        -------
        dict[str, str]
            Empty unless a spec fills values from elsewhere.
        """
        return {}

    def without_meaning(self) -> frozenset[str]:
        """Give the names of fields that mean nothing here, so that their default is no news.

        Returns
        -------
        frozenset of str
            Empty unless a spec says otherwise.
        """
        return frozenset()


def model_within(annotation: Any) -> type[StrictSpec] | None:
    """Give the section that an annotation such as `tuple[Section, ...] | None` holds.

    Parameters
    ----------
    annotation : type or generic alias
        Of a field.

    Returns
    -------
    type or None
        None when it holds no section.
    """
    if isinstance(annotation, type) and issubclass(annotation, StrictSpec):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = model_within(inner)
        if found is not None:
            return found
    return None


@final
class SectionView:
    """A section of a file as far as it can be read, for checks between its keys.

    Attributes
    ----------
    raw : Mapping
        Keys and values as written.
    """

    def __init__(self, model: type[StrictSpec], raw: Mapping[str, Any]) -> None:
        self.raw = raw
        self._model = model

    def gives(self, key: str) -> bool:
        """Say whether a key is written.

        Parameters
        ----------
        key : str
            As in the file.

        Returns
        -------
        bool
            Whatever its value.
        """
        return key in self.raw

    def lacks(self, key: str) -> bool:
        """Say whether a key is missing and no unknown key is a misspelling of it.

        Parameters
        ----------
        key : str
            As in the file.

        Returns
        -------
        bool
            False when a fault about the misspelling says enough.
        """
        known = [field.alias or name for name, field in self._model.model_fields.items()]
        strange = [word for word in self.raw if word not in known]
        return key not in self.raw and all(nearest_word(word, known) != key for word in strange)

    def get(self, key: str) -> Any:
        """Give the value of a key, in SI units.

        Parameters
        ----------
        key : str
            As in the file.

        Returns
        -------
        object
            Its default when it is left out, None when it cannot be read.
        """
        for name, field in self._model.model_fields.items():
            if (field.alias or name) != key:
                continue
            if key not in self.raw:
                return field.get_default(call_default_factory=False)
            try:
                return _field_reader(self._model, name).validate_python(self.raw[key])
            except ValidationError:
                return None
        return None


@cache
def _field_reader(model: type[StrictSpec], name: str) -> TypeAdapter[Any]:
    field = model.model_fields[name]
    wanted: Any = field.annotation
    for data in field.metadata:
        wanted = Annotated[wanted, data]
    return TypeAdapter(wanted)
