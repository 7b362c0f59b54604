"""What the what-if page shows: the words and figures of `check`, and bars for the eye."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

from sim.analysis.check_result import CheckResult
from sim.analysis.loop_breaks import ATTITUDE_AXES
from sim.analysis.static_wind import static_bound_m_s
from sim.analysis.what_if import Explorer, WhatIf
from sim.analysis.wind_heights import height_ratio
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.report.answer_head import head_section
from sim.report.answer_lift import lift_section
from sim.report.answer_upright import upright_section
from sim.report.number_text import degrees, digits, fixed
from sim.report.section import Section

_ENOUGH_THRUST: Final = 2.0


def _section(section: Section) -> dict[str, Any]:
    """Give one answer with its figures and its first table, in the words of `check`."""
    table = next((one for one in section.tables if one.judged), None)
    return {
        "key": section.key,
        "question": section.question,
        "standing": section.standing.value,
        "state": section.standing.name.lower(),
        "answer": section.answer,
        "readings": [
            {
                "label": row.label,
                "text": row.text,
                "limit": row.limit,
                "standing": row.standing.value,
                "state": row.standing.name.lower(),
            }
            for row in section.readings
        ],
        "table": None
        if table is None
        else {
            "caption": table.caption,
            "columns": list(table.columns),
            "rows": [
                {"cells": list(row.cells), "standing": row.standing.value} for row in table.rows
            ],
        },
    }


def _bar(label: str, text: str, share: float, limit_share: float | None) -> dict[str, Any]:
    """Give one bar: its length and its limit as shares of the whole width."""
    return {
        "label": label,
        "text": text,
        "share": min(max(share, 0.0), 1.0) if math.isfinite(share) else 0.0,
        "limit": limit_share,
    }


def _lift_bars(found: WhatIf) -> list[dict[str, Any]]:
    ratio = found.result.lift.usable_thrust_to_weight
    words = f"{fixed(ratio, 2)} (reserve kept)"
    return [_bar("thrust to weight", words, ratio / _ENOUGH_THRUST / 1.5, 1 / _ENOUGH_THRUST / 1.5)]


def _margin_bars(found: WhatIf) -> list[dict[str, Any]]:
    bars = []
    asked = found.result.stability.required_phase_rad
    for axis in ATTITUDE_AXES:
        margins = found.result.stability.margins.get(axis)
        phase = None if margins is None or not margins.stable else margins.phase_rad
        if phase is None:
            bars.append(_bar(f"phase margin, {axis}", "none", 0.0, asked / (0.5 * math.pi)))
            continue
        words = f"{degrees(phase.value)} deg"
        share = abs(phase.value) / (0.5 * math.pi)
        bars.append(_bar(f"phase margin, {axis}", words, share, asked / (0.5 * math.pi)))
    return bars


def _authority_bars(found: WhatIf) -> list[dict[str, Any]]:
    if found.authority is None:
        return []
    return [
        _bar(
            f"left to {way.words}",
            f"{digits(way.left)} {'N' if way.axis == 'thrust' else 'N m'}",
            1.0 - way.share,
            None,
        )
        for way in found.authority.ways
    ]


def _wind_words(result: CheckResult) -> str:
    """Say how far the mean wind alone goes towards the static bound."""
    forecast = result.scenario.spec.wind.mean_m_s
    here = forecast * height_ratio(result.scenario.spec)
    bound = static_bound_m_s(result.packed)
    if bound <= 0.0:
        return "Without thrust to spare there is no wind to lean against."
    areas = result.packed.record["body"]["drag_area_m2"][:, : int(result.packed.record.body_count)]
    area = float(max(areas[0].sum(), areas[1].sum()))
    drag = 0.5 * result.air.density_kg_m3 * area * here**2
    weight = result.packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    lean = math.atan(drag / weight)
    return (
        f"A forecast of {fixed(forecast, 1)} m/s is {fixed(here, 1)} m/s at flight height: without"
        f" its fabric it leans {degrees(lean)} deg against that. All thrust would be spent at"
        f" {fixed(bound, 1)} m/s; gusts and fabric end it far below, which only flights can tell:"
        " save the craft and run gustworthy windlimit."
    )


def figures_data(found: WhatIf) -> dict[str, Any]:
    """Give everything that the page shows, ready for JSON.

    Parameters
    ----------
    found : WhatIf

    Returns
    -------
    dict
        `sections` in the words of `check`, `bars`, `wind` and `seconds`.
    """
    result = found.result
    return {
        "sections": [
            _section(lift_section(result)),
            _section(upright_section(result)),
            _section(head_section(result)),
        ],
        "bars": [*_lift_bars(found), *_margin_bars(found), *_authority_bars(found)],
        "wind": _wind_words(result),
        "seconds": round(found.seconds, 3),
    }


def sliders_data(explorer: Explorer) -> list[dict[str, Any]]:
    """Give the sliders, ready for JSON."""
    return [
        {
            "key": slider.key,
            "label": slider.label,
            "unit": slider.unit,
            "low": slider.low,
            "high": slider.high,
            "step": slider.step,
            "value": float(np.round(slider.value, 9)),
        }
        for slider in explorer.sliders
    ]
