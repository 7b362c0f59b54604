"""The answer of `gustworthy spread` as plain data: keys with their units, `format_version` 1."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any, Final

from sim.analysis.distribution import Distribution, GateChance
from sim.analysis.headline import FIGURES, Gate
from sim.analysis.mass_guard import GuardRow
from sim.analysis.measurement_value import MeasurementValue
from sim.analysis.spread_result import FigureImportance, SpreadAnswer
from sim.report.as_json import file_data, json_text, plain_data
from sim.report.files import write_whole
from sim.report.spread_content import spread_findings, spread_verdict
from sim.report.spread_page import spread_page
from sim.report.version import version
from sim.spec.unsure import UnsureFigure

FORMAT_VERSION: Final = 1
PAGE_NAME: Final = "spread.html"
DATA_NAME: Final = "spread.json"


def spread_data(answer: SpreadAnswer) -> dict[str, Any]:
    """Give everything as plain data.

    Parameters
    ----------
    answer : SpreadAnswer

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None for what is not known. Unsure
        figures are in SI units, headline figures in the unit that their key ends with.
    """
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "made_by": {"name": "gustworthy", "version": version()},
            "craft": file_data(answer.craft, layout=answer.craft.spec.layout),
            "scenario": file_data(answer.scenario),
            "verdict": spread_verdict(answer),
            "passes": answer.passes,
            "chance_surely_above": answer.sure,
            "findings": list(spread_findings(answer)),
            "crafts": len(answer.headlines),
            "seed": answer.seed,
            "unsure": [
                {**_unsure(figure), "sampled_si": list(answer.values[:, k])}
                for k, figure in enumerate(answer.unsure)
            ],
            "as_written": dataclasses.asdict(answer.as_written),
            "sampled": {
                "outcome": [one.outcome for one in answer.headlines],
                **{
                    figure.key: [getattr(one, figure.key) for one in answer.headlines]
                    for figure in FIGURES
                },
            },
            "distributions": {
                entry.figure.key: _distribution(entry) for entry in answer.distributions
            },
            "gates": [_chance(chance) for chance in answer.chances],
            "all_gates": _chance(answer.all_gates),
            "importance": {entry.figure.key: _importance(entry) for entry in answer.importance},
            "limiting_figure": None if answer.limiting is None else answer.limiting.key,
            "measurements": [_measurement(value) for value in answer.measurements],
            "why_no_measurement": answer.why_no_measurement,
            "guard": [_guard(row) for row in answer.guard],
        }
    )


def _unsure(figure: UnsureFigure) -> dict[str, Any]:
    return {
        "name": figure.name,
        "paths": [".".join(str(step) for step in path) for path in figure.paths],
        "kind": figure.kind,
        "value_si": figure.value,
        "plus_minus_si": figure.plus_minus,
    }


def _distribution(entry: Distribution) -> dict[str, Any]:
    return {
        "as_written": entry.as_written,
        "low_5_percent": entry.low,
        "median": entry.median,
        "high_95_percent": entry.high,
        "crafts_without": entry.missing,
    }


def _gate(gate: Gate) -> dict[str, Any]:
    return {
        "key": gate.key,
        "name": gate.name,
        "figure": None if gate.figure is None else gate.figure.key,
        "limit": None if gate.figure is None else gate.limit,
    }


def _chance(chance: GateChance) -> dict[str, Any]:
    gate = {} if chance.gate is None else _gate(chance.gate)
    return {
        **gate,
        "passes_as_written": chance.as_written,
        "crafts_that_pass": chance.passes,
        "chance": chance.share,
        "chance_lower": chance.lower,
        "chance_upper": chance.upper,
    }


def _importance(entry: FigureImportance) -> dict[str, Any]:
    return {
        "fit_r_squared": entry.r_squared,
        "why_not_told": entry.why_not,
        "told": [
            {"name": figure.name, **dataclasses.asdict(indices)} for figure, indices in entry.told
        ],
    }


def _measurement(value: MeasurementValue) -> dict[str, Any]:
    return {
        "name": value.figure.name,
        "measure": value.measurement.words,
        "accuracy_si": value.accuracy,
        "chance_of_wrong_verdict_before": value.wrong_before,
        "chance_of_wrong_verdict_after": value.wrong_after,
        "limiting_figure_deviation_before": value.deviation_before,
        "limiting_figure_deviation_after": value.deviation_after,
    }


def _guard(row: GuardRow) -> dict[str, Any]:
    unit = "m" if row.change.kind == "shift" else "kg"
    return {
        "change": row.change.name,
        "kind": row.change.kind,
        f"tried_{unit}": row.tried,
        f"left_{unit}": {one.gate.key: one.amount for one in row.left},
    }


def write_spread_files(answer: SpreadAnswer, folder: Path) -> tuple[Path, Path]:
    """Write `spread.html` and `spread.json` into a folder, made if it is not there.

    Parameters
    ----------
    answer : SpreadAnswer
    folder : Path

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: spread_page(answer), DATA_NAME: json_text(spread_data(answer))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
