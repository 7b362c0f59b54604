"""How long a pack carries a constant power, with its quick sag, its slow sag and its last volts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import Any, Final, NamedTuple, final

import numpy as np
from scipy.integrate import solve_ivp

from sim.params.record import FloatArray
from sim.physics.power.battery import most_power, open_circuit_voltage, pack_current

PACK_HEAT_J_KG_K: Final = 1000.0
_LONGEST_S: Final = 1e6
_TOLERANCE: Final = 1e-9


class EndOfFlight(Enum):
    """What ends a hover."""

    RESERVE = "the reserve is reached"
    THROTTLE = "the throttle that may be used is all used"
    POWER = "the pack cannot deliver the power"
    NEVER_BEGAN = "it cannot begin"


class RelaxationPair(NamedTuple):
    """The slow part of the sag.

    Attributes
    ----------
    resistance_ohm, time_constant_s : float
        [ohm], [s]
    """

    resistance_ohm: float
    time_constant_s: float


@final
@dataclass(frozen=True)
class SourceOfPower:
    """A pack with its wiring.

    Attributes
    ----------
    open_circuit_v : ndarray, shape (nodes,)
        [V] At charge 0 to 1 in equal steps.
    capacity_a_s : float
        [A s]
    resistance_ohm, wiring_ohm : float
        [ohm] Pack and wiring together, what acts at once; the wiring alone.
    pair : RelaxationPair or None
    charge, reserve : float
        [-] At the start (rested) and at the end.
    """

    open_circuit_v: FloatArray
    capacity_a_s: float
    resistance_ohm: float
    wiring_ohm: float
    pair: RelaxationPair | None
    charge: float
    reserve: float


@final
@dataclass(frozen=True)
class Endurance:
    """How a hover ends.

    Attributes
    ----------
    seconds : float
        [s] From the start.
    charge_left : float
        [-] At the end.
    bus_v : float
        [V] At the end.
    heat_j : float
        [J] Given off inside the pack meanwhile.
    ended : EndOfFlight
    """

    seconds: float
    charge_left: float
    bus_v: float
    heat_j: float
    ended: EndOfFlight


def time_at_power(source: SourceOfPower, power_w: float, least_bus_v: float) -> Endurance:
    r"""Integrate charge and slow sag at a constant power until something ends it.

    .. math:: \dot q = -I/C, \quad \dot I_1 = (I - I_1)/\tau, \quad
        V = V_{oc}(q) - R_1 I_1 - R I, \quad V I = P

    A hover at constant thrust is one of constant power in this motor model: torque sets the motor
    current, speed its volts, and the controller only changes their ratio to the bus.

    Parameters
    ----------
    source : SourceOfPower
    power_w : float
        [W] At the speed controllers, above zero.
    least_bus_v : float
        [V] At which the throttle that may be used is all used.
    """

    def rested_v(state: FloatArray) -> float:
        slow = 0.0 if source.pair is None else source.pair.resistance_ohm * float(state[1])
        return float(open_circuit_voltage(source.open_circuit_v, float(state[0]))) - slow

    def rates(_time: float, state: FloatArray) -> tuple[float, float, float]:
        current = pack_current(rested_v(state), source.resistance_ohm, power_w)
        slower = 0.0 if source.pair is None else (current - state[1]) / source.pair.time_constant_s
        heat = current**2 * (source.resistance_ohm - source.wiring_ohm)
        if source.pair is not None:
            heat += source.pair.resistance_ohm * float(state[1]) ** 2
        return -current / source.capacity_a_s, slower, heat

    def charge_left(_time: float, state: FloatArray) -> float:
        return float(state[0]) - source.reserve

    def power_left(_time: float, state: FloatArray) -> float:
        if source.resistance_ohm <= 0.0:
            return 1.0
        return float(most_power(rested_v(state), source.resistance_ohm)) - power_w

    def volts_left(_time: float, state: FloatArray) -> float:
        current = pack_current(rested_v(state), source.resistance_ohm, power_w)
        return rested_v(state) - source.resistance_ohm * current - least_bus_v

    ends = (
        (charge_left, EndOfFlight.RESERVE),
        (power_left, EndOfFlight.POWER),
        (volts_left, EndOfFlight.THROTTLE),
    )
    start = np.array([source.charge, 0.0, 0.0])
    if any(left(0.0, start) <= 0.0 for left, _ in ends):
        why = next(reason for left, reason in ends if left(0.0, start) <= 0.0)
        bus = volts_left(0.0, start) + least_bus_v
        begun = EndOfFlight.NEVER_BEGAN if why is not EndOfFlight.RESERVE else why
        return Endurance(0.0, source.charge, bus, 0.0, begun)
    for left, _ in ends:
        left.terminal = True  # type: ignore[attr-defined]
    done: Any = solve_ivp(
        rates,
        (0.0, _LONGEST_S),
        start,
        method="LSODA",
        events=[left for left, _ in ends],
        rtol=_TOLERANCE,
        atol=_TOLERANCE,
    )
    reasons = [reason for times, (_, reason) in zip(done.t_events, ends, strict=True) if len(times)]
    last: FloatArray = done.y[:, -1]
    return Endurance(
        seconds=float(done.t[-1]),
        charge_left=float(last[0]),
        bus_v=volts_left(0.0, last) + least_bus_v,
        heat_j=float(last[2]),
        ended=reasons[0] if reasons else EndOfFlight.RESERVE,
    )


def warming_k(heat_j: float, mass_kg: float) -> float:
    """Give the most that a pack can warm by a heat, no cooling counted.

    Parameters
    ----------
    heat_j : float
        [J] Given off inside.
    mass_kg : float
        [kg] Of the pack; 1000 J/(kg K), from memory of measured cells, no source.
    """
    return heat_j / (PACK_HEAT_J_KG_K * mass_kg) if mass_kg > 0.0 else math.inf
