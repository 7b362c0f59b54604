"""The answer of `gustworthy head` as plain data: keys with their units, `format_version` 1."""

from __future__ import annotations

import dataclasses
from typing import Any, Final

from sim.analysis.head_gates import GateFigures
from sim.analysis.head_map import HeadMap
from sim.analysis.loop_margins import decibel
from sim.report.as_json import file_data, plain_data
from sim.report.head_words import head_assumptions, head_findings, head_verdict
from sim.report.version import version

FORMAT_VERSION: Final = 1


def _figures(figures: GateFigures | None) -> dict[str, Any] | None:
    if figures is None:
        return None
    worst = figures.worst
    up = None if worst is None or worst.gain_up is None else decibel(worst.gain_up.value)
    down = None if worst is None or worst.gain_down is None else worst.gain_down.value
    phase = None if worst is None or worst.phase_rad is None else abs(worst.phase_rad.value)
    return {
        "passes": figures.passes,
        "gives_out_first": figures.failed,
        "usable_thrust_over_weight_and_download": figures.lift,
        "rotors_above_centre_m": figures.lever_m,
        "rotors_above_centre_plus_minus_m": figures.lever_plus_minus_m,
        "authority_left": figures.authority_left,
        "has_hover": figures.has_hover,
        "required_over_found_margin": figures.shortfall,
        "worst_axis": figures.worst_axis,
        "gain_margin_up_db": up,
        "gain_margin_down_db": None if not down else -decibel(down),
        "phase_margin_rad": phase,
        "flights": figures.flights,
        "successes": figures.successes,
        "success_lower_bound": figures.sure,
        "cause": figures.cause,
    }


def _advice(answer: HeadMap) -> dict[str, Any] | None:
    advice = answer.advice
    if advice is None:
        return None
    return {
        "head_mass_kg": advice.mass_kg,
        "head_up_m": advice.up_m,
        "is_present_head": advice.is_present,
        "before": _figures(advice.before),
        "moves": [
            {
                "move": remedy.move,
                "foretold_m": remedy.foretold_m,
                "most_m": remedy.most_m,
                "found_m": remedy.found_m,
                "run_again": _figures(remedy.figures),
            }
            for remedy in advice.remedies
        ],
    }


def head_data(answer: HeadMap) -> dict[str, Any]:
    """Give everything as plain data.

    Parameters
    ----------
    answer : HeadMap

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None for what is not known, without
        a limit or out of reach.
    """
    lines = answer.borders
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "made_by": {"name": "gustworthy", "version": version()},
            "craft": file_data(answer.craft, layout=answer.craft.spec.layout),
            "scenario": file_data(
                answer.scenario,
                wind_m_s=answer.scenario.spec.wind.mean_m_s,
                wind_height_m=answer.scenario.spec.wind.at_height_m,
            ),
            "verdict": head_verdict(answer),
            "passes": answer.passes,
            "findings": list(head_findings(answer)),
            "assumptions": list(head_assumptions(answer)),
            "head_mass_kg": answer.mass_kg,
            "head_up_m": answer.up_m,
            "present": _figures(answer.present),
            "heaviest_head_kg": answer.heaviest_kg,
            "heaviest": _figures(answer.heaviest),
            "gives_out_first_beyond_it": answer.gives_out,
            "gives_out": [dataclasses.asdict(end) for end in answer.ends],
            "map": {
                "masses_kg": list(answer.masses_kg),
                "heights_up_m": list(answer.heights_m),
                "by_height_then_mass": [
                    [_figures(figures) for figures in row] for row in answer.figures
                ],
            },
            "borders": {
                "heights_up_m": lines.up_m.tolist(),
                "lift_kg": lines.lift_kg.tolist(),
                "authority_kg": lines.authority_kg.tolist(),
            },
            "pitch_zero": dataclasses.asdict(answer.zero),
            "advice": _advice(answer),
        }
    )
