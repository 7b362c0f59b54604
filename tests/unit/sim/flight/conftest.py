"""One small craft and a hover, shared by the tests of flights."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from sim.analysis.trim import find_trim
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import plain_flight
from sim.physics.air.atmosphere import air_of_the_day
from sim.spec import load_craft


@pytest.fixture(scope="session")
def bare(repository: Path) -> PackedCraft:
    """Give the bare two-rotor craft on a standard day."""
    air = air_of_the_day(temperature_k=288.15, pressure_pa=101325.0, elevation_m=0.0, humidity=0.0)
    return pack_craft(load_craft(repository / "airframes" / "bare_bicopter.yaml").spec, air)


@pytest.fixture(scope="session")
def draped(repository: Path) -> PackedCraft:
    """Give the jellyfish on two rotors on a standard day."""
    air = air_of_the_day(temperature_k=288.15, pressure_pa=101325.0, elevation_m=0.0, humidity=0.0)
    return pack_craft(load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec, air)


@pytest.fixture(scope="session")
def hover(bare: PackedCraft) -> Any:
    """Give the bare craft's steady state at 2 m in still air."""
    return find_trim(bare.record, plain_flight(bare.air)[0], charge=1.0).state
