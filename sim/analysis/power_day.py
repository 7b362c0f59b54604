"""What air and pack a craft is asked about: the day, a hot and high one, and tired packs."""

from __future__ import annotations

from typing import Final, NamedTuple

from sim.physics.air.atmosphere import AirOfTheDay, air_of_the_day
from sim.spec.power import BatterySpec

HOT_K: Final = 308.15
HIGH_M: Final = 1500.0
HUMID: Final = 0.8
FREEZING_K: Final = 273.15
HALF: Final = 0.5
OLD: Final = 2.0


class PackCase(NamedTuple):
    """A state that a pack may be in.

    Attributes
    ----------
    name : str
    battery : BatterySpec
    """

    name: str
    battery: BatterySpec


def hot_high_humid() -> AirOfTheDay:
    """Give the air at 35 degC, 1500 m and 80 % humidity, a hard summer day in the hills."""
    return air_of_the_day(HOT_K, None, HIGH_M, HUMID)


def pack_cases(battery: BatterySpec) -> tuple[PackCase, ...]:
    """Give the pack full, unless it is, and in four worse states.

    Those are half charged, at 0 degC, with twice the resistance by age, and all three at once. A
    pack that the file makes colder or emptier than that stays so.

    Parameters
    ----------
    battery : BatterySpec
    """
    full = battery.model_copy(update={"charge": 1.0})
    half = {"charge": min(battery.charge, HALF)}
    cold = {"temperature_k": min(battery.temperature_k, FREEZING_K)}
    old = {"age_factor": OLD * battery.age_factor}
    return (
        *(() if full == battery else (PackCase("full", full),)),
        PackCase("half charged", full.model_copy(update=half)),
        PackCase("at 0 degC", full.model_copy(update=cold)),
        PackCase("twice as resistive by age", full.model_copy(update=old)),
        PackCase("all three", full.model_copy(update={**half, **cold, **old})),
    )
