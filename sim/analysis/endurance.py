"""How long a pack carries a constant power, with its quick sag, its slow sag and its last volts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import Any, Final, NamedTuple, final

import numpy as np

from sim.params.record import FloatArray
from sim.physics.power.battery import most_power, open_circuit_voltage, pack_current

PACK_HEAT_J_KG_K: Final = 1000.0
_LONGEST_S: Final = 1e6
_TOLERANCE: Final = 1e-9
_HALVINGS: Final = 60
_GAUSS_POINTS: Final = 6
_NO_OHM: Final = 1e-12
_CLOSE: Final = 1e-9


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


def _quick_v(source: SourceOfPower, charge: float, power_w: float) -> float:
    """Give the volts [V] at the speed controllers of a pack without slow sag."""
    volts = float(open_circuit_voltage(source.open_circuit_v, charge))
    return volts - source.resistance_ohm * pack_current(volts, source.resistance_ohm, power_w)


def _can_go_on(source: SourceOfPower, charge: float, power_w: float, least_bus_v: float) -> bool:
    """Tell whether power and volts suffice at a charge, for a pack without slow sag."""
    volts = float(open_circuit_voltage(source.open_circuit_v, charge))
    if source.resistance_ohm > 0.0 and most_power(volts, source.resistance_ohm) <= power_w:
        return False
    return _quick_v(source, charge, power_w) > least_bus_v


def _last_charge(source: SourceOfPower, power_w: float, least_bus_v: float) -> float:
    """Give the charge [-] at which power or volts run out; they only fall as it empties."""
    low, high = source.reserve, source.charge
    if _can_go_on(source, low, power_w, least_bus_v):
        return low
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if _can_go_on(source, middle, power_w, least_bus_v):
            high = middle
        else:
            low = middle
    return high


def _without_pair(source: SourceOfPower, power_w: float, least_bus_v: float) -> Endurance:
    """Integrate dt = C / I(q) dq between the nodes of the volts, where they are smooth."""
    last = _last_charge(source, power_w, least_bus_v)
    nodes = np.linspace(0.0, 1.0, len(source.open_circuit_v))
    inner = nodes[(nodes > last) & (nodes < source.charge)]
    bounds = np.concatenate([[last], inner, [source.charge]])
    places, weights = np.polynomial.legendre.leggauss(_GAUSS_POINTS)
    half, middle = 0.5 * np.diff(bounds), 0.5 * (bounds[:-1] + bounds[1:])
    seconds, heat = 0.0, 0.0
    own_ohm = source.resistance_ohm - source.wiring_ohm
    for scale, centre in zip(half, middle, strict=True):
        for place, weight in zip(places, weights, strict=True):
            volts = open_circuit_voltage(source.open_circuit_v, float(centre + scale * place))
            current = pack_current(volts, source.resistance_ohm, power_w)
            step = float(scale * weight) * source.capacity_a_s / current
            seconds += step
            heat += step * current**2 * own_ohm
    if last <= source.reserve:
        ended = EndOfFlight.RESERVE
    else:
        volts = float(open_circuit_voltage(source.open_circuit_v, last))
        short = most_power(volts, max(source.resistance_ohm, _NO_OHM)) <= power_w * (1.0 + _CLOSE)
        ended = EndOfFlight.POWER if short else EndOfFlight.THROTTLE
    return Endurance(seconds, last, _quick_v(source, last, power_w), heat, ended)


def _with_pair(
    source: SourceOfPower, pair: RelaxationPair, power_w: float, least_bus_v: float
) -> Endurance:
    """Integrate charge and slow current in time; the ends are found as they are passed."""
    from scipy.integrate import solve_ivp  # noqa: PLC0415 - slow to load, and seldom needed

    def rested_v(state: FloatArray) -> float:
        volts = float(open_circuit_voltage(source.open_circuit_v, float(state[0])))
        return volts - pair.resistance_ohm * float(state[1])

    def rates(_time: float, state: FloatArray) -> tuple[float, float, float]:
        current = pack_current(rested_v(state), source.resistance_ohm, power_w)
        heat = current**2 * (source.resistance_ohm - source.wiring_ohm)
        heat += pair.resistance_ohm * float(state[1]) ** 2
        slower = (current - float(state[1])) / pair.time_constant_s
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
    for left, _ in ends:
        left.terminal = True  # type: ignore[attr-defined]
    done: Any = solve_ivp(
        rates,
        (0.0, _LONGEST_S),
        np.array([source.charge, 0.0, 0.0]),
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
    if source.charge <= source.reserve or not _can_go_on(
        source, source.charge, power_w, least_bus_v
    ):
        empty = source.charge <= source.reserve
        ended = EndOfFlight.RESERVE if empty else EndOfFlight.NEVER_BEGAN
        volts = _quick_v(source, source.charge, power_w)
        return Endurance(0.0, source.charge, volts, 0.0, ended)
    if source.pair is None:
        return _without_pair(source, power_w, least_bus_v)
    return _with_pair(source, source.pair, power_w, least_bus_v)


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
