"""Base class of all specs: frozen, unknown keys refused, YAML key as alias of the SI attribute."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final

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
