"""Currents of an operating point against what motors, controllers, pack and wiring bear."""

from __future__ import annotations

from typing import NamedTuple

from sim.analysis.power_point import PowerPoint
from sim.spec.power import BatterySpec


class Load(NamedTuple):
    """A current against what bears it.

    Attributes
    ----------
    part, rotor : str
        Such as "motor" and "left"; the rotor is empty for pack and wiring.
    current_a : float
        [A] Asked for.
    limit_a : float or None
        [A] None when it is not known.
    """

    part: str
    rotor: str
    current_a: float
    limit_a: float | None

    @property
    def what(self) -> str:
        """Part and rotor in one, such as "motor left"."""
        return f"{self.part} {self.rotor}".rstrip()

    @property
    def too_much(self) -> bool | None:
        """Whether the limit is passed; None when it is not known."""
        return None if self.limit_a is None else self.current_a > self.limit_a

    @property
    def sentence(self) -> str:
        """Words such as "motor left draws 31 A of 28 A"."""
        limit = "an unknown limit" if self.limit_a is None else f"{self.limit_a:.3g} A"
        return f"{self.what}: {self.current_a:.1f} A of {limit}"


def loads(
    point: PowerPoint, battery: BatterySpec, most_motor_a: float | None = None
) -> tuple[Load, ...]:
    """Give every current of a point with its limit; of equal rotors the one that draws most.

    Parameters
    ----------
    point : PowerPoint
        Run without current limits, so that it shows what would be drawn.
    battery : BatterySpec
        Its limits, those of the wiring included.
    most_motor_a : float, optional
        [A] A stated limit for each motor, in place of the motors' own where it is less.
    """
    kinds: dict[tuple[float, float], tuple[float, str]] = {}
    for rotor in point.rotors:
        kind = (rotor.motor_limit_a, rotor.controller_limit_a)
        kinds[kind] = max(kinds.get(kind, (-1.0, "")), (rotor.motor_a, rotor.name))
    found: list[Load] = []
    for (motor_a, controller_a), (current, name) in kinds.items():
        limit = motor_a if most_motor_a is None else min(motor_a, most_motor_a)
        found.append(Load("motor", name, current, limit))
        found.append(Load("speed controller", name, current, controller_a))
    found.append(Load("pack", "", point.pack_a, battery.current_limit_a))
    found.append(Load("wiring", "", point.pack_a, battery.wiring_current_limit_a))
    return tuple(found)


def overloads(found: tuple[Load, ...]) -> tuple[Load, ...]:
    """Give the loads that pass their limit."""
    return tuple(load for load in found if load.too_much)
