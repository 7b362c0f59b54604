"""Other propellers as tables: the efficient front with what each step costs, and the overloads."""

from __future__ import annotations

from typing import Final

from sim.analysis.propeller_choice import PropellerChoice, PropellerOption
from sim.report.number_text import MISSING, duration, fixed, percent, plain
from sim.report.section import Table, TableRow, standing

INCH_M: Final = 0.0254
_CENTIMETRES: Final = 100.0
_MILLISECONDS: Final = 1000.0


def propeller_name(option: PropellerOption) -> str:
    """Write a propeller as it is sold, diameter by pitch in inches, such as "11 x 4.5"."""
    return f"{plain(option.diameter_m / INCH_M)} x {plain(option.pitch_m / INCH_M)}"


def _more(value: float, before: float, places: int) -> str:
    return f"{value - before:+.{places}f}"


def _row(option: PropellerOption, before: PropellerOption | None) -> TableRow:
    """Give a propeller's figures, and what it costs and brings over the one before it."""
    name = propeller_name(option) + (" (yours)" if option.present else "")
    cells = [
        name,
        fixed(option.hover_w, 0),
        percent(option.margin),
        duration(option.endurance_s),
        fixed(option.full_motor_a, 1),
        fixed(_MILLISECONDS * option.lag_s, 0),
        fixed(_CENTIMETRES * option.clearance_m, 1),
    ]
    if before is None or option.hover_w is None or before.hover_w is None:
        cells.append("")
    else:
        cells.append(
            f"{_more(option.hover_w, before.hover_w, 0)} W,"
            f" {_more(100.0 * option.margin, 100.0 * before.margin, 0)} % margin,"
            f" {_more(option.full_motor_a, before.full_motor_a, 1)} A"
        )
    over = option.overloaded
    cells.append("; ".join(load.sentence for load in over) if over else "nothing known")
    return TableRow(tuple(cells), standing(not over))


def front_table(choice: PropellerChoice) -> Table:
    """Give the present propeller, the front, and the front that only stronger parts would allow.

    Each row is compared with the row before it; the first of the front with the present propeller.
    """
    rows = [_row(choice.present, None)]
    before = choice.present
    for option in (*choice.front, *reversed(choice.beyond)):
        if option.present:
            before = option
            continue
        rows.append(_row(option, before))
        before = option
    limit = choice.rules.most_motor_a
    stated = "" if limit is None else f" and at most {plain(limit)} A for each motor"
    return Table(
        "Propellers that no other beats in both hover watts and margin, tips at least"
        f" {plain(_CENTIMETRES * choice.rules.clearance_m)} cm clear{stated}; below them those that"
        " overload something",
        (
            "inches",
            "hover, W",
            "margin, %",
            "endurance",
            "full, A",
            "lag, ms",
            "room, cm",
            "over the row above",
            "overloads",
        ),
        tuple(rows),
        judged=True,
    )


def larger_table(choice: PropellerChoice) -> Table:
    """Give what larger propellers of about the present pitch would overload."""
    rows = tuple(
        TableRow(
            (
                propeller_name(option),
                fixed(option.full_motor_a, 1),
                fixed(option.full_pack_a, 1),
                "; ".join(load.sentence for load in option.overloaded) or "nothing known",
                MISSING
                if option.clearance_m == float("inf")
                else fixed(_CENTIMETRES * option.clearance_m, 1),
            ),
            standing(option.keeps(choice.rules)),
        )
        for option in choice.larger
    )
    return Table(
        "Larger propellers of about the same pitch at full throttle",
        ("inches", "motor, A", "pack, A", "overloads", "room, cm"),
        rows,
        judged=True,
    )


def propeller_sentence(choice: PropellerChoice) -> str:
    """Say in a sentence or two what to choose, and where larger ones end."""
    best = choice.front[0] if choice.front else None
    if best is None:
        words = "No propeller of the sweep lifts the craft within the limits."
    elif best.present:
        words = "Your propeller is the one that hovers on the fewest watts within the limits."
    else:
        saved = (choice.present.hover_w or 0.0) - (best.hover_w or 0.0)
        gain = f"{fixed(saved, 0)} W less than yours" if choice.present.hover_w else "enough"
        words = (
            f"The fewest watts in hover within the limits takes {propeller_name(best)}:"
            f" {fixed(best.hover_w, 0)} W, {gain}, with {percent(best.margin)} % margin."
        )
    first = next((option for option in choice.larger if option.overloaded), None)
    if first is not None:
        over = ", ".join(load.sentence for load in first.overloaded)
        words += f" From {propeller_name(first)} on a larger one overloads ({over})."
    return words
