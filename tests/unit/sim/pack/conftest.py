"""A small craft file that the tests of packing change line by line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sim.physics.air.atmosphere import AirOfTheDay, air_of_the_day
from sim.spec import load_craft
from sim.spec.airframe import CraftSpec

CRAFT = """
name: packing
layout: bicopter
parts:
  - {name: spar, shape: rod, along: right, length: 0.8 m, mass: 300 g, place: {}}
  - name: sail
    shape: point
    mass: 100 g
    place: {forward: 10 cm, right: 20 cm, up: 30 cm}
    drag_area: {forward: 100 cm2, right: 200 cm2, up: 300 cm2}
every_rotor:
  propeller: {diameter: 10 in, pitch: 5 in, mass: 15 g}
  motor:
    speed_constant: 900 rpm/V
    resistance: 90 mohm
    no_load_current: 0.8 A
    current_limit: 25 A
    mass: 80 g
  speed_controller: {resistance: 5 mohm, current_limit: 30 A, mass: 25 g}
  tilt:
    axis: right
    travel: 30 deg
    hub_above_pivot: 3 cm
    servo: {slew: 0.1 s/60deg, stall_torque: 0.5 N m, mass: 35 g}
rotors:
  - {name: left, turns: clockwise, place: {right: -0.4 m, up: 1 cm}}
  - {name: right, turns: anticlockwise, place: {right: 0.4 m, up: 1 cm}}
battery:
  cells: 4
  capacity: 4 Ah
  resistance: 12 mohm
  wiring_resistance: 5 mohm
  mass: 400 g
  place: {up: -25 cm}
electronics: {idle_power: 3 W, mass: 100 g, place: {}}
legs:
  feet:
    - {forward: 20 cm, right: -20 cm, up: -30 cm}
    - {forward: 20 cm, right: 20 cm, up: -30 cm}
    - {forward: -20 cm, up: -30 cm}
controller: {loop_rate: 500 Hz, delay: 4 ms, gyro_cutoff: 80 Hz, reserved: 10 %}
"""


@pytest.fixture
def craft(tmp_path: Path) -> Callable[..., CraftSpec]:
    """Give a function that reads the craft with pieces of its text replaced."""

    def of(*changes: tuple[str, str], more: str = "") -> CraftSpec:
        text = CRAFT
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        path = tmp_path / "craft.yaml"
        path.write_text(text + more)
        return load_craft(path).spec

    return of


@pytest.fixture(scope="session")
def air() -> AirOfTheDay:
    """Give the dry standard day at sea level."""
    return air_of_the_day(temperature_k=288.15, pressure_pa=101325.0, elevation_m=0.0, humidity=0.0)
