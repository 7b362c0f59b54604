"""Values of options that are quantities with units, refused like those of a file."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, Final

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.spec.files import LoadedScenario


HIGHEST_FLIGHT: Final = 10**12
"""Highest number of a flight that can be asked for; random numbers would bear 2^63 - 1."""


def _read(option: str, text: str | None, hint: Any, kept: float, faults: list[Fault]) -> float:
    """Read an option; without it, or with a fault, which is noted, give what is kept instead."""
    from pydantic import TypeAdapter, ValidationError  # noqa: PLC0415

    if text is None:
        return kept
    try:
        value: float = TypeAdapter(hint).validate_python(text)
    except ValidationError as problem:
        words = "; ".join(error["msg"] for error in problem.errors(include_url=False))
        faults.append(Fault(option, 0, 0, words))
        return kept
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
        When one of them, or both, cannot be read.
    """
    from sim.analysis.wind_flights import Wind, in_wind  # noqa: PLC0415
    from sim.spec.wind import Bearing, WindSpeed  # noqa: PLC0415

    now = scenario.spec.wind
    faults: list[Fault] = []
    blown = Wind(
        _read("--wind", wind, WindSpeed, now.mean_m_s, faults),
        _read("--from", bearing, Bearing, now.from_rad, faults),
    )
    if faults:
        raise InputFaults(tuple(faults))
    return dataclasses.replace(scenario, spec=in_wind(scenario.spec, blown))
