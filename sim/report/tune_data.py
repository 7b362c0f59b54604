"""The answer of `gustworthy tune` as plain data: keys with their units, `format_version` 1."""

from __future__ import annotations

import dataclasses
from typing import Any, Final

from sim.analysis.tune import Candidate, TuneResult
from sim.analysis.tune_apply import gain_text
from sim.analysis.tune_plan import hand_plan
from sim.analysis.tune_score import Figures
from sim.report.as_json import file_data, plain_data
from sim.report.tune_content import hand_plan_words, tune_assumptions, tune_findings, tune_verdict
from sim.report.version import version

FORMAT_VERSION: Final = 1


def tune_data(result: TuneResult) -> dict[str, Any]:
    """Give everything as plain data.

    Parameters
    ----------
    result : TuneResult

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None for what is not known.
    """
    chosen = result.chosen
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "made_by": {"name": "gustworthy", "version": version()},
            "craft": file_data(result.craft, layout=result.craft.spec.layout),
            "scenario": file_data(result.scenario, wind_m_s=result.scenario.spec.wind.mean_m_s),
            "verdict": tune_verdict(result),
            "passes": result.passes,
            "findings": list(tune_findings(result)),
            "assumptions": list(tune_assumptions(result)),
            "seed": result.seed,
            "candidates_tried": result.tried,
            "required": dataclasses.asdict(result.required),
            "full_moment_n_m": result.crafts.full_moment_n_m.tolist(),
            "gains": _gains(result),
            "now": _candidate(result.own),
            "tuned": None if chosen is None else _candidate(chosen),
            "looked_at": [_candidate(one) for one in result.looked_at],
            "front": [_figures(one.figures) for one in result.front],
            "what_limits": [
                {
                    "what": one.what,
                    "same_gains": _figures(one.same_gains),
                    "tuned_anew": _figures(one.retuned),
                }
                for one in result.bought
            ],
            "wind_limits": None if result.paired is None else dataclasses.asdict(result.paired),
            "hand_plan": _plan(result),
            "hand_plan_rules": list(hand_plan_words()),
        }
    )


def _figures(figures: Figures) -> dict[str, Any]:
    return {
        "stable": figures.stable,
        "growth_1_s": figures.growth_1_s,
        "joint_disk_margin": figures.disk,
        "gain_margin_db": figures.gain_db,
        "phase_margin_rad": figures.phase_rad,
        "drift_rms_m": figures.gust_m,
        "moments_used": figures.activity,
    }


def _candidate(one: Candidate) -> dict[str, Any]:
    exact, flown = one.exact, one.flown
    together = None if exact is None else exact.together
    return {
        "figures": _figures(one.figures),
        "joint_disk_margin_as_in_file": None if together is None else together.guaranteed.alpha,
        "flights": None
        if flown is None
        else {
            "winds_m_s": list(flown.winds_m_s),
            "flights": flown.flights,
            "successes": list(flown.successes),
            "drift_m": list(flown.drift_m),
            "causes": list(flown.causes),
        },
        "rejected": one.rejected,
    }


def _gains(result: TuneResult) -> list[dict[str, Any]]:
    tuned = [None] * result.crafts.space.size if result.chosen is None else result.chosen.values
    return [
        {
            "name": v.name,
            "path": ["controller", *v.path],
            "now_si": float(now),
            "tuned_si": None if new is None else float(new),
            "written": None if new is None else gain_text(v, float(new)),
        }
        for v, now, new in zip(result.crafts.space.variables, result.own.values, tuned, strict=True)
    ]


def _plan(result: TuneResult) -> list[dict[str, Any]]:
    chosen = result.chosen
    if chosen is None or chosen.exact is None:
        return []
    steps = hand_plan(result.crafts.space, chosen.values, chosen.exact)
    return [dataclasses.asdict(step) for step in steps]
