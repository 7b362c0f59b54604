"""Margins in words and rows: of one loop, of all of them at once, along conditions."""

from __future__ import annotations

import cmath
from typing import Final

from sim.analysis.condition_margins import ConditionMargins
from sim.analysis.loop_margins import LoopMargins, decibel
from sim.analysis.margin_study import MarginCase
from sim.analysis.multi_loop import JointDisk
from sim.report.condition_words import fabric_words, pack_words, side_words
from sim.report.number_text import MISSING, capital, degrees, digits, fixed, listed, with_unit
from sim.report.section import Standing, Table, TableRow, standing

MILLISECONDS: Final = 1000.0
_RAD_S_PER_HZ: Final = 6.283185307179586
_PERCENT: Final = 100.0
_CLOSED: Final = 1e-3
_UNCHANGED: Final = 1e-6


def gain_margins_db(margins: LoopMargins) -> tuple[float, float]:
    """Give how far a loop's gain may rise and fall.

    Parameters
    ----------
    margins : LoopMargins
        Of one loop.

    Returns
    -------
    tuple of float
        [dB] Both positive; zeros when the closed loop is unstable already, infinite when no change
        that way destabilises.
    """
    if margins.gain_up is None or margins.gain_down is None:
        return (0.0, 0.0)
    return (decibel(margins.gain_up.value), -decibel(margins.gain_down.value))


def phase_margin_rad(margins: LoopMargins) -> float:
    """Give the phase margin whichever way it lies.

    Parameters
    ----------
    margins : LoopMargins
        Of one loop.

    Returns
    -------
    float
        [rad] Zero when the closed loop is unstable already.
    """
    return abs(margins.phase_rad.value) if margins.phase_rad is not None else 0.0


def least_words(margins: LoopMargins) -> str:
    """Say the lesser gain margin and the phase margin of a loop.

    Parameters
    ----------
    margins : LoopMargins

    Returns
    -------
    str
        Such as "14.8 dB of gain and 51 degrees of phase".
    """
    gain = with_unit(fixed(min(gain_margins_db(margins)), 1), "dB")
    phase = with_unit(degrees(phase_margin_rad(margins)), "degrees")
    return f"{gain} of gain and {phase} of phase"


def joint_words(joint: JointDisk, loops: str) -> str:
    """Say what several loops bear at the same time.

    Parameters
    ----------
    joint : JointDisk
    loops : str
        Such as "Roll, pitch and yaw".

    Returns
    -------
    str
        A sentence.
    """
    disk = joint.guaranteed
    gain = with_unit(fixed(decibel(disk.gain_high), 1), "dB")
    rest = "and a combination just beyond that is known to be too much"
    if joint.gap > _CLOSED:
        beyond = digits(_PERCENT * joint.gap, 2)
        rest = f"and a combination {beyond} % beyond that is known to be too much"
    return (
        f"{loops} may all change at the same time by {gain} of gain either way, or by"
        f" {degrees(disk.phase_rad)} degrees of phase (disk margin {fixed(disk.alpha, 2)}), {rest}."
    )


def loops_tables(
    found: ConditionMargins, caption: str, judged: tuple[str, ...]
) -> tuple[Table, Table]:
    """Give the margins of every loop in one condition, and the frequencies where they are taken up.

    Parameters
    ----------
    found : ConditionMargins
    caption : str
    judged : tuple of str
        Axes of which margins are asked.

    Returns
    -------
    tuple of Table
        One row per loop in each.
    """
    values = [
        TableRow(
            _value_cells(axis, margins),
            standing(found.required.shortfall(margins) <= 1.0)
            if axis in judged
            else Standing.PLAIN,
        )
        for axis, margins in found.margins.items()
    ]
    places = [
        TableRow((axis, *(_hertz(place) for place in _places(margins))))
        for axis, margins in found.margins.items()
    ]
    columns = ("loop", "more gain", "less gain", "phase", "delay", "modulus", "disk")
    return (
        Table(caption, columns, tuple(values), judged=True),
        Table("At which frequency each of these would be lost", columns, tuple(places)),
    )


def _value_cells(axis: str, margins: LoopMargins) -> tuple[str, ...]:
    up, down = gain_margins_db(margins)
    disk, modulus, delay = margins.disk, margins.modulus, margins.delay_s
    late = None if delay is None else delay.value * MILLISECONDS
    return (
        axis,
        with_unit(fixed(up, 1), "dB"),
        with_unit(fixed(down, 1), "dB"),
        with_unit(degrees(phase_margin_rad(margins)), "deg"),
        with_unit(fixed(late, 0), "ms"),
        MISSING if modulus is None else fixed(modulus.value, 2),
        MISSING if disk is None else fixed(disk.alpha, 2),
    )


def _places(margins: LoopMargins) -> list[float | None]:
    """Give the frequencies [rad/s] in the order of the columns."""
    single = (
        margins.gain_up,
        margins.gain_down,
        margins.phase_rad,
        margins.delay_s,
        margins.modulus,
    )
    places = [None if margin is None else margin.frequency_rad_s for margin in single]
    return [*places, None if margins.disk is None else margins.disk.frequency_rad_s]


def _hertz(place: float | None) -> str:
    return "-" if place is None else with_unit(digits(place / _RAD_S_PER_HZ, 2), "Hz")


def cases_table(cases: tuple[MarginCase, ...]) -> Table:
    """Give the least margins in every condition.

    Parameters
    ----------
    cases : tuple of MarginCase

    Returns
    -------
    Table
        One row per condition.
    """
    return Table(
        "The loop of roll, pitch or yaw with least to spare in each condition, its margins of gain"
        " (dB) and phase (degrees), what all six loops bear at the same time (disk), and how much"
        " later all that the flight controller sends may come (ms); wind in m/s, height in m",
        ("wind", "from", "pack", "fabric", "height", "least", "gain", "phase", "disk", "late"),
        tuple(_case_row(case) for case in cases),
        judged=True,
    )


def _case_row(case: MarginCase) -> TableRow:
    condition, found = case.condition, case.found
    blows = condition.wind_m_s > 0.0
    where = (
        fixed(condition.wind_m_s, 1) if blows else "still",
        side_words(condition.from_rad).removeprefix("the ") if blows else "-",
        pack_words(condition).removeprefix("pack at ").removesuffix(" pack"),
        fabric_words(condition).removesuffix(" fabric"),
        fixed(condition.height_m, 1),
    )
    if found is None:
        return TableRow((*where, "?", "?", "?", "?", "?"), Standing.UNKNOWN)
    worst = found.worst_axis
    if worst is None or found.together is None or found.delay_s is None:
        return TableRow((*where, "unstable", "-", "-", "-", "-"), Standing.FAILS)
    margins = found.margins[worst]
    return TableRow(
        (
            *where,
            worst,
            fixed(min(gain_margins_db(margins)), 1),
            degrees(phase_margin_rad(margins)),
            fixed(found.together.guaranteed.alpha, 2),
            fixed(found.delay_s.value * MILLISECONDS, 0),
        ),
        standing(found.passes),
    )


def combination_words(joint: JointDisk, axes: tuple[str, ...]) -> str:
    """Say a combination of changes that destabilises, as found by the lower bound.

    Parameters
    ----------
    joint : JointDisk
    axes : tuple of str
        Of its factors.

    Returns
    -------
    str
        Such as "roll +3.1 dB and 12 degrees late".
    """
    changes = []
    for axis, factor in zip(axes, joint.factors, strict=True):
        size = abs(factor)
        turn = cmath.phase(factor)
        if abs(factor - 1.0) < _UNCHANGED:
            continue
        late = "late" if turn < 0.0 else "early"
        changes.append(f"{axis} {decibel(size):+.1f} dB and {degrees(abs(turn))} degrees {late}")
    return capital(listed(changes))
