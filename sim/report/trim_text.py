"""A steady flight as plain text and as data."""

from __future__ import annotations

import dataclasses
import math
from typing import Any, Final

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sim.analysis.trim_answer import FabricAtTrim, TrimAnswer
from sim.report.as_json import file_data, plain_data
from sim.report.cautions import DISCLAIMER
from sim.report.condition_words import condition_words, side_words
from sim.report.number_text import MISSING, degrees, digits, fixed, percent, with_unit
from sim.report.section import Table, TableRow
from sim.report.terminal import printable, shown_text, table_grid
from sim.report.version import version

FORMAT_VERSION: Final = 1
_RPM: Final = 60.0 / (2.0 * math.pi)


def _signed(angle_rad: float, positive: str, negative: str) -> str:
    """Write an angle with the word for its side."""
    shown = degrees(abs(angle_rad), 1)
    if float(shown) == 0.0:
        return "0 deg"
    return f"{shown} deg {positive if angle_rad > 0.0 else negative}"


def rotors_table(answer: TrimAnswer) -> Table:
    """Give what each rotor does, and which share of what it can do.

    Parameters
    ----------
    answer : TrimAnswer

    Returns
    -------
    Table
        One row per rotor.
    """
    rows = []
    for rotor in answer.rotors:
        tilt, travel = rotor.tilt_share, rotor.current_share
        share = MISSING if travel is None else f"{percent(travel)} %"
        rows.append(
            TableRow(
                (
                    rotor.name,
                    with_unit(fixed(rotor.thrust_n, 2), "N"),
                    f"{percent(rotor.thrust_share)} %",
                    f"{percent(rotor.throttle, 1)} %",
                    with_unit(fixed(rotor.speed_rad_s * _RPM, 0), "rpm"),
                    "-" if rotor.tilt_rad is None else f"{degrees(rotor.tilt_rad, 2)} deg",
                    "-" if tilt is None else f"{percent(tilt, 1)} %",
                    with_unit(fixed(rotor.current_a, 1), "A"),
                    share,
                )
            )
        )
    return Table(
        "What each rotor gives, and what share that is of full thrust, travel and current limit",
        ("rotor", "thrust", "of full", "throttle", "speed", "tilt", "of it", "current", "of it"),
        tuple(rows),
    )


def _fabric_words(fabric: FabricAtTrim) -> str:
    lean = degrees(fabric.lean_rad, 1)
    way = "" if float(lean) == 0.0 else f" towards {side_words(fabric.towards_rad)}"
    return (
        f"The fabric leans {lean} degrees{way}; its lowest point is"
        f" {digits(fabric.lowest_m, 2)} m below the centre of gravity, and no fabric comes closer"
        f" than {digits(fabric.clearance_m, 2)} m to a rotor disc."
    )


def trim_sentences(answer: TrimAnswer) -> tuple[str, ...]:
    """Say what the steady flight is like.

    Parameters
    ----------
    answer : TrimAnswer

    Returns
    -------
    tuple of str
        Sentences.
    """
    roll = _signed(answer.roll_rad, "to the right", "to the left")
    pitch = _signed(answer.pitch_rad, "nose up", "nose down")
    words = [
        f"The craft leans {roll} and stands {pitch}.",
        f"All rotors together give {percent(answer.usable_share)} % of the thrust that the flight"
        f" controller leaves for climbing; the pack gives {fixed(answer.pack_a, 1)} A at"
        f" {fixed(answer.bus_v, 2)} V, {fixed(answer.pack_w, 0)} W.",
    ]
    if answer.fabric is not None:
        words.append(_fabric_words(answer.fabric))
    if answer.growth_1_s is None:
        words.append(f"Whether it stays there is not known: {answer.why_no_growth}.")
    elif answer.grows:
        doubling = math.log(2.0) / answer.growth_1_s
        words.append(
            f"It does not stay there by itself: a motion doubles every {digits(doubling, 2)} s."
        )
    else:
        words.append("Left alone it stays there: every motion dies away.")
    return tuple(words)


def trim_text(answer: TrimAnswer, console: Console) -> str:
    """Write a steady flight as text, as the console would show it.

    Parameters
    ----------
    answer : TrimAnswer
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    table = rotors_table(answer)
    with console.capture() as captured:
        console.print(Text(printable(answer.craft.spec.name), "bold"))
        console.print(Text(f"Steady flight in {condition_words(answer.condition)}"))
        for warning in answer.craft.warnings:
            console.print(Text(f"Looks odd: {printable(warning)}", "yellow"))
        console.print()
        for words in trim_sentences(answer):
            console.print(Text(f"- {words}"))
        console.print()
        console.print(Text(table.caption, "bold"))
        console.print(Padding(table_grid(table), (0, 0, 0, 1)))
        console.print()
        console.print(Text(DISCLAIMER))
    return shown_text(captured.get())


def trim_data(answer: TrimAnswer) -> dict[str, Any]:
    """Give a steady flight as plain data.

    Parameters
    ----------
    answer : TrimAnswer

    Returns
    -------
    dict
        Keys with their units; None for what is not known or has no limit.
    """
    data = {
        "format_version": FORMAT_VERSION,
        "made_by": {"name": "gustworthy", "version": version()},
        "craft": file_data(answer.craft, layout=answer.craft.spec.layout),
        "condition": dataclasses.asdict(answer.condition),
        "roll_rad": answer.roll_rad,
        "pitch_rad": answer.pitch_rad,
        "heading_rad": answer.heading_rad,
        "rotors": [
            {
                **dataclasses.asdict(rotor),
                "thrust_share": rotor.thrust_share,
                "tilt_share": rotor.tilt_share,
                "current_share": rotor.current_share,
            }
            for rotor in answer.rotors
        ],
        "usable_thrust_share": answer.usable_share,
        "bus_v": answer.bus_v,
        "pack_a": answer.pack_a,
        "pack_current_share": answer.pack_a / answer.pack_limit_a
        if answer.pack_limit_a > 0.0
        else None,
        "pack_w": answer.pack_w,
        "fabric": None if answer.fabric is None else dataclasses.asdict(answer.fabric),
        "growth_1_s": answer.growth_1_s,
        "grows": answer.grows,
        "residual": answer.trim.residual,
        "sentences": list(trim_sentences(answer)),
    }
    return plain_data(data)
