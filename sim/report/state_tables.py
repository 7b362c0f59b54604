"""Figures of the first three answers side by side: the craft as built, and in other states."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple, TypeAlias

from sim.analysis.check_result import (
    CheckResult,
    HeadAnswer,
    LiftAnswer,
    StabilityAnswer,
)
from sim.report.margin_words import gain_margins_db, phase_margin_rad
from sim.report.number_text import MISSING, degrees, digits, duration, fixed, percent, with_unit
from sim.report.section import Table, TableRow

_CENTIMETRES: Final = 100.0
_BUILT: Final = "as built"
_NONE: Final = "none"


class _Answers(NamedTuple):
    lift: LiftAnswer
    stability: StabilityAnswer
    head: HeadAnswer


_Rows: TypeAlias = tuple[tuple[str, Callable[[_Answers], str]], ...]


def lift_states(result: CheckResult) -> tuple[Table, ...]:
    """Give weight, thrust and hover in every state of the craft, as one table or none.

    Parameters
    ----------
    result : CheckResult
        What was found.
    """
    rows: _Rows = (
        ("weight", lambda of: with_unit(fixed(of.lift.weight_n, 1), "N")),
        ("download of the wash", lambda of: _hover(of.lift, fixed(of.lift.download_n, 2), "N")),
        (
            "thrust to weight, reserve kept",
            lambda of: fixed(of.lift.usable_thrust_to_weight, 2),
        ),
        ("hover throttle", lambda of: _share(of.lift.hover_throttle)),
        ("hover current", lambda of: _hover(of.lift, fixed(of.lift.hover_current_a, 1), "A")),
        ("endurance in hover", lambda of: _endurance(of.lift)),
        ("lifts", lambda of: "yes" if of.lift.can_lift else "no"),
    )
    caption = "Lift of the same craft in other states, each computed as a craft of its own"
    return _table(result, caption, rows)


def upright_states(result: CheckResult) -> tuple[Table, ...]:
    """Give the least margins in every state of the craft, as one table or none.

    Parameters
    ----------
    result : CheckResult
        What was found.
    """
    if not any(one.has_trim for one in (result.stability, *(s.stability for s in result.states))):
        return ()
    rows: _Rows = (
        ("least gain margin, dB", lambda of: _least_gain(of.stability)),
        ("least phase margin, deg", lambda of: _least_phase(of.stability)),
        ("has the margins asked for", lambda of: _has_margins(of.stability)),
    )
    caption = (
        "Least margins of roll, pitch and yaw in still air, for the same craft in other states"
    )
    return _table(result, caption, rows)


def head_states(result: CheckResult) -> tuple[Table, ...]:
    """Give lever and pitch in every state of the craft, as one table or none.

    Parameters
    ----------
    result : CheckResult
        What was found.
    """
    name = "tilt pivots" if result.head.pitch_by_tilt else "rotors"
    rows: _Rows = (
        (
            f"{name} above the centre of gravity",
            lambda of: with_unit(fixed(of.head.rotors_above_centre_m * _CENTIMETRES, 1), "cm"),
        ),
        ("pitch moment", lambda of: with_unit(digits(of.head.pitch_authority_n_m), "N m")),
        (
            "pitch acceleration, deg/s2",
            lambda of: degrees(of.head.pitch_acceleration_rad_s2),
        ),
        ("heaviest head there", lambda of: _heaviest(of.head)),
    )
    caption = "Balance and pitch of the same craft in other states"
    return _table(result, caption, rows)


def _table(result: CheckResult, caption: str, rows: _Rows) -> tuple[Table, ...]:
    if not result.states:
        return ()
    built = _Answers(result.lift, result.stability, result.head)
    others = (_Answers(state.lift, state.stability, state.head) for state in result.states)
    columns = [built, *others]
    return (
        Table(
            caption=caption,
            columns=("figure", _BUILT, *(state.words for state in result.states)),
            rows=tuple(
                TableRow((words, *(read(answers) for answers in columns))) for words, read in rows
            ),
            states=True,
        ),
    )


def _hover(lift: LiftAnswer, number: str, unit: str) -> str:
    return _NONE if lift.hover_throttle is None else with_unit(number, unit)


def _share(throttle: float | None) -> str:
    return _NONE if throttle is None else f"{percent(throttle)} %"


def _endurance(lift: LiftAnswer) -> str:
    return _NONE if lift.endurance_s is None else duration(lift.endurance_s)


def _least_gain(stability: StabilityAnswer) -> str:
    return _least(stability, lambda found: min(gain_margins_db(found)), lambda x: fixed(x, 1))


def _least_phase(stability: StabilityAnswer) -> str:
    return _least(stability, phase_margin_rad, degrees)


def _least(
    stability: StabilityAnswer, margin: Callable[..., float], shown: Callable[[float], str]
) -> str:
    """Give the least margin of an attitude axis, and which."""
    if not stability.has_trim:
        return MISSING
    if not stability.stable:
        return "unstable"
    least, axis = min(
        (margin(stability.margins[axis]), axis)
        for axis in ("roll", "pitch", "yaw")
        if axis in stability.margins
    )
    return f"{shown(least)} ({axis})"


def _has_margins(stability: StabilityAnswer) -> str:
    if not stability.has_trim:
        return MISSING
    return "yes" if stability.passes else "no"


def _heaviest(head: HeadAnswer) -> str:
    if not head.has_head:
        return "-"
    if head.heaviest_head_kg is None:
        return "not reached"
    if head.heaviest_head_kg <= 0.0:
        return _NONE
    return with_unit(fixed(head.heaviest_head_kg, 2), "kg")
