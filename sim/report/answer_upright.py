"""Question 2 in words: whether it stays upright."""

from __future__ import annotations

import math
from typing import Final

from sim.analysis.check_result import CheckResult, StabilityAnswer
from sim.analysis.loop_margins import LoopMargins, Margin
from sim.analysis.modes import Mode
from sim.report.along_conditions import along_tables, least_of_all, looked_at_words
from sim.report.condition_words import condition_words
from sim.report.margin_words import gain_margins_db, joint_words, least_words, phase_margin_rad
from sim.report.modes_table import modes_table
from sim.report.more_pictures import motion_pictures
from sim.report.number_text import (
    MISSING,
    capital,
    degrees,
    digits,
    fixed,
    listed,
    with_unit,
)
from sim.report.section import Picture, Section, Standing, Table, TableRow, standing
from sim.report.state_tables import upright_states
from sim.report.used_defaults import used_defaults
from sim.spec.airframe import CraftSpec

ATTITUDE_AXES: Final = ("roll", "pitch", "yaw")
_MILLISECONDS: Final = 1000.0
_HOW_TO_READ: Final = (
    "In the pictures, feedback turns round at the cross; a curve that keeps clear of the two bars"
    " has the margins asked for, the dot is where the loop's gain is one, and the thin line is the"
    " region that the loop's own disk margin keeps it out of.",
)


def axis_passes(margins: LoopMargins, stability: StabilityAnswer) -> bool:
    """Tell whether one loop has the margins asked for.

    Parameters
    ----------
    margins : LoopMargins
        Of the loop.
    stability : StabilityAnswer
        With the margins asked for.

    Returns
    -------
    bool
        Stable, with gain and phase margin at least as required.
    """
    return (
        margins.stable
        and min(gain_margins_db(margins)) >= stability.required_gain_db
        and phase_margin_rad(margins) >= stability.required_phase_rad
    )


def growing(stability: StabilityAnswer) -> tuple[Mode, ...]:
    """Give the motions that grow, the fastest first.

    Parameters
    ----------
    stability : StabilityAnswer
        Of the check.

    Returns
    -------
    tuple of Mode
        Empty when the craft is stable.
    """
    return tuple(mode for mode in stability.modes if mode.grows)


def upright_section(result: CheckResult) -> Section:
    """Answer the second question.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    Section
        The answer as data.
    """
    stability = result.stability
    tables: tuple[Table, ...] = ()
    if stability.has_trim:
        tables = (modes_table(stability.modes, "hover"),)
        if stability.stable:
            tables = (*along_tables(stability), _margins_table(stability), *tables)
    return Section(
        key="upright",
        question="Will it stay upright?",
        standing=standing(stability.passes if stability.has_trim else None),
        answer=_answer(result),
        remedy=_remedy(result),
        tables=(*tables, *upright_states(result)),
        pictures=(*_pictures(stability), *motion_pictures(result)),
        assumptions=_assumptions(result),
        provenance=(
            "Margins are those of the same step that flies the craft, differentiated at its steady"
            " hover: gains, filters, delays, rotors, servos and fabric all count.",
            f"The margins asked for, {fixed(stability.required_gain_db, 0)} dB and"
            f" {degrees(stability.required_phase_rad)} degrees, are the scenario's limits; the"
            " usual 6 dB and 45 degrees are those of MIL-DTL-9490E and SAE AS94900 for one loop"
            " broken and all others closed.",
            *_together(stability),
            _gain_source(result.craft.spec),
        ),
        spread=_spread(stability),
        defaults=used_defaults(result.craft, result.scenario, "upright"),
        cautions=(
            "Fabric must not reach a rotor: watch it from all sides in hover, from a distance.",
        )
        if result.craft.spec.drapes
        else (),
    )


def _answer(result: CheckResult) -> str:
    stability = result.stability
    if not stability.has_trim:
        why = stability.why_no_trim.rstrip(".") or "no steady hover was found"
        return f"That cannot be told, because there is no steady hover to look at: {why}."
    grows = growing(stability)
    if grows:
        others = len(grows) - 1
        more = ""
        if others:
            verb = "motion grows" if others == 1 else "motions grow"
            more = f" {capital(_count(others))} more {verb} too."
        return f"No: it is unstable. In hover, {grows[0].sentence}.{more}"
    slowest = next((mode for mode in stability.modes if not mode.neutral), None)
    tail = f" Slowest to die away: {slowest.sentence}." if slowest is not None else ""
    worst, margins, where = least_of_all(stability)
    if not stability.stable or (margins is None and not where):
        return f"No: it does not come to rest.{tail}"
    if margins is None:
        return f"Not everywhere: in hover every motion dies away, but it is unstable in {where}."
    has = least_words(margins)
    there = f", in {where}" if where else ""
    asked = (
        f"{fixed(stability.required_gain_db, 0)} dB and"
        f" {degrees(stability.required_phase_rad)} degrees"
    )
    if stability.passes:
        return (
            f"Yes: every motion dies away. {capital(worst or '')} has least to spare, {has}{there};"
            f" asked are {asked}.{tail}"
        )
    return (
        f"Not well enough: every motion dies away, but {worst} has only {has} to spare{there};"
        f" asked are {asked}.{tail}"
    )


def _count(number: int) -> str:
    words = ("no", "one", "two", "three", "four", "five", "six")
    return words[number] if number < len(words) else str(number)


def _given_gains(craft: CraftSpec) -> list[str]:
    """Name the axes whose body-rate gains are the builder's own."""
    return [
        axis
        for axis in ATTITUDE_AXES
        if any(
            gain is not None
            for gain in (
                getattr(craft.controller.rate, axis).p_n_m_s,
                getattr(craft.controller.rate, axis).i_n_m,
                getattr(craft.controller.rate, axis).d_n_m_s2,
            )
        )
    ]


def _remedy(result: CheckResult) -> str:
    stability = result.stability
    if not stability.has_trim or stability.passes:
        return ""
    if result.head.pitch_by_tilt and result.head.authority_gone:
        return "See to the head first (question 3): without its lever no pitch gains can help."
    given = _given_gains(result.craft.spec)
    if given:
        return (
            f"Bring down the gains of {listed(given)} under controller.rate, or leave them out so"
            " that they are worked out from the craft; then check again."
        )
    return (
        "Shorten the delay of the flight controller, fit faster servos or lighter rotors, or lower"
        " controller.rate and controller.level; then check again."
    )


def _gain_source(craft: CraftSpec) -> str:
    given = _given_gains(craft)
    if not given:
        return "All body-rate gains are worked out from the craft; none was given."
    return f"Body-rate gains of {listed(given)} are the builder's."


def _together(stability: StabilityAnswer) -> tuple[str, ...]:
    """Say what all loops bear at the same time; nothing is asked of that."""
    joint, attitude, late = (
        stability.together,
        stability.attitude_together,
        stability.delay_together_s,
    )
    if joint is None or attitude is None or late is None:
        return ()
    delay = with_unit(fixed(late.value * _MILLISECONDS, 0), "ms")
    return (
        joint_words(attitude, "Roll, pitch and yaw"),
        joint_words(joint, "All six loops"),
        f"All that the flight controller sends may come {delay} later than it does.",
    )


def _of(margin: Margin | None, text: str) -> str:
    return MISSING if margin is None else text


def _margins_table(stability: StabilityAnswer) -> Table:
    rows = []
    for axis, margins in stability.margins.items():
        up, down = gain_margins_db(margins)
        disk, modulus = margins.disk, margins.modulus
        delay = margins.delay_s.value * _MILLISECONDS if margins.delay_s is not None else None
        judged = axis in ATTITUDE_AXES
        rows.append(
            TableRow(
                (
                    axis,
                    _of(margins.gain_up, with_unit(fixed(up, 1), "dB")),
                    _of(margins.gain_down, with_unit(fixed(down, 1), "dB")),
                    _of(margins.phase_rad, with_unit(degrees(phase_margin_rad(margins)), "deg")),
                    with_unit(fixed(delay, 0), "ms"),
                    MISSING if modulus is None else fixed(modulus.value, 2),
                    MISSING if disk is None else fixed(disk.alpha, 2),
                ),
                standing(axis_passes(margins, stability)) if judged else Standing.PLAIN,
            )
        )
    return Table(
        caption=(
            "What each loop bears before it turns unstable: more gain, less gain, lag, delay, how"
            " near it comes to the edge (modulus), and gain and phase at once (disk margin). Asked"
            " of roll, pitch and yaw:"
            f" {fixed(stability.required_gain_db, 0)} dB and"
            f" {degrees(stability.required_phase_rad)} deg."
        ),
        columns=("loop", "more gain", "less gain", "phase", "delay", "modulus", "disk"),
        rows=tuple(rows),
        judged=True,
    )


def _pictures(stability: StabilityAnswer) -> tuple[Picture, ...]:
    return tuple(
        Picture(
            f"loop_{axis}",
            f"Loop of {axis}",
            _loop_finding(axis, stability),
        )
        for axis in ATTITUDE_AXES
        if axis in stability.loops and axis in stability.margins
    )


def _loop_finding(axis: str, stability: StabilityAnswer) -> str:
    margins = stability.margins[axis]
    if not margins.stable:
        return f"The craft is unstable as a whole, so the loop of {axis} has no margins."
    up, down = gain_margins_db(margins)
    clear = "keeps clear of" if axis_passes(margins, stability) else "crosses"
    return (
        f"The loop of {axis} {clear} the bars: its gain may rise by"
        f" {with_unit(fixed(up, 1), 'dB')} and fall by {with_unit(fixed(down, 1), 'dB')}, its phase"
        f" may turn by {degrees(phase_margin_rad(margins))} degrees."
    )


def _assumptions(result: CheckResult) -> tuple[str, ...]:
    stability = result.stability
    where = "still air" if stability.condition is None else condition_words(stability.condition)
    words = [
        f"Steady hover in {where}; small motions about it. {looked_at_words(result)}",
        *(_HOW_TO_READ if stability.loops else ()),
        "Play and deadband of the servos are left out here; the flights of question 4 have them.",
    ]
    if result.craft.spec.drapes and math.isfinite(stability.swing_m_s):
        words.append(
            "The drag of the fabric is taken at a swing of"
            f" {digits(stability.swing_m_s, 2)} m/s; it damps more in larger swings and less in"
            " smaller ones."
        )
    return tuple(words)


def _spread(stability: StabilityAnswer) -> tuple[str, ...]:
    if not stability.has_trim:
        return ()
    return (
        f"The hover is steady to {stability.kept_residual:.1e} a loop period; two difference sizes"
        f" of the derivative agree to {stability.disagreement:.1e} of it.",
    )
