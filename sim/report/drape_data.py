"""The answer of `gustworthy drape` as plain data: keys with their units, `format_version` 1."""

from __future__ import annotations

import dataclasses
from typing import Any, Final

from sim.analysis.air_calibration import AirCalibration
from sim.analysis.drape_answer import SWING_M_S, DrapeAnswer, FabricInWind
from sim.analysis.drape_load import DrapeLoad
from sim.report.as_json import file_data, plain_data
from sim.report.drape_content import drape_assumptions, drape_findings, drape_verdict
from sim.report.version import version

FORMAT_VERSION: Final = 1


def drape_data(answer: DrapeAnswer) -> dict[str, Any]:
    """Give everything as plain data.

    Parameters
    ----------
    answer : DrapeAnswer
        As found.

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None for what is not known.
    """
    still, throttle = answer.still, answer.throttle
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "made_by": {"name": "gustworthy", "version": version()},
            "craft": file_data(answer.craft, layout=answer.craft.spec.layout),
            "scenario": file_data(answer.scenario, wind_m_s=answer.scenario.spec.wind.mean_m_s),
            "verdict": drape_verdict(answer),
            "passes": answer.passes,
            "findings": list(drape_findings(answer)),
            "assumptions": list(drape_assumptions(answer)),
            "weight_n": answer.weight_n,
            "fabric_weight_n": answer.fabric_weight_n,
            "hover_thrust_n": still.thrust_n,
            "download_n": dataclasses.asdict(answer.bands.download),
            "download_share_of_thrust": still.whole.download_n / still.thrust_n,
            "day_download_n": dataclasses.asdict(answer.bands.day_download),
            "day_side_force_n": dataclasses.asdict(answer.bands.day_side_force),
            "band_made_of": [dataclasses.asdict(move) for move in answer.bands.moves],
            "least_clearance_m": answer.least_clearance_m,
            "clearance_limit_m": answer.clearance_limit_m,
            "rotors": list(answer.rotors),
            "winds": [_wind(case) for case in answer.winds],
            "swing_m_s": SWING_M_S,
            "swings": [
                {
                    "moves": swing.mode.moves,
                    "alike": swing.count,
                    "frequency_hz": swing.mode.frequency_hz,
                    "damping_ratio": swing.mode.damping_ratio,
                    "rate_1_s": swing.mode.rate_1_s,
                    "time_to_half_or_double_s": swing.mode.time_to_half_or_double_s,
                    "grows": swing.mode.grows,
                    "shares": dict(swing.mode.shares),
                }
                for swing in answer.swings
            ],
            "why_no_swings": answer.why_no_swings,
            "hover_throttle": dataclasses.asdict(throttle),
            "calibration": None
            if answer.calibration is None
            else _calibration(answer.calibration, [d.name for d in answer.craft.spec.drapes]),
        }
    )


def _load(load: DrapeLoad, thrust_n: float) -> dict[str, Any]:
    return {
        "name": load.name,
        "download_n": load.download_n,
        "download_share_of_thrust": load.download_n / thrust_n,
        "side_force_n": load.side_force_n,
        "across_wind_n": load.across_n,
        "height_above_centre_of_gravity_m": load.height_m,
        "tipping_moment_n_m": load.moment_n_m,
        "clearance_m": list(load.clearance_m),
    }


def _wind(case: FabricInWind) -> dict[str, Any]:
    return {
        "wind_m_s": case.wind_m_s,
        "forecast_m_s": case.forecast_m_s,
        "is_the_day": case.is_the_day,
        "flown": not case.why_held,
        "why_held": case.why_held,
        "thrust_n": case.thrust_n,
        "all": _load(case.whole, case.thrust_n),
        "drapes": [_load(load, case.thrust_n) for load in case.drapes],
    }


def _calibration(calibration: AirCalibration, names: list[str]) -> dict[str, Any]:
    return {
        "read_with_fabric": dataclasses.asdict(calibration.with_fabric),
        "read_without_fabric": dataclasses.asdict(calibration.without_fabric),
        "read_ratio": calibration.measured_ratio,
        "computed_ratio": calibration.modelled_ratio,
        "scale": calibration.scale,
        "plus_minus": calibration.plus_minus,
        "may_be_nothing": calibration.may_be_nothing,
        "spread_made_of": dict(calibration.causes),
        "air_factors": {
            name: dataclasses.asdict(factor)
            for name, factor in zip(names, calibration.air_factors, strict=True)
        },
    }
