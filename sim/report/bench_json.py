"""The reconciliation of bench readings as plain data for JSON."""

from __future__ import annotations

import dataclasses
from typing import Any

from sim.analysis.bench import BenchAnswer, Explained
from sim.report.bench_text import bench_sentences
from sim.report.bench_words import explanation_text, measurement_text, parameter_text

FORMAT_VERSION = 1


def bench_data(answer: BenchAnswer) -> dict[str, Any]:
    """Give a bench answer as plain data.

    Parameters
    ----------
    answer : BenchAnswer

    Returns
    -------
    dict
        Keys carry units; `parameter` is a share lost, the logarithm of a factor, or ohms.
    """
    again = answer.learned_again
    rival = answer.ranked.runner_up
    return {
        "format_version": FORMAT_VERSION,
        "craft": answer.craft.name,
        "findings": list(bench_sentences(answer)),
        "agrees_with_file": answer.agrees_with_file,
        "told_apart": answer.ranked.told_apart,
        "cannot_be_told_apart": []
        if answer.ranked.told_apart
        else [fit.key for fit in answer.ranked.rivals],
        "inconsistent": list(answer.inconsistent),
        "as_written": dataclasses.asdict(answer.as_written),
        "explanations": [_explained(item) for item in answer.explained],
        "learned_again": None if again is None else dataclasses.asdict(again),
        "next_measurement_tells_apart": None
        if rival is None
        else [answer.ranked.leader.key, rival.key],
        "next_measurements": [
            {
                "quantity": item.quantity,
                **dataclasses.asdict(item.condition),
                "other_meter": item.other_meter,
                "first_si": item.first,
                "second_si": item.second,
                "separation": item.separation,
                "words": measurement_text(item, answer),
            }
            for item in answer.measurements
        ],
    }


def _explained(item: Explained) -> dict[str, Any]:
    fit = item.fit
    return {
        "key": fit.key,
        "words": explanation_text(fit),
        "weight": item.weight,
        "causes": [
            {"key": cause.key, "parameter": value, "words": parameter_text(cause, value)}
            for cause, value in zip(fit.causes, fit.values, strict=True)
        ],
        "misfit": fit.misfit,
        "residuals": [float(value) for value in fit.residual],
        "is_possible": fit.is_possible,
        "now": dataclasses.asdict(item.now),
        "cured": dataclasses.asdict(item.cured),
    }
