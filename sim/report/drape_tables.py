"""The tables of `gustworthy drape`: loads by wind, swings, what the bands are made of."""

from __future__ import annotations

from typing import Final

from sim.analysis.air_calibration import AirCalibration
from sim.analysis.drape_answer import DrapeAnswer, FabricInWind
from sim.analysis.drape_load import WHOLE, DrapeLoad
from sim.report.number_text import digits, fixed, percent
from sim.report.section import Table, TableRow

_CENTIMETRES: Final = 100.0
_LONGEST_ROTOR: Final = 16
_SPLIT: Final = 1


def all_tables(answer: DrapeAnswer) -> tuple[Table, ...]:
    """Give every table.

    Parameters
    ----------
    answer : DrapeAnswer
        As found.

    Returns
    -------
    tuple of Table
        One of loads for all fabric, one for each drape where there are several, swings, band, and
        calibration where there is one.
    """
    tables = [_loads_table(answer, WHOLE, [case.whole for case in answer.winds])]
    count = len(answer.still.drapes)
    if count > _SPLIT:
        tables += [
            _loads_table(
                answer,
                answer.still.drapes[i].name,
                [case.drapes[i] for case in answer.winds],
            )
            for i in range(count)
        ]
    if answer.swings:
        tables.append(_swings_table(answer))
    tables.append(_band_table(answer))
    if answer.calibration is not None:
        tables.append(_calibration_table(answer.calibration))
    return tuple(tables)


def _wind_words(case: FabricInWind) -> str:
    day = " day" if case.is_the_day else ""
    return f"{fixed(case.wind_m_s, 1)}{'*' if case.why_held else ''}{day}"


def _loads_table(answer: DrapeAnswer, name: str, loads: list[DrapeLoad]) -> Table:
    rows = tuple(
        TableRow(
            (
                _wind_words(case),
                fixed(load.download_n, 2),
                percent(load.download_n / case.thrust_n, 1),
                fixed(load.side_force_n, 2),
                "-" if load.height_m is None else fixed(load.height_m * _CENTIMETRES, 0),
                fixed(load.moment_n_m, 2),
                *(fixed(room * _CENTIMETRES, 0) for room in load.clearance_m),
            )
        )
        for case, load in zip(answer.winds, loads, strict=True)
    )
    held = " (* body held level)" if any(case.why_held for case in answer.winds) else ""
    what = "All fabric" if name == WHOLE else name
    return Table(
        f"{what}, by steady wind at flight height{held}",
        (
            "wind m/s",
            "down N",
            "% of thrust",
            "aside N",
            "at cm above CG",
            "tips N m",
            *(f"to {rotor[:_LONGEST_ROTOR]} cm" for rotor in answer.rotors),
        ),
        rows,
    )


def _swings_table(answer: DrapeAnswer) -> Table:
    return Table(
        "Swings of the fabric in still air",
        ("what swings", "how many alike", "Hz", "damping ratio", "halves in s"),
        tuple(
            TableRow(
                (
                    swing.mode.moves,
                    str(swing.count),
                    digits(swing.mode.frequency_hz, 2),
                    digits(swing.mode.damping_ratio, 2),
                    "grows" if swing.mode.grows else digits(swing.mode.time_to_half_or_double_s, 2),
                )
            )
            for swing in answer.swings
        ),
    )


def _ends(change: tuple[float, float]) -> str:
    return " / ".join(f"{end:+.2f}" if round(end, 2) else "0" for end in change)


def _band_table(answer: DrapeAnswer) -> Table:
    return Table(
        "What the bands are made of: change in newtons at the low / high end of each range",
        ("what is not known", "range", "down, still", "down, day", "aside, day"),
        tuple(
            TableRow(
                (
                    move.what,
                    move.range_words,
                    _ends(move.download_n),
                    _ends(move.day_download_n),
                    _ends(move.day_side_force_n),
                )
            )
            for move in answer.bands.moves
        ),
    )


def _calibration_table(calibration: AirCalibration) -> Table:
    return Table(
        "What the spread of the air factor is made of",
        ("what is not known", "moves the factor by"),
        tuple(TableRow((name, f"+/- {digits(share, 2)}")) for name, share in calibration.causes),
    )
