"""Readings that cannot all be right, whatever is wrong with the craft; each called by name."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import Final

from sim.pack.craft import PackedCraft
from sim.physics.rotor.momentum import ideal_hover_power
from sim.spec.airframe import CraftSpec
from sim.spec.bench import ALL_MOTORS, ReadingSpec
from sim.spec.quantity import Uncertain
from sim.spec.unit_table import KINDS

MOST_SIGMA: Final = 3.0
_RPM: Final = KINDS["rotation"].units["rpm"].factor
_SHOWN: Final = {
    "volts": ("V", 1.0),
    "volts_at_controllers": ("V", 1.0),
    "amps": ("A", 1.0),
    "watts": ("W", 1.0),
    "thrust": ("N", 1.0),
    "rpm": ("rpm", 1.0 / _RPM),
    "idle_power": ("W", 1.0),
}


def reading_name(reading: ReadingSpec, number: int) -> str:
    """Give a reading's place in the file and how it was taken, in words."""
    who = "all motors" if reading.motors == ALL_MOTORS else f"'{reading.motors}' alone"
    how = f"{100.0 * reading.throttle:g} % throttle, {who}"
    if reading.through == "speed_controller":
        how += ", straight to the speed controllers"
    if reading.end_points == "learned_again":
        how += ", end points learned again"
    return f"reading {number} ({how})"


def _shown(key: str, value: float) -> str:
    unit, factor = _SHOWN[key]
    return f"{value * factor:.4g} {unit}"


def _beyond(gap: float, *spreads: float) -> bool:
    """Tell whether a gap is more than three standard deviations of its parts together."""
    return gap > MOST_SIGMA * 0.5 * math.hypot(*spreads)


def inconsistencies(craft: CraftSpec, packed: PackedCraft) -> tuple[str, ...]:
    """Name every reading, or pair, that contradicts physics or another beyond three sigma.

    Parameters
    ----------
    craft : CraftSpec
        With a bench section.
    packed : PackedCraft
        For disc areas, air and the pack's volts.
    """
    assert craft.bench is not None
    found: list[str] = []
    readings = craft.bench.readings
    for number, reading in enumerate(readings, 1):
        name = reading_name(reading, number)
        found += [f"{name}: {words}" for words in _within(reading, craft, packed)]
    for (i, first), (j, second) in combinations(enumerate(readings, 1), 2):
        found += _between(first, i, second, j)
    return tuple(found)


def _within(reading: ReadingSpec, craft: CraftSpec, packed: PackedCraft) -> Iterator[str]:
    got = reading.measured()
    yield from _electric(got)
    yield from _momentum(reading, got, craft, packed)
    most = float(packed.record.battery.open_circuit_v[-1])
    for key in ("volts", "volts_at_controllers"):
        if key in got and _beyond(got[key].value - most, got[key].plus_minus):
            yield f"{key} {_shown(key, got[key].value)} is above the {most:.4g} V of the full pack"


def _electric(got: dict[str, Uncertain]) -> Iterator[str]:
    volts, amps, watts = got.get("volts"), got.get("amps"), got.get("watts")
    if volts is not None and amps is not None and watts is not None:
        product = volts.value * amps.value
        from_volts, from_amps = volts.plus_minus * amps.value, amps.plus_minus * volts.value
        if _beyond(abs(product - watts.value), watts.plus_minus, from_volts, from_amps):
            yield (
                f"amps times volts is {product:.4g} W, but the watts read {watts.value:.4g} W;"
                " they differ by more than their uncertainty"
            )
    inner = got.get("volts_at_controllers")
    idle = got.get("idle_power")
    pairs = (
        (inner, volts, "volts at the speed controllers", "volts at the pack", "V"),
        (idle, watts, "idle power", "watts", "W"),
    )
    for low, high, low_name, high_name, unit in pairs:
        if low is None or high is None:
            continue
        if _beyond(low.value - high.value, low.plus_minus, high.plus_minus):
            yield (
                f"{low_name} {low.value:.4g} {unit} are above {high_name} {high.value:.4g} {unit}"
            )


def power_read(got: dict[str, Uncertain]) -> Uncertain | None:
    """Give the watts read, or those that follow from volts and amps."""
    if "watts" in got:
        return got["watts"]
    if "volts" in got and "amps" in got:
        volts, amps = got["volts"], got["amps"]
        spread = math.hypot(volts.plus_minus * amps.value, amps.plus_minus * volts.value)
        return Uncertain(volts.value * amps.value, spread)
    return None


def _momentum(
    reading: ReadingSpec, got: dict[str, Uncertain], craft: CraftSpec, packed: PackedCraft
) -> Iterator[str]:
    """No rotor gives more thrust than P = T sqrt(T / (2 rho A)) (Rankine 1865, Froude 1889)."""
    thrust, watts = got.get("thrust"), power_read(got)
    if thrust is None or watts is None:
        return
    runs = [i for i, rotor in enumerate(craft.rotors) if reading.motors in {ALL_MOTORS, rotor.name}]
    area = sum(math.pi * float(packed.record.rotor[i].radius_m) ** 2 for i in runs)
    ideal = ideal_hover_power(thrust.value, packed.air.density_kg_m3, area)
    spread = 1.5 * ideal * thrust.plus_minus / thrust.value if thrust.value > 0.0 else 0.0
    if _beyond(ideal - watts.value, spread, watts.plus_minus):
        yield (
            f"thrust {thrust.value:.4g} N is above the momentum limit: with these propellers it"
            f" takes at least {ideal:.4g} W, but {watts.value:.4g} W were read"
        )


def _between(first: ReadingSpec, i: int, second: ReadingSpec, j: int) -> Iterator[str]:
    same = ("motors", "throttle", "through", "end_points", "charge")
    if any(getattr(first, key) != getattr(second, key) for key in same):
        return
    one, other = first.measured(), second.measured()
    for key in one.keys() & other.keys() & _SHOWN.keys():
        a, b = one[key], other[key]
        if _beyond(abs(a.value - b.value), a.plus_minus, b.plus_minus):
            yield (
                f"readings {i} and {j} were taken alike, but show {key}"
                f" {_shown(key, a.value)} and {_shown(key, b.value)}"
            )
