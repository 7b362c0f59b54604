"""A comparison as data for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from sim.analysis.compare import Comparison
from sim.analysis.paired_flights import PairedLimits
from sim.report.as_json import json_text, result_data
from sim.report.compare_page import compare_page
from sim.report.files import write_whole

FORMAT_VERSION: Final = 1
PAGE_NAME: Final = "compare.html"
DATA_NAME: Final = "compare.json"


def _pair_data(pair: PairedLimits | None) -> dict[str, Any] | None:
    if pair is None:
        return None
    return {
        "forecasts_m_s": list(pair.winds_m_s),
        "flights_in_each": pair.flights,
        "first_successes": list(pair.first_successes),
        "second_successes": list(pair.second_successes),
        "first_estimated_limit_m_s": pair.first_m_s,
        "second_estimated_limit_m_s": pair.second_m_s,
        "difference_m_s": pair.difference_m_s,
        "difference_low_m_s": pair.low_m_s,
        "difference_high_m_s": pair.high_m_s,
        "confidence": pair.confidence,
        "is_certain": pair.is_certain,
        "is_cut": pair.is_cut,
    }


def compare_data(comparison: Comparison) -> dict[str, Any]:
    """Give a comparison as nested dictionaries.

    Parameters
    ----------
    comparison : Comparison

    Returns
    -------
    dict
        `crafts` holds what `check` gives for each; `pairs` the others against the first.
    """
    return {
        "format_version": FORMAT_VERSION,
        "command": "compare",
        "decides": comparison.decides,
        "ahead": comparison.results[comparison.best].craft.spec.name,
        "passes": comparison.passes,
        "pairs": [_pair_data(pair) for pair in comparison.pairs],
        "crafts": [result_data(result) for result in comparison.results],
    }


def write_compare_files(comparison: Comparison, folder: Path) -> tuple[Path, Path]:
    """Write `compare.html` and `compare.json` into a folder, made if it is not there.

    Parameters
    ----------
    comparison : Comparison
    folder : Path

    Returns
    -------
    tuple of Path
        Page and data.
    """
    texts = {PAGE_NAME: compare_page(comparison), DATA_NAME: json_text(compare_data(comparison))}
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text)
    return folder / PAGE_NAME, folder / DATA_NAME
