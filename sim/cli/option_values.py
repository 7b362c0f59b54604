"""Values of options that are quantities with units, refused like those of a file."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.spec.files import LoadedScenario


def _read(option: str, text: str, hint: Any) -> float:
    from pydantic import TypeAdapter, ValidationError  # noqa: PLC0415

    try:
        value: float = TypeAdapter(hint).validate_python(text)
    except ValidationError as problem:
        words = "; ".join(error["msg"] for error in problem.errors(include_url=False))
        raise InputFaults((Fault(option, 0, 0, words),)) from problem
    return value


def turned_scenario(
    scenario: LoadedScenario, wind: str | None, bearing: str | None
) -> LoadedScenario:
    """Give a scenario with another wind, as options say.

    Parameters
    ----------
    scenario : LoadedScenario
        As read.
    wind : str or None
        Mean wind, such as `4.5 m/s`; None keeps the scenario's.
    bearing : str or None
        Where it comes from, such as `west` or `270 deg`.

    Raises
    ------
    InputFaults
        When one of them cannot be read.
    """
    from sim.analysis.wind_flights import Wind, in_wind  # noqa: PLC0415
    from sim.spec.wind import Bearing, WindSpeed  # noqa: PLC0415

    now = scenario.spec.wind
    blown = Wind(
        now.mean_m_s if wind is None else _read("--wind", wind, WindSpeed),
        now.from_rad if bearing is None else _read("--from", bearing, Bearing),
    )
    return dataclasses.replace(scenario, spec=in_wind(scenario.spec, blown))
