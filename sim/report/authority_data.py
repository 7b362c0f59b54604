"""The answer of `gustworthy authority` as plain data: keys with their units, `format_version` 1."""

from __future__ import annotations

import dataclasses
from typing import Any, Final

import numpy as np

from sim.analysis.authority import AuthorityAnswer, Slice, Way
from sim.analysis.authority_study import AuthorityStudy
from sim.analysis.authority_wind import WindUse
from sim.analysis.limit_cycle import CycleAnswer
from sim.analysis.mode_shape import ModeShape
from sim.report.as_json import file_data, plain_data
from sim.report.authority_content import (
    authority_assumptions,
    authority_findings,
    authority_verdict,
)
from sim.report.version import version

FORMAT_VERSION: Final = 1
_AXES: Final = ("thrust_n", "roll_n_m", "pitch_n_m", "yaw_n_m")


def authority_data(study: AuthorityStudy) -> dict[str, Any]:
    """Give everything as plain data.

    Parameters
    ----------
    study : AuthorityStudy
        As found.

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None for what is not known. Amounts
        of thrust are in newtons, of roll, pitch and yaw in newton metres.
    """
    answer, play = study.authority, study.play
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "made_by": {"name": "gustworthy", "version": version()},
            "craft": file_data(study.craft, layout=study.craft.spec.layout),
            "scenario": file_data(study.scenario, wind_m_s=study.scenario.spec.wind.mean_m_s),
            "verdict": authority_verdict(study),
            "passes": study.passes,
            "findings": list(authority_findings(study)),
            "assumptions": list(authority_assumptions(study)),
            "why_no_trim": study.why_no_trim,
            "hover": None if answer is None else _hover(answer),
            "winds": [_wind(use) for use in study.winds],
            "tilt_servos": None if play is None else _play(play),
            "flown_hunting": {
                axis: [dataclasses.asdict(cycle) for cycle in cycles]
                for axis, cycles in study.hunting.items()
            },
            "flown_edges": [dataclasses.asdict(edge) for edge in study.edges],
            "growing_motions": study.growing,
            "fabric_swings": [_shape(shape) for shape in study.shapes],
        }
    )


def _way(way: Way) -> dict[str, Any]:
    return {
        "way": way.words,
        "axis": way.axis,
        "sense": way.sense,
        "taken": way.used,
        "left": way.left,
        "left_by_hull": way.hull_left,
        "share_taken": way.share,
        "acceleration_left": way.quickness,
        "ended_by": [{"rotor": rotor, "at": what} for rotor, what in way.stops],
    }


def _hover(answer: AuthorityAnswer) -> dict[str, Any]:
    return {
        "rotors": list(answer.rotor_names),
        "trim": dict(zip(_AXES, answer.trim.tolist(), strict=True)),
        "ways": [_way(way) for way in answer.ways],
        "works_backwards": list(answer.backwards),
        "first_to_run_out": answer.first.words,
        "weakest_turn": answer.slowest.words,
        "hull_volume_n4_m3": answer.volume,
        "hull_overstates_share": answer.overstated,
        "slices": [_slice(one) for one in answer.slices],
        "lost_motors": [
            {
                "rotor": answer.rotor_names[loss.rotor],
                "thrust_share": loss.thrust_share,
                "can_hold": loss.left.value,
                "lift_left_n": loss.lift_left_n,
                "weakest_roll_n_m": loss.weakest_roll_n_m,
                "weakest_pitch_n_m": loss.weakest_pitch_n_m,
                "tips_rad_s2": loss.tips_rad_s2,
                "flight": None if loss.flight is None else dataclasses.asdict(loss.flight),
            }
            for loss in answer.losses
        ],
    }


def _slice(one: Slice) -> dict[str, Any]:
    return {
        "across": one.across,
        "upward": one.upward,
        "reached": one.edge.tolist(),
        "hull": one.hull_edge.tolist(),
        "trim": one.trim.tolist(),
    }


def _wind(use: WindUse) -> dict[str, Any]:
    return {
        "forecast_m_s": use.forecast_m_s,
        "from": use.side,
        "holds": use.holds,
        "why_not": use.why_not,
        "ways": [
            {**_way(way), "share_in_gusts": busy}
            for way, busy in zip(use.ways, use.busy_shares, strict=True)
        ],
    }


def _play(play: CycleAnswer) -> dict[str, Any]:
    return {
        "play_rad": play.play_rad,
        "deadband_rad": play.deadband_rad,
        "slew_rad_s": play.slew_rad_s,
        "travel_rad": play.travel_rad,
        "predicted": [dataclasses.asdict(cycle) for cycle in play.cycles],
        "slewing_begins": [dataclasses.asdict(onset) for onset in play.onsets],
    }


def _shape(shape: ModeShape) -> dict[str, Any]:
    """Give a swing; complex amplitudes as size and phase."""
    return {
        "sentence": shape.sentence,
        "frequency_hz": shape.mode.frequency_hz,
        "rate_1_s": shape.mode.rate_1_s,
        "damping_ratio": shape.mode.damping_ratio,
        "shares": dict(shape.mode.shares),
        "strips": [list(strip) for strip in shape.strips],
        "rim_m": shape.rim_m.tolist(),
        "rest_m": shape.rest_m.tolist(),
        "swing_m": np.abs(shape.swing_m).tolist(),
        "swing_phase_rad": np.angle(shape.swing_m).tolist(),
        "turn_rad": np.abs(shape.turn_rad).tolist(),
        "shift_m": np.abs(shape.shift_m).tolist(),
    }
