"""The result as JSON: stable keys with their units in their names, and never a number that is none.

`format_version` rises when a key changes its name or meaning; keys may be added without that.
"""

from __future__ import annotations

import dataclasses
import json
import math
from enum import Enum
from typing import Any, Final

import numpy as np

from sim.analysis.check_result import CheckResult, StabilityAnswer
from sim.analysis.loop_breaks import ATTITUDE_AXES
from sim.analysis.margin_study import MarginCase
from sim.analysis.spread_result import SpreadAnswer
from sim.analysis.wind_result import WindAnswer, WindPoint
from sim.flight.fabric_hit import fabric_hit
from sim.flight.outcome import STOP_WORDS
from sim.flight.results import Flight
from sim.mass.properties import MassProperties
from sim.report.condition_words import condition_words
from sim.report.content import report_content
from sim.report.hover_band import hover_band
from sim.report.margins_json import joint_data, margins_data, mode_data
from sim.report.section import ReportContent
from sim.report.version import version
from sim.spec.files import LoadedCraft, LoadedScenario

FORMAT_VERSION: Final = 1


def result_data(result: CheckResult) -> dict[str, Any]:
    """Give a check as plain data: what `result.json` holds.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None stands for every number that is
        not known, not finite, or without a limit.
    """
    data = {
        "format_version": FORMAT_VERSION,
        "made_by": {"name": "gustworthy", "version": version()},
        "verdict": result.verdict,
        "passes": result.passes,
        "craft": file_data(result.craft, layout=result.craft.spec.layout),
        "scenario": file_data(
            result.scenario,
            wind_m_s=result.scenario.spec.wind.mean_m_s,
            wind_height_m=result.scenario.spec.wind.at_height_m,
        ),
        "air": dataclasses.asdict(result.air),
        "mass": mass_data(result.mass),
        "lift": {**dataclasses.asdict(result.lift), **_band_data(result)},
        "stability": _stability_data(result.stability),
        "head": dataclasses.asdict(result.head),
        "states": [
            {
                "key": state.key,
                "words": state.words,
                "lift": dataclasses.asdict(state.lift),
                "stability": _stability_data(state.stability),
                "head": dataclasses.asdict(state.head),
            }
            for state in result.states
        ],
        "wind": None if result.wind is None else wind_data(result.wind),
        "unknowns": [dataclasses.asdict(unknown) for unknown in result.unknowns],
        "spread": None if result.spread is None else _spread_data(result.spread),
        "flight": None if result.flight is None else _flight_data(result.flight, result),
        "shown_flights": [
            {
                "title": one.title,
                "about": one.about,
                "forecast_m_s": one.forecast_m_s,
                "number": one.number,
            }
            for one in result.shown
        ],
        "answers": _answers_data(report_content(result)),
        "not_modelled": list(result.not_modelled),
    }
    return plain_data(data)


def json_text(data: dict[str, Any]) -> str:
    """Write data as JSON text.

    Parameters
    ----------
    data : dict
        Plain data without a number that is not finite.

    Returns
    -------
    str
        Indented, ended by a line break; equal data give equal text.
    """
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def mass_data(mass: MassProperties) -> dict[str, Any]:
    """Give mass properties as plain data, places as forward, right and up.

    Parameters
    ----------
    mass : MassProperties
        Of a whole craft.

    Returns
    -------
    dict
        Keys with their units.
    """
    inertia = mass.inertia_kg_m2
    axes = ("roll", "pitch", "yaw")
    return {
        "mass_kg": mass.mass_kg,
        "mass_plus_minus_kg": mass.mass_plus_minus_kg,
        "centre_m": _forward_right_up(mass.centre_m),
        "centre_plus_minus_m": _named(mass.centre_plus_minus_m, ("forward", "right", "up")),
        "inertia_kg_m2": _named(np.diagonal(inertia), axes),
        "inertia_plus_minus_kg_m2": _named(mass.inertia_plus_minus_kg_m2, axes),
        "products_of_inertia_kg_m2": {
            "roll_pitch": 0.0 - inertia[0, 1],
            "roll_yaw": 0.0 - inertia[0, 2],
            "pitch_yaw": 0.0 - inertia[1, 2],
        },
        "parts": [
            {
                "name": line.name,
                "mass_kg": line.mass_kg,
                "place_m": _forward_right_up(line.place_m),
                "inertia_about_centre_kg_m2": _named(np.diagonal(line.inertia_kg_m2), axes),
            }
            for line in mass.ledger
        ],
        "notes": list(mass.notes),
    }


def plain_mass_data(mass: MassProperties, craft: LoadedCraft) -> dict[str, Any]:
    """Give what `gustworthy mass --format json` prints.

    Parameters
    ----------
    mass : MassProperties
        Of the whole craft.
    craft : LoadedCraft
        What it was read from.

    Returns
    -------
    dict
        Plain data.
    """
    data = {
        "format_version": FORMAT_VERSION,
        "craft": file_data(craft, layout=craft.spec.layout),
        "mass": mass_data(mass),
    }
    return plain_data(data)


def plain_data(data: dict[str, Any]) -> dict[str, Any]:
    """Turn a dict of anything shown into what JSON knows.

    Parameters
    ----------
    data : dict
        Numbers of any kind, text, lists, tuples, arrays, dicts.

    Returns
    -------
    dict
        The same, with None for numbers that are not finite.
    """
    return {key: _plain(value) for key, value in data.items()}


def _named(values: Any, names: tuple[str, ...]) -> dict[str, float]:
    return {name: float(value) for name, value in zip(names, values, strict=True)}


def _spread_data(spread: SpreadAnswer) -> dict[str, Any]:
    from sim.report.spread_data import spread_data  # noqa: PLC0415 - it writes files with this

    return spread_data(spread)


def _forward_right_up(body_m: Any) -> dict[str, float]:
    forward, right, down = (float(value) for value in body_m)
    return {"forward": forward, "right": right, "up": 0.0 - down}


def file_data(loaded: LoadedCraft | LoadedScenario, **more: Any) -> dict[str, Any]:
    """Give what a craft or scenario file was, so that a result can be traced to it.

    Parameters
    ----------
    loaded : LoadedCraft or LoadedScenario
        As read.
    **more
        Further keys.

    Returns
    -------
    dict
        Name, digest, warnings and defaults used.
    """
    return {
        "name": loaded.spec.name,
        **more,
        "file_sha256": loaded.text_digest,
        "warnings": list(loaded.warnings),
        "defaults": [dataclasses.asdict(default) for default in loaded.defaults],
    }


def _band_data(result: CheckResult) -> dict[str, float | None]:
    band = hover_band(result.lift, result.mass)
    return {
        "hover_throttle_plus_minus": None if band is None else band.throttle_plus_minus,
        "hover_current_plus_minus_a": None if band is None else band.current_plus_minus_a,
    }


def _stability_data(stability: StabilityAnswer) -> dict[str, Any]:
    data = {
        name: getattr(stability, name)
        for name in (
            "has_trim",
            "why_no_trim",
            "stable",
            "passes",
            "worst_axis",
            "required_gain_db",
            "required_phase_rad",
            "swing_m_s",
            "kept_residual",
            "disagreement",
        )
    }
    data["margins"] = {axis: margins_data(found) for axis, found in stability.margins.items()}
    data["modes"] = [mode_data(mode) for mode in stability.modes]
    data |= joint_data(stability.together, stability.attitude_together, stability.delay_together_s)
    condition = stability.condition
    data["condition"] = None if condition is None else dataclasses.asdict(condition)
    worst = stability.worst_case
    data["worst_condition"] = None if worst is None else stability.cases.index(worst)
    data["conditions"] = [_case_data(case) for case in stability.cases]
    return data


def _case_data(case: MarginCase) -> dict[str, Any]:
    found = case.found
    return {
        **dataclasses.asdict(case.condition),
        "words": condition_words(case.condition),
        "why_not": case.reason,
        "worst_axis": None if found is None else found.worst_axis,
        "passes": None if found is None else found.passes,
        "margins": {}
        if found is None
        else {axis: margins_data(found.margins[axis]) for axis in ATTITUDE_AXES},
    }


def wind_data(wind: WindAnswer) -> dict[str, Any]:
    """Give the answer to question 4 as plain data.

    Parameters
    ----------
    wind : WindAnswer
        Of a check or of `gustworthy windlimit`.

    Returns
    -------
    dict
        Keys with their units.
    """
    data = dataclasses.asdict(wind)
    data["wind_limit_forecast_m_s"] = data.pop("limit_forecast_m_s")
    data["wind_limit_m_s"] = data.pop("limit_m_s")
    data["wind_limit_gust_m_s"] = data.pop("gust_m_s")
    data["highest_tried_passes"] = data.pop("is_bounded")
    data["points"] = [_point_data(point) for point in wind.points]
    return data


def _point_data(point: WindPoint) -> dict[str, Any]:
    data = dataclasses.asdict(point)
    data["causes"] = [{"cause": cause, "flights": count} for cause, count in point.causes]
    return data


def _flight_data(flight: Flight, result: CheckResult) -> dict[str, Any]:
    tally = flight.tally
    return {
        "ended": STOP_WORDS[flight.stop],
        "fabric_in_rotor": fabric_hit(result.packed, tally) or None,
        "ended_s": float(tally.stop_s),
        "most_tilt_rad": float(tally.most_tilt_rad),
        "most_drift_m": float(tally.most_drift_m),
        "most_height_loss_m": float(tally.most_height_loss_m),
        "most_current_a": float(tally.most_current_a),
        "least_clearance_m": float(tally.least_clearance_m) if result.craft.spec.drapes else None,
        "shares_on_limits": dict(result.flight_limits),
    }


def _answers_data(content: ReportContent) -> list[dict[str, str]]:
    return [
        {
            "question": section.question,
            "judged": section.standing.value,
            "answer": section.answer,
            "what_to_do": section.remedy,
        }
        for section in content.sections
    ]


def _plain(value: Any) -> Any:
    """Turn values into what JSON knows; numbers that are not finite into None."""
    if isinstance(value, Enum):
        return _plain(value.value)
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [_plain(item) for item in value]
    return value
