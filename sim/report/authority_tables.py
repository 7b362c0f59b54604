"""The tables of `gustworthy authority`: what is left, what wind takes, lost motors, play."""

from __future__ import annotations

from typing import Final

from sim.analysis.authority import AuthorityAnswer
from sim.analysis.authority_study import AuthorityStudy
from sim.analysis.authority_wind import WindUse
from sim.analysis.limit_cycle import CycleAnswer
from sim.analysis.motor_loss import MotorLoss
from sim.report.authority_content import UNITS, stop_words
from sim.report.number_text import MISSING, degrees, digits, fixed, percent
from sim.report.play_words import flown_of
from sim.report.section import Table, TableRow, standing

_AXES: Final = ("thrust", "roll", "pitch", "yaw")


def all_tables(study: AuthorityStudy) -> tuple[Table, ...]:
    """Give every table that there is something to show in.

    Parameters
    ----------
    study : AuthorityStudy
        As found.
    """
    if study.authority is None:
        return ()
    tables = [left_table(study.authority), loss_table(study.authority)]
    if study.winds:
        tables.insert(1, wind_table(study.winds))
    if study.play is not None and study.play.hunting:
        tables.append(hunting_table(study))
    if study.play is not None and study.play.onsets:
        tables.append(slewing_table(study.play))
    return tuple(tables)


def left_table(answer: AuthorityAnswer) -> Table:
    """Give what hover takes and leaves, every way."""
    rows = tuple(
        TableRow(
            (
                way.words,
                f"{digits(way.used, 3)} {UNITS[way.axis]}",
                f"{digits(way.left, 3)} {UNITS[way.axis]}",
                percent(way.share),
                "-" if way.axis == "thrust" else f"{degrees(way.quickness)} deg/s2",
                stop_words(way, answer.rotor_names),
            ),
            standing(way.left > 0.0),
        )
        for way in answer.ways
    )
    return Table(
        "What hover takes and leaves, each way with the rest kept",
        ("way", "taken", "left", "% taken", "gathers", "what ends it"),
        rows,
        judged=True,
    )


def wind_table(winds: tuple[WindUse, ...]) -> Table:
    """Give what share of each axis mean winds and their gusts take."""
    rows = tuple(
        TableRow(
            (
                digits(use.forecast_m_s, 2),
                use.side,
                *(_shares(use, axis) for axis in _AXES),
                use.first[0].words if use.first is not None else use.why_not,
            ),
            standing(use.holds),
        )
        for use in winds
    )
    return Table(
        "What wind takes: % in the mean / in its gusts, the worse way of each axis",
        ("m/s", "from", "lift", "roll", "pitch", "yaw", "runs out first"),
        rows,
        judged=True,
    )


def _shares(use: WindUse, axis: str) -> str:
    if not use.holds:
        return "-"
    ways = [
        (busy, way.share)
        for way, busy in zip(use.ways, use.busy_shares, strict=True)
        if way.axis == axis
    ]
    busy, mean = max(ways)
    return f"{percent(mean)} / {percent(busy)}"


def loss_table(answer: AuthorityAnswer) -> Table:
    """Give what each stopped or weak motor leaves."""
    rows = tuple(
        TableRow(
            (
                answer.rotor_names[loss.rotor],
                "stopped" if loss.thrust_share <= 0.0 else f"{percent(loss.thrust_share)} %",
                loss.left.value,
                digits(loss.lift_left_n, 2) if loss.lift_left_n > 0.0 else "none",
                _or_none(loss.weakest_roll_n_m),
                _or_none(loss.weakest_pitch_n_m),
                _flown(loss),
            )
        )
        for loss in answer.losses
    )
    return Table(
        "What a lost motor leaves",
        ("motor", "thrust", "can hold", "lift N", "roll N m", "pitch N m", "in flight"),
        rows,
    )


def _or_none(value: float) -> str:
    text = digits(value, 2)
    return "none" if text == MISSING else text


def _flown(loss: MotorLoss) -> str:
    if loss.flight is None:
        return "not flown"
    if loss.flight.leans_after_s is not None:
        return f"leans 45 deg after {digits(loss.flight.leans_after_s, 2)} s"
    return "stays up" if loss.flight.stays else "does not stay up"


def hunting_table(study: AuthorityStudy) -> Table:
    """Give every predicted hunting beside the flown one."""
    play = study.play
    rows = []
    for cycle in play.hunting if play is not None else ():
        flown = flown_of(study.hunting, cycle.axis)
        rows.append(
            TableRow(
                (
                    cycle.axis,
                    digits(cycle.frequency_hz, 2),
                    degrees(cycle.tilt_rad, 2),
                    degrees(cycle.attitude_rad, 2),
                    digits(flown.frequency_hz, 2) if flown is not None and flown.lasts else "-",
                    degrees(flown.tilt_rad, 2) if flown is not None and flown.lasts else "-",
                    degrees(flown.attitude_rad, 2) if flown is not None and flown.lasts else "-",
                )
            )
        )
    return Table(
        "Hunting from the play of the tilt servos: predicted, and what a flight shows; - it does"
        " not last",
        ("axis", "Hz", "tilt +- deg", "craft +- deg", "flown Hz", "flown tilt", "flown craft"),
        tuple(rows),
    )


def slewing_table(play: CycleAnswer) -> Table:
    """Give from which swing of the tilt on the servos slew."""
    rows = tuple(
        TableRow(
            (
                onset.axis,
                digits(onset.frequency_hz, 2),
                degrees(onset.command_rad, 1),
                fixed(onset.command_rad / play.travel_rad, 1),
            )
        )
        for onset in play.onsets
    )
    return Table(
        "Where the tilt servos begin to slew, at each axis' own frequency",
        ("axis", "Hz", "from tilt +- deg", "over the travel"),
        rows,
    )
