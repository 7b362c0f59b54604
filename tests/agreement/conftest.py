"""Hover trims and linear models of the shipped craft, each found once for all agreement tests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from sim.analysis.linear_loop import ClosedLoop
from sim.analysis.linearise import LinearModel, linearise
from sim.analysis.loop_breaks import all_margins
from sim.analysis.loop_margins import LoopMargins
from sim.analysis.trim import Trim, find_trim
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import plain_flight
from sim.physics.air.atmosphere import air_of_the_day
from sim.spec import load_craft

SWING_M_S = 0.2


@dataclass(frozen=True)
class Hover:
    """One craft in still air: records, steady hover, its linear model and margins."""

    packed: PackedCraft
    trim: Trim
    model: LinearModel
    closed: ClosedLoop
    margins: dict[str, LoopMargins]

    @property
    def craft(self) -> Any:
        """A copy of the craft record, in an array of one, that a test may change."""
        return self.trim.crafts.copy()

    @property
    def flight(self) -> Any:
        """A copy of the flight record, in an array of one, that a test may change."""
        return self.trim.flights.copy()

    @property
    def start(self) -> Any:
        """A copy of the steady state, in an array of one, that a test may change."""
        return self.trim.state.copy()


@pytest.fixture(scope="session")
def packed(repository: Path) -> Callable[[str], PackedCraft]:
    """Give a function from the name of a shipped craft file to its records (standard day)."""
    air = air_of_the_day(temperature_k=288.15, pressure_pa=101325.0, elevation_m=0.0, humidity=0.0)

    @cache
    def of(name: str) -> PackedCraft:
        return pack_craft(load_craft(repository / "airframes" / f"{name}.yaml").spec, air)

    return of


@pytest.fixture(scope="session")
def hover(packed: Callable[[str], PackedCraft]) -> Callable[[str], Hover]:
    """Give a function from the name of a shipped craft file to its hover."""

    @cache
    def of(name: str) -> Hover:
        found = packed(name)
        trim = find_trim(
            found.record, plain_flight(found.air)[0], charge=found.charge, swing_m_s=SWING_M_S
        )
        model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
        closed, margins = all_margins(model)
        return Hover(found, trim, model, closed, margins)

    return of
