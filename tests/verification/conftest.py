"""Craft records stripped down to what a closed form describes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sim.pack.craft import PackedCraft, pack_craft
from sim.physics.air.atmosphere import AirOfTheDay, air_of_the_day
from sim.spec import load_craft


@pytest.fixture(scope="session")
def standard_air() -> AirOfTheDay:
    """Give the standard atmosphere at sea level, dry."""
    return air_of_the_day(temperature_k=288.15, pressure_pa=101325.0, elevation_m=0.0, humidity=0.0)


@pytest.fixture(scope="session")
def shipped(repository: Path, standard_air: AirOfTheDay) -> Callable[[str], PackedCraft]:
    """Give a function from the name of a shipped craft file to its records."""

    def of(name: str) -> PackedCraft:
        return pack_craft(load_craft(repository / "airframes" / f"{name}.yaml").spec, standard_air)

    return of


@pytest.fixture(scope="session")
def without_drag() -> Callable[[Any], Any]:
    """Give a function that copies a craft record without parts in the wind and without fabric.

    Nothing blocks its discs either.
    """

    def of(craft: Any) -> Any:
        bare = np.array([craft], dtype=craft.dtype)
        bare["body_count"] = 0
        bare["foot_count"] = 0
        bare["rotor"]["blockage_change"] = 0.0
        drape = bare["drape"]
        drape["panel_count"], drape["rim_count"] = 0, 0
        return bare

    return of


@pytest.fixture(scope="session")
def flattened(without_drag: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Give a function that copies a craft record with rotors that only pull along their axes.

    Thrust, torque and induced flow are those of hover in any flow and at any speed; no part is in
    the wind, there is no fabric, no in-plane force and no hub moment.
    """

    def of(craft: Any) -> Any:
        flat = without_drag(craft)
        for chart in flat[0].rotor_map:
            if chart.reference_speed_rad_s <= 0.0:
                continue
            at_rest = round(-float(chart.axial_min) / float(chart.axial_step))
            for name in ("thrust", "torque", "induced"):
                chart.node[name][:] = float(chart.node[name][at_rest, 0])
            for name in ("in_plane_force", "rolling_moment", "pitching_moment"):
                chart.node[name][:] = 0.0
            chart.thrust_speed_slope = 0.0
            chart.torque_speed_slope = 0.0
        return flat

    return of
