"""Question 2 along conditions: the worst one, all that were looked at, and what was not."""

from __future__ import annotations

from sim.analysis.check_result import CheckResult, StabilityAnswer
from sim.analysis.loop_margins import LoopMargins
from sim.analysis.margin_study import MarginCase, worst_of
from sim.report.condition_words import condition_words
from sim.report.margin_words import gain_margins_db, phase_margin_rad
from sim.report.number_text import capital, degrees, fixed, with_unit
from sim.report.section import Standing, Table, TableRow, standing


def least_of_all(stability: StabilityAnswer) -> tuple[str | None, LoopMargins | None, str]:
    """Give the loop with least margin in all conditions looked at.

    Parameters
    ----------
    stability : StabilityAnswer
        Of the check.

    Returns
    -------
    tuple of str or None, LoopMargins or None and str
        Its axis and margins, None where that condition is unstable; and the condition in words,
        empty where none but the hover itself was looked at.
    """
    worst = stability.worst_case
    if worst is None or worst.found is None:
        axis = stability.worst_axis
        return axis, None if axis is None else stability.margins[axis], ""
    axis, where = worst.found.worst_axis, condition_words(worst.condition)
    return axis, None if axis is None else worst.found.margins[axis], where


def along_tables(stability: StabilityAnswer) -> tuple[Table, ...]:
    """Give the least margins in every condition in still air, and in the worst wind.

    Parameters
    ----------
    stability : StabilityAnswer
        Of the check.

    Returns
    -------
    tuple of Table
        None where nothing but the hover itself was looked at.
    """
    if len(stability.cases) <= 1:
        return ()
    calm = [case for case in stability.cases if case.condition.wind_m_s <= 0.0]
    windy = [case for case in stability.cases if case.condition.wind_m_s > 0.0]
    worst = worst_of(windy)
    shown = [*calm, *(case for case in windy if case is worst or case.found is None)]
    more = f"; of {len(windy)} conditions in wind the worst" if worst is not None else ""
    if not windy:
        more = "; none of them in wind, for which see 'gustworthy margins --conditions all'"
    return (
        Table(
            caption=(
                "The loop of roll, pitch or yaw with least to spare along conditions, its margins"
                f" of gain and phase{more}"
            ),
            columns=("condition", "least", "gain", "phase"),
            rows=tuple(_row(case) for case in shown),
            judged=True,
        ),
    )


def _row(case: MarginCase) -> TableRow:
    words, found = capital(condition_words(case.condition)), case.found
    if found is None:
        return TableRow((words, "not found", "?", "?"), Standing.UNKNOWN)
    axis = found.worst_axis
    if axis is None:
        return TableRow((words, "unstable", "-", "-"), Standing.FAILS)
    gain = with_unit(fixed(min(gain_margins_db(found.margins[axis])), 1), "dB")
    phase = with_unit(degrees(phase_margin_rad(found.margins[axis])), "deg")
    return TableRow((words, axis, gain, phase), standing(found.passes))


def looked_at_words(result: CheckResult) -> str:
    """Say in which conditions margins were not looked for.

    Parameters
    ----------
    result : CheckResult
        What was found.
    """
    cases = result.stability.cases
    if len(cases) <= 1:
        return "Margins in other conditions are found by gustworthy margins --conditions all."
    unknown = [case for case in cases if case.found is None]
    words = ""
    if unknown:
        words = (
            f"In {len(unknown)} of {len(cases)} conditions no margins were found, the first being"
            f" {condition_words(unknown[0].condition)}: {unknown[0].reason.rstrip('.')}. "
        )
    if any(case.condition.wind_m_s > 0.0 for case in cases):
        return f"{words}Wind was looked at from all sides."
    if not result.craft.spec.drapes:
        return f"{words}Wind was not looked at: the scenario has none."
    return (
        f"{words}Wind was not looked at here, because its fabric has to be blown to rest first:"
        " gustworthy margins --conditions all does that."
    )
