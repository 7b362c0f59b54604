"""The mass ledger for a terminal: each part, the whole, and how unsure the whole is."""

from __future__ import annotations

from typing import Final

from rich.console import Console
from rich.text import Text

from sim.mass.properties import MassProperties
from sim.report.number_text import fixed, give_or_take
from sim.report.section import Table, TableRow
from sim.report.terminal import printable, shown_text, table_grid
from sim.spec.files import LoadedCraft

_CENTIMETRES: Final = 100.0
_GRAMS: Final = 1000.0


def ledger_table(mass: MassProperties) -> Table:
    """Give every part with its mass and place, the whole craft last.

    Parameters
    ----------
    mass : MassProperties
        Of the whole craft.

    Returns
    -------
    Table
        Grams, and centimetres forward, right and up of the craft file's origin.
    """
    lines = [(line.name, line.mass_kg, line.place_m) for line in mass.ledger]
    lines.append(("whole craft", mass.mass_kg, mass.centre_m))
    rows = tuple(
        TableRow(
            (
                name,
                fixed(mass_kg * _GRAMS, 0),
                fixed(float(place_m[0]) * _CENTIMETRES, 1),
                fixed(float(place_m[1]) * _CENTIMETRES, 1),
                fixed(-float(place_m[2]) * _CENTIMETRES, 1),
            )
        )
        for name, mass_kg, place_m in lines
    )
    return Table(
        caption="What each part weighs and where its centre of mass sits",
        columns=("part", "mass, g", "forward, cm", "right, cm", "up, cm"),
        rows=rows,
        folded=True,
    )


def ledger_text(craft: LoadedCraft, mass: MassProperties, console: Console) -> str:
    """Write the ledger as text.

    Parameters
    ----------
    craft : LoadedCraft
        What it is of.
    mass : MassProperties
        Of the whole craft, fabric hanging straight down.
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    centre, spread = mass.centre_m * _CENTIMETRES, mass.centre_plus_minus_m * _CENTIMETRES
    signs = (1.0, 1.0, -1.0)
    places = [
        f"{name} {_centimetres(sign * float(value), float(unsure))}"
        for name, sign, value, unsure in zip(
            ("forward", "right", "up"), signs, centre, spread, strict=True
        )
    ]
    moments = [
        f"{name} {give_or_take(float(mass.inertia_kg_m2[i, i]), float(unsure))}"
        for i, (name, unsure) in enumerate(
            zip(("roll", "pitch", "yaw"), mass.inertia_plus_minus_kg_m2, strict=True)
        )
    ]
    with console.capture() as captured:
        console.print(Text(printable(craft.spec.name), "bold"))
        console.print(table_grid(ledger_table(mass)))
        console.print()
        console.print(f"Mass: {give_or_take(mass.mass_kg, mass.mass_plus_minus_kg)} kg")
        console.print(f"Centre of gravity: {', '.join(places)} cm of the craft file's origin")
        console.print(f"Inertia about it: {', '.join(moments)} kg m2")
        console.print("Spreads are about two standard deviations; fabric hangs straight down.")
        for note in (*mass.notes, *craft.warnings):
            console.print(Text(printable(note)))
    return shown_text(captured.get())


def _centimetres(value: float, spread: float) -> str:
    return give_or_take(value, spread) if spread > 0.0 else fixed(value, 1)
