"""Hovers of two shipped craft, found once for the tests of what is concluded from them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from sim.analysis.trim import Trim, find_trim
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import plain_flight
from sim.physics.air.atmosphere import AirOfTheDay, air_of_the_day
from sim.spec import load_craft
from sim.spec.airframe import CraftSpec


@dataclass(frozen=True)
class Hover:
    """A craft as written, as packed, and hovering."""

    spec: CraftSpec
    packed: PackedCraft
    trim: Trim


@pytest.fixture(scope="session")
def air() -> AirOfTheDay:
    """Give the dry standard day at sea level."""
    return air_of_the_day(temperature_k=288.15, pressure_pa=101325.0, elevation_m=0.0, humidity=0.0)


@pytest.fixture(scope="session")
def spec_of(repository: Path) -> Callable[[str], CraftSpec]:
    """Give a function from the name of a shipped craft to what its file says."""
    return lambda name: load_craft(repository / "airframes" / f"{name}.yaml").spec


@pytest.fixture(scope="session")
def hover(spec_of: Callable[[str], CraftSpec], air: AirOfTheDay) -> Callable[[str], Hover]:
    """Give a function from the name of a shipped craft to its hover."""

    @cache
    def of(name: str) -> Hover:
        spec = spec_of(name)
        packed = pack_craft(spec, air)
        flight = plain_flight(air)[0]
        trim = find_trim(packed.record, flight, charge=packed.charge, swing_m_s=0.2)
        return Hover(spec, packed, trim)

    return of
