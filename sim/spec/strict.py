"""Base class of all specs: frozen, unknown keys refused, YAML key as alias of the SI attribute."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

from pydantic import BaseModel, ConfigDict


@final
@dataclass(frozen=True)
class Unlisted:
    """Metadata of a field whose absence is no default worth listing (an optional section)."""


class StrictSpec(BaseModel):
    """A part of a craft or scenario file, read and checked."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True, populate_by_name=False
    )

    def worked_out(self) -> dict[str, str]:
        """Give, by field name, the text of values that are computed when left out.

        Returns
        -------
        dict[str, str]
            Empty unless a spec computes something.
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
