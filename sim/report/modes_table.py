"""Natural motions as a table: who moves, how, how fast, and how soon they die away or grow."""

from __future__ import annotations

from collections import Counter
from typing import Final

from sim.analysis.modes import Mode
from sim.report.number_text import capital, digits, with_unit
from sim.report.section import Table, TableRow, standing

_MODES_SHOWN: Final = 8
# Fabric has so many motions that they would hide those of the craft.
_OF_ONE_MOVER: Final = 2


def modes_table(modes: tuple[Mode, ...], where: str) -> Table:
    """List motions, those that look alike in one row.

    Parameters
    ----------
    modes : tuple of Mode
        The slowest to die away first.
    where : str
        Such as "hover" or "still air".
    """
    alike: dict[tuple[str, str, str, str], list[Mode]] = {}
    for mode in modes:
        swing = with_unit(digits(mode.frequency_hz, 2), "Hz") if mode.swings else "-"
        alike.setdefault((mode.moves, _manner(mode), swing, _grade(mode)), []).append(mode)
    told, movers = [], Counter[str]()
    for key, found in alike.items():
        movers[key[0]] += 1
        if movers[key[0]] <= _OF_ONE_MOVER or key[3] == "grows":
            told.append((key, found))
    rows = tuple(
        TableRow(
            (
                capital(found[0].who_moves),
                manner,
                swing,
                digits(found[0].damping_ratio, 2),
                str(len(found)),
                _times(found),
            ),
            standing(passes),
        )
        for (_, manner, swing, grade), found in told[:_MODES_SHOWN]
        for passes in (grade != "grows",)
    )
    return Table(
        caption=(
            f"Natural motions in {where}, the slowest to die away first: who takes which part in"
            " them, and their damping ratio; whatever moves most has two rows at most"
        ),
        columns=("who moves", "how", "frequency", "damping", "alike", "halves or doubles in"),
        rows=rows,
        judged=True,
    )


def _grade(mode: Mode) -> str:
    if mode.neutral:
        return "stays"
    return "grows" if mode.grows else "dies"


def _manner(mode: Mode) -> str:
    if mode.neutral:
        return "stays as it is"
    if mode.swings:
        return "swings and grows" if mode.grows else "swings and dies away"
    return "runs away" if mode.grows else "settles"


def _times(found: list[Mode]) -> str:
    times = [mode.time_to_half_or_double_s for mode in found]
    if found[0].neutral:
        return "never"
    low, high = digits(min(times), 2), digits(max(times), 2)
    return f"{high} s" if low == high else f"{low} to {high} s"
