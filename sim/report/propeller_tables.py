"""Other propellers as tables: the efficient front with what each step costs, and the overloads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from sim.analysis.propeller_choice import PropellerChoice, PropellerOption
from sim.report.number_text import MISSING, fixed, percent, plain
from sim.report.section import Table, TableRow, standing

INCH_M: Final = 0.0254
_CENTIMETRES: Final = 100.0
_MILLISECONDS: Final = 1000.0
_SECONDS_PER_MINUTE: Final = 60.0


def propeller_name(option: PropellerOption) -> str:
    """Write a propeller as it is sold, diameter by pitch in inches, such as "11 x 4.5"."""
    return f"{plain(option.diameter_m / INCH_M)} x {plain(option.pitch_m / INCH_M)}"


def _step(
    option: PropellerOption,
    before: PropellerOption | None,
    of: Callable[[PropellerOption], float | None],
    factor: float,
    places: int,
) -> str:
    """Write a figure and, behind it, how much it changed from the row before."""
    value = of(option)
    if value is None:
        return MISSING
    text = fixed(factor * value, places)
    earlier = None if before is None else of(before)
    return text if earlier is None else f"{text} ({factor * (value - earlier):+.{places}f})"


def _row(option: PropellerOption, before: PropellerOption | None) -> TableRow:
    """Give a propeller's figures, and what it costs and brings over the one before it."""
    name = propeller_name(option) + (" yours" if option.present else "")
    figures: tuple[tuple[Callable[[PropellerOption], float | None], float, int], ...] = (
        (lambda one: one.hover_w, 1.0, 0),
        (lambda one: one.margin, 100.0, 0),
        (lambda one: one.endurance_s, 1.0 / _SECONDS_PER_MINUTE, 1),
        (lambda one: one.full_motor_a, 1.0, 1),
        (lambda one: one.lag_s, _MILLISECONDS, 0),
        (lambda one: one.clearance_m, _CENTIMETRES, 0),
    )
    cells = [_step(option, before, *figure) for figure in figures]
    over = [load.part for load in option.overloaded]
    return TableRow((name, *cells, ", ".join(over) or "nothing known"), standing(not over))


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
        " overload something; in brackets the step from the row above",
        (
            "inches",
            "hover, W",
            "margin, %",
            "minutes",
            "full, A",
            "lag, ms",
            "room, cm",
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
