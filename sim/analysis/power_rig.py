"""A craft on the test stand on one day with one pack: run it at throttles, or at thrusts."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, final

import numpy as np

from sim.analysis.endurance import (
    Endurance,
    RelaxationPair,
    SourceOfPower,
    time_at_power,
)
from sim.analysis.power_point import PowerPoint, pack_resistance_ohm, power_point
from sim.analysis.stand_thrust import stand_at_thrust
from sim.pack.craft import PackedCraft
from sim.pack.flight import plain_flight
from sim.pack.steady_stand import steady_stand_point
from sim.params.record import FloatArray
from sim.physics.power.pack_resistance import resistance_factor
from sim.spec.airframe import CraftSpec
from sim.spec.power import BatterySpec


@final
@dataclass(frozen=True)
class Rig:
    """What stands on the test stand.

    Attributes
    ----------
    craft, packed : the craft, and its records in the air of the day
    """

    craft: CraftSpec = field(repr=False)
    packed: PackedCraft = field(repr=False)

    @property
    def count(self) -> int:
        """Number of rotors."""
        return len(self.craft.rotors)

    @property
    def charge(self) -> float:
        """Charge of the pack [-]."""
        return self.craft.battery.charge

    @property
    def usable_throttle(self) -> float:
        """Throttle that is not kept back for levelling [-]."""
        return 1.0 - self.craft.controller.reserved

    @property
    def _flight(self) -> Any:
        return plain_flight(self.packed.air)[0]

    def at_throttle(self, name: str, throttle: float) -> PowerPoint:
        """Run all rotors at a throttle [-]."""
        each = np.full(self.count, throttle)
        point = steady_stand_point(self.packed.record, self._flight, each, charge=self.charge)
        return power_point(self.craft, self.packed, name, each, point, charge=self.charge)

    def at_thrust(self, name: str, wanted_n: FloatArray) -> PowerPoint | None:
        """Run each rotor at its thrust [N]; None when full throttle does not reach them."""
        found = stand_at_thrust(self.packed.record, self._flight, wanted_n, charge=self.charge)
        if found is None:
            return None
        return power_point(
            self.craft, self.packed, name, found.throttle, found.point, charge=self.charge
        )

    def with_battery(self, battery: BatterySpec) -> Rig:
        """Put another pack on the stand, of the same cells and mass."""
        craft = self.craft.model_copy(update={"battery": battery})
        records = self.packed.records.copy()
        records[0].battery.resistance_ohm = (
            pack_resistance_ohm(craft) + battery.wiring_resistance_ohm.value
        )
        return Rig(craft, replace(self.packed, records=records, charge=battery.charge))

    def without_current_limits(self) -> Rig:
        """Let the motors draw what they would without anything that holds their current."""
        records = self.packed.records.copy()
        records["rotor"]["current_limit_a"] = np.inf
        return Rig(self.craft, replace(self.packed, records=records))

    def endurance(self, hover: PowerPoint) -> Endurance:
        """Give the time that the pack keeps up a point, to its reserve or its last throttle."""
        battery: Any = self.packed.record.battery
        pack = self.craft.battery
        factor = resistance_factor(pack.temperature_k, pack.age_factor)
        pair = pack.relaxation
        source = SourceOfPower(
            open_circuit_v=np.ascontiguousarray(battery.open_circuit_v),
            capacity_a_s=float(battery.capacity_a_s),
            resistance_ohm=float(battery.resistance_ohm),
            wiring_ohm=pack.wiring_resistance_ohm.value,
            pair=None
            if pair is None
            else RelaxationPair(factor * pair.resistance_ohm, pair.time_constant_s),
            charge=pack.charge,
            reserve=pack.reserve,
        )
        ends = (
            rotor.duty * hover.bus_v / (spec.speed_controller.full_command * self.usable_throttle)
            for rotor, spec in zip(hover.rotors, self.craft.rotors, strict=True)
        )
        return time_at_power(source, hover.pack_w, max(ends))
