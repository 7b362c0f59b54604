"""What the craft of the file would show on the bench, with one thing or another changed.

Everything comes from the stand of the step: the same rotors, motors and pack as in flight.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.bench_causes import CauseKind
from sim.pack.craft import PackedCraft
from sim.pack.flight import plain_flight
from sim.params.record import FloatArray
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.physics.power.pack_resistance import cold_factor
from sim.spec.airframe import CraftSpec
from sim.spec.bench import ALL_MOTORS, ReadingSpec
from sim.spec.quantity import Uncertain
from sim.step.steady_stand import settle_points

STAND_HEIGHT_M: Final = 100.0
FIRST_SPEED_RAD_S: Final = 200.0
LEAST_SHARE: Final = 0.05

# One standard deviation of what the file does not give a spread of; common practice, no source.
FLOORS: Final = {
    "speed_constant": 0.01,
    "motor_resistance": 0.05,
    "pack_resistance": 0.10,
    "wiring_resistance": 0.10,
    "thrust": 0.01,
    "torque": 0.01,
    "charge": 0.02,
    "idle_power": 0.05,
}
UNKNOWNS: Final = tuple(FLOORS)
_KV, _WINDING, _PACK, _WIRING, _THRUST, _TORQUE, _CHARGE, _IDLE = range(len(UNKNOWNS))
_CHANGED: Final = (
    "speed_constant_rad_s_v",
    "resistance_ohm",
    "thrust_factor",
    "torque_factor",
    "current_limit_a",
)
_HALF: Final = 0.5
SHOWN: Final = ("volts", "volts_at_controllers", "amps", "watts", "thrust", "rpm", "idle_power")
METERED: Final = ("amps", "watts")


@final
@dataclass(frozen=True)
class Condition:
    """How the craft is run for a reading.

    Attributes
    ----------
    throttle : float
        [-] Command.
    motor : int or None
        The one that runs; None: all.
    straight : bool
        The command bypasses the flight controller.
    learned_again : bool
        After the speed controllers learned their end points anew.
    charge : float
        [-] Of the pack.
    cold_factor : float
        [-] Resistance of the pack over that in the file, for its temperature.
    """

    throttle: float
    motor: int | None
    straight: bool
    learned_again: bool
    charge: float
    cold_factor: float = 1.0


@final
@dataclass(frozen=True)
class Wanted:
    """One figure of one condition: its key in the file, and whether a second meter reads it."""

    point: int
    quantity: str
    other_meter: bool = False


def condition_of(reading: ReadingSpec, craft: CraftSpec) -> Condition:
    """Give the condition of a reading of the file."""
    names = [rotor.name for rotor in craft.rotors]
    warmth = reading.pack_temperature_k
    cold = 1.0
    if warmth is not None:
        cold = cold_factor(warmth.value) / cold_factor(craft.battery.temperature_k)
    return Condition(
        throttle=reading.throttle,
        motor=None if reading.motors == ALL_MOTORS else names.index(reading.motors),
        straight=reading.through == "speed_controller",
        learned_again=reading.end_points == "learned_again",
        charge=craft.battery.charge if reading.charge is None else reading.charge,
        cold_factor=cold,
    )


def _relative(given: Uncertain, name: str) -> float:
    return max(_HALF * given.plus_minus / given.value, FLOORS[name])


def unknown_spreads(craft: CraftSpec) -> FloatArray:
    """Give one standard deviation of each of `UNKNOWNS`, from the spreads in the file.

    Shares of the value; the charge's is a share of the capacity. A value without a spread is
    believed as far as `FLOORS` says.
    """
    rotor = craft.rotors[0]
    spreads = dict(FLOORS)
    spreads["speed_constant"] = _relative(rotor.motor.speed_constant_rad_s_V, "speed_constant")
    spreads["motor_resistance"] = _relative(rotor.motor.resistance_ohm, "motor_resistance")
    spreads["pack_resistance"] = _relative(craft.battery.resistance_ohm, "pack_resistance")
    wiring = craft.battery.wiring_resistance_ohm
    spreads["wiring_resistance"] = _relative(wiring, "wiring_resistance")
    spreads["thrust"] = _relative(rotor.propeller.thrust_factor, "thrust")
    spreads["torque"] = _relative(rotor.propeller.torque_factor, "torque")
    return np.array([spreads[name] for name in UNKNOWNS])


@final
class Stand:
    """A craft on the stand, run at many conditions at once for any changes to it.

    Parameters
    ----------
    craft : CraftSpec
    packed : PackedCraft
        The same craft, packed.
    conditions : tuple of Condition
        How it is run.
    """

    def __init__(
        self, craft: CraftSpec, packed: PackedCraft, conditions: tuple[Condition, ...]
    ) -> None:
        self.conditions = conditions
        self.count = len(craft.rotors)
        self.reserved = craft.controller.reserved
        self.wiring_ohm = craft.battery.wiring_resistance_ohm.value
        self.pack_ohm = float(packed.record.battery.resistance_ohm) - self.wiring_ohm
        self._craft = packed.records.copy()
        self._one = np.ones(self.count)
        self._now = {name: self._craft["rotor"][name][0, : self.count] for name in _CHANGED}
        self._base = {name: values.copy() for name, values in self._now.items()}
        self._idle_w = float(packed.record.battery.electronics_w)
        flights = plain_flight(packed.air)
        flights["keeps_charge"] = 1
        self._flights = flights
        self._states = np.zeros(len(conditions), dtype=STATE_TYPE)
        self._works = np.zeros(len(conditions), dtype=WORK_TYPE)
        self._states["body"]["attitude"][:, 0] = 1.0
        self._states["body"]["position_m"][:, 2] = -STAND_HEIGHT_M
        self._charge = np.array([c.charge for c in conditions])
        self._cold = np.array([c.cold_factor for c in conditions])
        self._command = np.array([c.throttle for c in conditions])
        self._straight = np.array([c.straight for c in conditions], dtype=bool)
        self._again = np.array([c.learned_again for c in conditions], dtype=bool)
        self._ones = np.ones(len(conditions))
        self._runs = np.zeros((len(conditions), self.count))
        for k, condition in enumerate(conditions):
            self._runs[k, slice(None) if condition.motor is None else condition.motor] = 1.0
        self._running = np.sum(self._runs, axis=1)
        self.full_current_a = float(np.max(packed.full.current_a))
        most = float(np.max(self._base["current_limit_a"]))
        self.file_limit_log = math.log(most / self.full_current_a)
        full_command = packed.records["rotor"]["full_command"][0, : self.count]
        self.file_end_points = 1.0 - float(np.mean(full_command))
        self.steady = True

    def run(
        self, unknown: FloatArray, changes: Mapping[tuple[CauseKind, int | None], float]
    ) -> Reached:
        """Run all conditions with the craft changed.

        Parameters
        ----------
        unknown : ndarray, shape (UNKNOWNS,)
            [-] Logarithm of the factor on each of `UNKNOWNS`; of the charge, what is added.
        changes : Mapping
            Parameter of each cause by kind and rotor; see `Cause`. END_POINTS with rotor -1 is
            what is lost after the end points were learned again.
        """
        n = self.count
        now, base = self._now, self._base

        def change(kind: CauseKind) -> float:
            return changes.get((kind, None), 0.0)

        kv = self._one * (unknown[_KV] + change(CauseKind.SPEED_CONSTANT))
        duty = self._one.copy()
        for (kind, index), value in changes.items():
            if kind is CauseKind.ONE_MOTOR and index is not None:
                kv[index] += value
            if kind is CauseKind.ONE_END_POINT and index is not None:
                duty[index] = 1.0 - value
        load = change(CauseKind.PROPELLER_LOAD)
        winding = unknown[_WINDING] + change(CauseKind.MOTOR_RESISTANCE)
        pull = unknown[_THRUST] + load + change(CauseKind.PROPELLER_THRUST)
        now["speed_constant_rad_s_v"][:] = base["speed_constant_rad_s_v"] * np.exp(kv)
        now["resistance_ohm"][:] = base["resistance_ohm"] * math.exp(winding)
        now["thrust_factor"][:] = base["thrust_factor"] * math.exp(pull)
        now["torque_factor"][:] = base["torque_factor"] * math.exp(unknown[_TORQUE] + load)
        limited = (CauseKind.CURRENT_LIMIT, None) in changes
        held = self.full_current_a * math.exp(change(CauseKind.CURRENT_LIMIT))
        now["current_limit_a"][:] = np.minimum(base["current_limit_a"], held if limited else np.inf)
        idle = self._idle_w * math.exp(unknown[_IDLE])
        self._craft["battery"]["electronics_w"] = idle
        pack = self.pack_ohm * math.exp(unknown[_PACK] + change(CauseKind.PACK_SAG))
        wiring = self.wiring_ohm * math.exp(unknown[_WIRING]) + change(CauseKind.WIRING)
        states, works = self._states, self._works
        throttle = self._throttle(changes, duty)
        states["rotor"]["throttle"][:, :n] = throttle
        # What was steady before is the first guess, unless it stood still.
        speeds = states["rotor"]["speed_rad_s"][:, :n]
        speeds[...] = np.where(throttle > 0.0, np.maximum(speeds, FIRST_SPEED_RAD_S), 0.0)
        charge = self._charge + unknown[_CHARGE]
        states["charge"] = np.minimum(np.maximum(charge, LEAST_SHARE), 1.0)
        packs = pack * self._cold
        self.steady = settle_points(self._craft, self._flights, states, works, packs + wiring)
        amps, bus = works["pack_a"], works["bus_v"]
        pack_v = bus + amps * wiring
        thrust = (works["rotor"]["thrust_n"][:, :n] * self._runs) @ self._one
        speed = (speeds * self._runs) @ self._one / self._running
        shown = np.array([pack_v, bus, amps, amps * pack_v, thrust, speed, self._ones * idle])
        return Reached(shown, math.exp(change(CauseKind.METER)))

    def _throttle(
        self, changes: Mapping[tuple[CauseKind, int | None], float], duty: FloatArray
    ) -> FloatArray:
        """Give the throttle [-] of every motor at every condition.

        The record's motors still have the file's full command, so a share of full volts is divided
        by it. What the flight controller withholds is a ceiling, as the mixer has it.
        """
        kept = 1.0 - changes.get((CauseKind.WITHHELD, None), self.reserved)
        file_end = 1.0 - self.file_end_points
        end = 1.0 - changes.get((CauseKind.END_POINTS, None), self.file_end_points)
        again = 1.0 - changes.get((CauseKind.END_POINTS, -1), self.file_end_points)
        command = np.where(self._straight, self._command, np.minimum(self._command, kept))
        shares = np.where(self._again[:, None], again, end * duty) / file_end
        throttle: FloatArray = command[:, None] * shares * self._runs
        return throttle


@final
@dataclass(frozen=True)
class Reached:
    """Steady running at every condition.

    Attributes
    ----------
    shown : ndarray, shape (SHOWN, points)
        What true instruments show, in the order of `SHOWN`, in SI units.
    meter : float
        [-] What the current meter shows over what flows.
    """

    shown: FloatArray
    meter: float

    def figures(self, wanted: Readout) -> FloatArray:
        """Give what the instruments would show."""
        figures: FloatArray = self.shown[wanted.row, wanted.point]
        return np.where(wanted.metered, figures * self.meter, figures)

    def figure(self, quantity: str, point: int = 0) -> float:
        """Give what a true instrument would show."""
        return float(self.shown[SHOWN.index(quantity), point])


@final
class Readout:
    """Which figures are wanted, as indices into `Reached.shown`."""

    def __init__(self, wanted: tuple[Wanted, ...]) -> None:
        self.wanted = wanted
        self.row = np.array([SHOWN.index(one.quantity) for one in wanted], dtype=np.int64)
        self.point = np.array([one.point for one in wanted], dtype=np.int64)
        self.metered = np.array(
            [one.quantity in METERED and not one.other_meter for one in wanted], dtype=bool
        )
