"""What `gustworthy margins` says: verdict, findings, what it rests on."""

from __future__ import annotations

from typing import Final

from sim.analysis.condition_margins import ConditionMargins
from sim.analysis.loop_breaks import ATTITUDE_AXES, AXES
from sim.analysis.margin_study import MarginCase, MarginStudy
from sim.analysis.required_margins import RequiredMargins
from sim.report.condition_words import condition_words
from sim.report.margin_words import (
    MILLISECONDS,
    cases_table,
    combination_words,
    joint_words,
    least_words,
    loops_tables,
)
from sim.report.modes_table import modes_table
from sim.report.number_text import capital, degrees, digits, fixed, sentence, with_unit
from sim.report.section import Table

_KNOWN_SHOWN: Final = 3


def asked_words(required: RequiredMargins) -> str:
    """Say what is asked.

    Parameters
    ----------
    required : RequiredMargins

    Returns
    -------
    str
        Such as "6 dB and 45 degrees".
    """
    return f"{fixed(required.gain_db, 0)} dB and {degrees(required.phase_rad)} degrees"


def margins_subtitle(study: MarginStudy) -> str:
    """Say what was looked at.

    Parameters
    ----------
    study : MarginStudy

    Returns
    -------
    str
        One line.
    """
    layout = capital(study.craft.spec.layout)
    if len(study.cases) == 1:
        return f"{layout}, in still air"
    return (
        f"{layout}, in {len(study.cases)} conditions of the scenario {study.scenario.spec.name!r}"
    )


def margins_verdict(study: MarginStudy) -> str:
    """Say the headline: the worst condition and what is left there.

    Parameters
    ----------
    study : MarginStudy

    Returns
    -------
    str
        A sentence without its full stop.
    """
    worst = study.worst
    asked = asked_words(study.required)
    if worst is None or worst.found is None:
        return f"There is no steady flight to have margins: {study.still.reason}"
    where = condition_words(worst.condition)
    if worst.found.worst_axis is None:
        return f"It is unstable in {where}"
    axis = worst.found.worst_axis
    words = (
        f"{capital(axis)} has least to spare, {least_words(worst.found.margins[axis])}, in {where}"
    )
    lacking = len(study.unknown)
    if lacking:
        words += f"; in {lacking} of {len(study.cases)} conditions no margins were found"
    return f"{words}; asked are {asked}"


def case_findings(case: MarginCase) -> tuple[str, ...]:
    """Say what the loops bear together in one condition.

    Parameters
    ----------
    case : MarginCase

    Returns
    -------
    tuple of str
        Sentences.
    """
    found = case.found
    if found is None:
        return (sentence(f"in {condition_words(case.condition)}: {case.reason}"),)
    if found.together is None or found.attitude is None or found.delay_s is None:
        return (sentence(f"unstable in {condition_words(case.condition)}"),)
    late = with_unit(fixed(found.delay_s.value * MILLISECONDS, 0), "ms")
    where = condition_words(case.condition)
    return (
        f"In {where}: {joint_words(found.attitude, 'roll, pitch and yaw')}",
        joint_words(found.together, "All six loops"),
        f"All that the flight controller sends may come {late} later than it does.",
        f"{combination_words(found.together, tuple(AXES))}, all at the same time: that is a"
        " combination on the edge for all six.",
    )


def margins_findings(study: MarginStudy) -> tuple[str, ...]:
    """Say what was found.

    Parameters
    ----------
    study : MarginStudy

    Returns
    -------
    tuple of str
        Sentences.
    """
    found = list(case_findings(study.still))
    worst = study.worst
    if worst is not None and worst is not study.still:
        found += case_findings(worst)
    fluttering = [case for case in study.cases if case.found and case.found.flutter]
    if fluttering:
        found.append(_flutter_words(fluttering))
    for case in [c for c in study.unknown if c is not study.still][:_KNOWN_SHOWN]:
        found.append(sentence(f"in {condition_words(case.condition)}: {case.reason}"))
    return tuple(found)


def _flutter_words(cases: list[MarginCase]) -> str:
    flutters = [case.found.flutter for case in cases if case.found and case.found.flutter]
    fastest = max(flutters, key=lambda flutter: flutter.growth_1_s)
    slowest = min(case.condition.wind_m_s for case in cases)
    return (
        f"From {digits(slowest, 2)} m/s on the fabric flutters by itself, at"
        f" {digits(fastest.frequency_hz, 2)} Hz where it is strongest, so it never comes to rest."
        " Margins there are about its mean shape, with twice the damping added to it that just"
        " stops the flutter: what a small motion meets beside a limit cycle."
    )


def margins_tables(study: MarginStudy) -> tuple[Table, ...]:
    """Give all tables.

    Parameters
    ----------
    study : MarginStudy

    Returns
    -------
    tuple of Table
        All conditions, still air, the worst one, and the natural motions in still air.
    """
    tables: list[Table] = []
    worst = study.worst
    if len(study.cases) > 1:
        tables.append(cases_table(study.cases))
    shown = [study.still] if worst is None or worst is study.still else [study.still, worst]
    for case in shown:
        if case.found is not None and case.found.stable:
            tables += _loops(case.found)
    if study.still.modes:
        tables.append(modes_table(study.still.modes, "still air"))
    return tuple(tables)


def _loops(found: ConditionMargins) -> tuple[Table, Table]:
    caption = (
        f"What each loop bears in {condition_words(found.condition)}, all the others closed; asked"
        f" of roll, pitch and yaw: {asked_words(found.required)}"
    )
    return loops_tables(found, caption, ATTITUDE_AXES)


def margins_assumptions(study: MarginStudy) -> tuple[str, ...]:
    """Give what the figures rest on.

    Parameters
    ----------
    study : MarginStudy

    Returns
    -------
    tuple of str
        Sentences.
    """
    words = [
        "Small motions about a steady flight of the same step that flies the craft: gains, filters,"
        " delays, rotors, servos and fabric all count. Play and deadband of the servos are closed.",
        f"Asked are {asked_words(study.required)} of each attitude loop, broken alone, as the"
        " scenario's limits say; 6 dB and 45 degrees are those of MIL-DTL-9490E and SAE AS94900.",
        "The disk margins of several loops at a time hold for any complex factors (Seiler, Packard"
        " and Gahinet 2020); nothing is asked of them.",
        "Gains and mixer stay those of the craft as its file has it, whatever pack and fabric do.",
    ]
    if study.craft.spec.drapes:
        swing = digits(study.still.condition.swing_m_s, 2)
        words.append(
            f"The fabric's drag is taken at a swing of {swing} m/s in still air, and in wind at the"
            " swing that a gusty flight in it shows; it damps more in larger swings."
        )
    return tuple(words)
