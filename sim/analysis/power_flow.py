"""Where the watts of the pack go, from the cells to the air, every loss by its name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final


@final
@dataclass(frozen=True)
class RotorPower:
    """Watts of one rotor, from the bus to the air.

    Attributes
    ----------
    bus_w : float
        [W] Taken from the bus by its speed controller.
    controller_heat_w, winding_heat_w : float
        [W] Loss in the resistances of speed controller and winding.
    free_running_w : float
        [W] Iron and friction, i0 times the motor's own voltage.
    shaft_w : float
        [W] Torque of the air times speed.
    ideal_w : float
        [W] Least power that gives this thrust with this disc (momentum theory).
    """

    bus_w: float
    controller_heat_w: float
    winding_heat_w: float
    free_running_w: float
    shaft_w: float
    ideal_w: float

    @property
    def blade_loss_w(self) -> float:
        """Shaft power that makes no thrust [W]: drag of blades, swirl, tips, uneven flow."""
        return self.shaft_w - self.ideal_w


@final
@dataclass(frozen=True)
class PowerFlow:
    """Watts of the whole craft at one operating point.

    Attributes
    ----------
    source_w : float
        [W] Open-circuit volts times pack current: what the cells give.
    pack_heat_w, wiring_heat_w : float
        [W] Loss in pack and wiring.
    electronics_w : float
        [W] Load that is always on.
    rotors : tuple of RotorPower
        In the order of the craft file.
    """

    source_w: float
    pack_heat_w: float
    wiring_heat_w: float
    electronics_w: float
    rotors: tuple[RotorPower, ...]

    @property
    def controller_heat_w(self) -> float:
        """Loss in all speed controllers [W]."""
        return sum(rotor.controller_heat_w for rotor in self.rotors)

    @property
    def winding_heat_w(self) -> float:
        """Loss in all windings [W]."""
        return sum(rotor.winding_heat_w for rotor in self.rotors)

    @property
    def free_running_w(self) -> float:
        """Iron and friction loss of all motors [W]."""
        return sum(rotor.free_running_w for rotor in self.rotors)

    @property
    def shaft_w(self) -> float:
        """Power of all shafts [W]."""
        return sum(rotor.shaft_w for rotor in self.rotors)

    @property
    def blade_loss_w(self) -> float:
        """Shaft power that makes no thrust [W]."""
        return sum(rotor.blade_loss_w for rotor in self.rotors)

    @property
    def ideal_w(self) -> float:
        """Least power for these thrusts [W]."""
        return sum(rotor.ideal_w for rotor in self.rotors)

    def losses(self) -> tuple[tuple[str, float], ...]:
        """Give name and watts [W] of each loss, in the order in which they occur."""
        return (
            ("heat in the pack", self.pack_heat_w),
            ("heat in wiring and connectors", self.wiring_heat_w),
            ("electronics", self.electronics_w),
            ("heat in the speed controllers", self.controller_heat_w),
            ("heat in the windings", self.winding_heat_w),
            ("iron and friction of the motors", self.free_running_w),
            ("blade drag, swirl and tips", self.blade_loss_w),
        )

    def stations(self) -> tuple[tuple[str, float], ...]:
        """Give name and watts [W] of what passes each station, from the cells to the air."""
        leads = self.source_w - self.pack_heat_w
        bus = leads - self.wiring_heat_w
        controllers = sum(rotor.bus_w for rotor in self.rotors)
        motors = controllers - self.controller_heat_w
        return (
            ("cells", self.source_w),
            ("pack leads", leads),
            ("speed controllers and electronics", bus),
            ("motors", motors),
            ("shafts", self.shaft_w),
            ("air, pushed down", self.ideal_w),
        )

    @property
    def imbalance(self) -> float:
        """What is left over [-] when all that goes out is taken from the source, as a share of it.

        Electric side and shaft side come from different laws (bus, motor, blades), so that this
        closes only where the point is steady and the bus is solved.
        """
        out = sum(watts for _, watts in self.losses()) + self.ideal_w
        return (self.source_w - out) / self.source_w if self.source_w > 0.0 else 0.0
