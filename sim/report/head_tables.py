"""The figures of `gustworthy head` as tables."""

from __future__ import annotations

from typing import Final

from sim.analysis.head import LEAST_LEVER_M, LEAST_THRUST_TO_WEIGHT
from sim.analysis.head_gates import GATES, Gate, GateFigures
from sim.analysis.head_map import HeadMap
from sim.report.head_words import (
    CENTIMETRES,
    GATE_NAMES,
    authority_words,
    centimetres,
    end_words,
    flight_words,
    kilograms,
    lever_words,
    margin_words,
    remedy_words,
    short_of,
    wind_words,
)
from sim.report.number_text import capital, degrees, fixed
from sim.report.section import Standing, Table, TableRow, standing

SIGNS: Final[dict[Gate | None, str]] = {
    None: ".",
    "lift": "L",
    "authority": "P",
    "margins": "M",
    "wind": "W",
}
LEGEND: Final = (
    ". passes; what gives out first: L lift, P pitch authority, M margins, W the day's wind"
)


def _value(answer: HeadMap, figures: GateFigures, gate: Gate) -> str:
    match gate:
        case "lift":
            lift = short_of(figures.lift, LEAST_THRUST_TO_WEIGHT, 2)
            return f"{lift} times weight and download"
        case "authority":
            return authority_words(answer, figures).rsplit(", asked", 1)[0]
        case "margins":
            return margin_words(figures, answer.study.required)
        case _:
            return flight_words(figures)


def _asked(answer: HeadMap, gate: Gate) -> str:
    study = answer.study
    match gate:
        case "lift":
            return fixed(LEAST_THRUST_TO_WEIGHT, 2)
        case "authority":
            if answer.zero.by_tilt:
                return centimetres(LEAST_LEVER_M)
            return fixed(LEAST_THRUST_TO_WEIGHT, 2)
        case "margins":
            return f"{fixed(study.required.gain_db, 0)} dB, {degrees(study.required.phase_rad)} deg"
        case _:
            return f"{study.flights - study.failures_allowed} of {study.flights}"


def gate_table(answer: HeadMap) -> Table:
    """Give the gates of the craft as it is, and the head mass at which each gives out."""
    ends = {end.gate: end for end in answer.ends}
    rows = []
    for gate in GATES:
        passed = answer.present.passed(gate)
        name = GATE_NAMES[gate]
        label = f"{name}, {wind_words(answer)}" if gate == "wind" else name
        cells = (
            capital(label),
            _value(answer, answer.present, gate),
            _asked(answer, gate),
            end_words(ends[gate]),
        )
        rows.append(TableRow(cells, standing(passed)))
    return Table(
        f"The gates of this head, {fixed(answer.mass_kg, 2)} kg at {centimetres(answer.up_m)} up",
        ("gate", "this head", "asked", "gives out"),
        tuple(rows),
        judged=True,
    )


def map_table(answer: HeadMap) -> Table:
    """Give the map in signs: masses across, heights down from the highest."""
    rows = [
        TableRow(
            (
                f"{fixed(CENTIMETRES * height, 1)} cm",
                *(SIGNS[figures.failed] for figures in row),
            )
        )
        for height, row in zip(answer.heights_m[::-1], answer.figures[::-1], strict=True)
    ]
    return Table(
        f"Map of heads: {LEGEND}",
        ("up \\ kg", *(fixed(mass, 2) for mass in answer.masses_kg)),
        tuple(rows),
    )


def _run_words(answer: HeadMap, figures: GateFigures) -> str:
    words = [
        f"lift {short_of(figures.lift, LEAST_THRUST_TO_WEIGHT, 2)}",
        f"rotors {lever_words(figures.lever_m)} the CG",
    ]
    if figures.has_hover is not None:
        words.append(margin_words(figures, answer.study.required))
    if figures.flights:
        words.append(f"{flight_words(figures).split(',', 1)[0]} in the wind")
    return "; ".join(words)


def advice_table(answer: HeadMap) -> Table | None:
    """Give what each move does for a head that does not pass now; None when there is none."""
    advice = answer.advice
    if advice is None or not advice.remedies:
        return None
    rows = []
    for remedy in advice.remedies:
        figures = remedy.figures
        foretold = "" if remedy.foretold_m is None else centimetres(remedy.foretold_m)
        run = "" if figures is None else _run_words(answer, figures)
        state = Standing.PLAIN if figures is None else standing(remedy.found_m is not None)
        rows.append(TableRow((capital(remedy.move), remedy_words(remedy), foretold, run), state))
    who = "this head" if advice.is_present else f"a head of {fixed(advice.mass_kg, 2)} kg"
    return Table(
        f"What it takes to carry {who}, with the figures of the craft run again",
        ("move", "needed", "foretold", "the craft so changed"),
        tuple(rows),
        judged=True,
    )


def heaviest_table(answer: HeadMap) -> Table | None:
    """Give the figures of the heaviest head that passes; None when none does."""
    figures = answer.heaviest
    if figures is None or answer.heaviest_kg is None:
        return None
    return Table(
        f"The heaviest head that passes at this height, {kilograms(answer.heaviest_kg)}",
        ("gate", "has", "asked"),
        tuple(
            TableRow(
                (capital(GATE_NAMES[gate]), _value(answer, figures, gate), _asked(answer, gate))
            )
            for gate in GATES
        ),
    )


def all_tables(answer: HeadMap) -> tuple[Table, ...]:
    """Give every table, the gates first."""
    tables = (gate_table(answer), map_table(answer), heaviest_table(answer), advice_table(answer))
    return tuple(table for table in tables if table is not None)
