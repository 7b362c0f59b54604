"""Which answer each value left out of the files belongs to, as tables."""

from __future__ import annotations

from typing import Final

from sim.report.section import Table, TableRow
from sim.spec.defaults import DefaultUsed
from sim.spec.files import LoadedCraft, LoadedScenario

# Where the first word of a default's place leads; what is not listed belongs to the head, that is
# to mass and balance.
_SECTION_OF: Final = {
    "every_rotor": "lift",
    "rotors": "lift",
    "battery": "lift",
    "electronics": "lift",
    "day": "lift",
    "controller": "upright",
    "drape": "upright",
    "wind": "wind",
    "limits": "wind",
    "start": "wind",
    "start_height": "wind",
    "pilot": "wind",
    "flights": "wind",
    "seed": "wind",
    "task": "wind",
    "legs": "day",
}
_UPRIGHT: Final = (".tilt.", "limits.gain_margin", "limits.phase_margin")


def _section_of(default: DefaultUsed) -> str:
    if any(part in default.path for part in _UPRIGHT):
        return "upright"
    return _SECTION_OF.get(default.path.split(".")[0].split(" ")[0], "head")


def used_defaults(craft: LoadedCraft, scenario: LoadedScenario, section: str) -> Table | None:
    """Give the defaults that an answer uses.

    Parameters
    ----------
    craft, scenario : LoadedCraft, LoadedScenario
        What was read.
    section : str
        Key of the section; every default belongs to exactly one.

    Returns
    -------
    Table or None
        None when the builder gave everything.
    """
    rows = tuple(
        TableRow((default.path, default.value, default.meaning))
        for default in (*craft.defaults, *scenario.defaults)
        if _section_of(default) == section
    )
    if not rows:
        return None
    plural = "s" if len(rows) > 1 else ""
    return Table(
        caption=f"{len(rows)} value{plural} left out of the files, and what was taken instead",
        columns=("left out", "taken", "meaning"),
        rows=rows,
        folded=True,
    )
