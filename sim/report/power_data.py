"""The answer of `gustworthy power` as plain data: keys with their units, `format_version` 1."""

from __future__ import annotations

import dataclasses
from typing import Any, Final

from sim.analysis.endurance import Endurance
from sim.analysis.power_answer import PowerAnswer, PowerCase
from sim.analysis.power_flow import PowerFlow
from sim.analysis.power_overload import Load
from sim.analysis.power_point import PowerPoint
from sim.analysis.propeller_choice import PropellerChoice, PropellerOption
from sim.report.as_json import file_data, plain_data
from sim.report.power_content import (
    power_assumptions,
    power_findings,
    power_verdict,
)
from sim.report.version import version

FORMAT_VERSION: Final = 1


def power_data(answer: PowerAnswer) -> dict[str, Any]:
    """Give everything as plain data.

    Parameters
    ----------
    answer : PowerAnswer

    Returns
    -------
    dict
        Text, numbers, true, false, None, lists and dicts only; None for what is not known, without
        a limit or out of reach.
    """
    main = answer.main
    known = answer.download_n is not None
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "made_by": {"name": "gustworthy", "version": version()},
            "craft": file_data(answer.craft, layout=answer.craft.spec.layout),
            "verdict": power_verdict(answer),
            "passes": answer.passes,
            "lifts": answer.lifts,
            "findings": list(power_findings(answer)),
            "assumptions": list(power_assumptions(answer)),
            "air": dataclasses.asdict(answer.air),
            "weight_n": answer.weight_n,
            "download_n": answer.download_n,
            "hover_thrust_needed_n": answer.needed_n,
            "thrust_to_weight_without_download": main.full.thrust_n / answer.weight_n,
            "thrust_to_weight": main.full.thrust_n / answer.needed_n if known else None,
            "usable_thrust_to_weight": main.usable.thrust_n / answer.needed_n,
            "reserved_throttle": answer.craft.spec.controller.reserved,
            "hover_throttle": None if main.hover is None else main.hover.throttle,
            "endurance_s": None if main.endurance is None else main.endurance.seconds,
            "pack_warming_at_most_k": answer.pack_warming_k,
            "hover": _point(main.hover),
            "usable_throttle": _point(main.usable),
            "full_throttle": _point(main.full),
            "chosen": [{"asked": name, "point": _point(point)} for name, point in answer.chosen],
            "curve": [
                {
                    "throttle": point.throttle,
                    "thrust_n": point.thrust_n,
                    "pack_w": point.pack_w,
                    "pack_a": point.pack_a,
                    "bus_v": point.bus_v,
                }
                for point in answer.curve
            ],
            "full_throttle_loads": [_load(load) for load in answer.loads],
            "packs": [_case(case) for case in answer.packs],
            "days": [_case(case) for case in answer.days],
            "motor_warmth": [
                {**dataclasses.asdict(warm), "known": warm.known, "too_hot": warm.too_hot}
                for warm in answer.warmth
            ],
            "propellers": None if answer.propellers is None else _choice(answer.propellers),
        }
    )


def _load(load: Load) -> dict[str, Any]:
    return {
        "what": load.what,
        "current_a": load.current_a,
        "limit_a": load.limit_a,
        "too_much": load.too_much,
    }


def _flow(flow: PowerFlow) -> dict[str, Any]:
    return {
        "source_w": flow.source_w,
        "losses_w": dict(flow.losses()),
        "stations_w": dict(flow.stations()),
        "air_w": flow.ideal_w,
        "imbalance": flow.imbalance,
    }


def _point(point: PowerPoint | None) -> dict[str, Any] | None:
    if point is None:
        return None
    return {
        "throttle": point.throttle,
        "thrust_n": point.thrust_n,
        "shaft_w": point.flow.shaft_w,
        "pack_w": point.pack_w,
        "pack_a": point.pack_a,
        "open_circuit_v": point.open_circuit_v,
        "bus_v": point.bus_v,
        "c_rate_1_h": point.c_rate_1_h,
        "deliverable": point.deliverable,
        "flow": _flow(point.flow),
        "rotors": [
            {
                **{
                    field.name: getattr(rotor, field.name)
                    for field in dataclasses.fields(rotor)
                    if field.name != "power"
                },
                **dataclasses.asdict(rotor.power),
            }
            for rotor in point.rotors
        ],
    }


def _endurance(endurance: Endurance | None) -> dict[str, Any] | None:
    if endurance is None:
        return None
    return {
        "seconds": endurance.seconds,
        "charge_left": endurance.charge_left,
        "bus_v": endurance.bus_v,
        "pack_heat_j": endurance.heat_j,
        "ended_because": endurance.ended.value,
    }


def _case(case: PowerCase) -> dict[str, Any]:
    return {
        "name": case.name,
        "density_kg_m3": case.air.density_kg_m3,
        "density_altitude_m": case.air.density_altitude_m,
        "charge": case.charge,
        "pack_temperature_k": case.temperature_k,
        "age_factor": case.age_factor,
        "full_thrust_n": case.full.thrust_n,
        "full_bus_v": case.full.bus_v,
        "usable_thrust_n": case.usable.thrust_n,
        "margin": case.margin,
        "hover_throttle": None if case.hover is None else case.hover.throttle,
        "hover_w": None if case.hover is None else case.hover.pack_w,
        "hover_bus_v": None if case.hover is None else case.hover.bus_v,
        "endurance": _endurance(case.endurance),
    }


def _option(option: PropellerOption) -> dict[str, Any]:
    data = {
        field.name: getattr(option, field.name)
        for field in dataclasses.fields(option)
        if field.name != "loads"
    }
    data["margin"] = option.margin
    data["full_throttle_loads"] = [_load(load) for load in option.loads]
    return data


def _choice(choice: PropellerChoice) -> dict[str, Any]:
    return {
        "clearance_m": choice.rules.clearance_m,
        "most_motor_a": choice.rules.most_motor_a,
        "present": _option(choice.present),
        "front": [_option(option) for option in choice.front],
        "front_if_stronger": [_option(option) for option in choice.beyond],
        "larger": [_option(option) for option in choice.larger],
        "tried": len(choice.options),
    }
