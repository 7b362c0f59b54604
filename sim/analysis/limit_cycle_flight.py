"""Hunting and slewing in flight: whether a predicted swing lasts, and from how far off it grows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np

from sim.analysis.high_up import carried_up
from sim.analysis.limit_cycle import Cycle
from sim.analysis.tilt_loop import AXIS_NUMBER, pattern_signs
from sim.analysis.trim import Trim
from sim.flight.results import Flight
from sim.flight.run import fly
from sim.params.record import FloatArray
from sim.params.tally_record import Stop

KICK_RAD: Final = 0.02
HUNTING_S: Final = 60.0
GROWTH_S: Final = 15.0
FARTHEST_RAD: Final = math.radians(60.0)
HALVINGS: Final = 6
_EVERY_S: Final = 0.01
_LATE: Final = 0.6
_LATE_S: Final = 3.0
_FALLEN_RAD: Final = 1.4
_CALMED: Final = 0.25
_LEAST_CALM_RAD: Final = math.radians(3.0)
_BAND: Final = 0.2
_STEADY: Final = 0.5
_LEAST_TILT_RAD: Final = math.radians(0.01)
_ENOUGH: Final = 4
_CHANNELS: Final = {"roll": "roll", "pitch": "pitch", "yaw": "heading"}


@final
@dataclass(frozen=True)
class FlownCycle:
    """What a flight in calm air shows of one pattern of tilts.

    Attributes
    ----------
    axis : str
    lasts : bool
        A steady swing is left at its end.
    frequency_hz, tilt_rad, attitude_rad : float
        Of that swing: its first harmonic; zero without.
    flew : bool
        The flight did not end early.
    """

    axis: str
    lasts: bool
    frequency_hz: float
    tilt_rad: float
    attitude_rad: float
    flew: bool


@final
@dataclass(frozen=True)
class FlownEdge:
    """From how far off a flight comes back.

    Attributes
    ----------
    axis : str
    comes_back_rad : float
        [rad] Largest attitude, at rest, tried from which it came back.
    grows_rad : float or None
        [rad] Least attitude tried from which it did not; None when it always came back.
    """

    axis: str
    comes_back_rad: float
    grows_rad: float | None


def kicked_state(trim: Trim, axis: str, attitude_rad: float) -> Any:
    """Give the trim's state turned about an axis, at rest, with the estimate turned as well."""
    chart, number = trim.chart, AXIS_NUMBER[axis]
    turn = np.zeros((chart.size, 1))
    turn[chart.attitude + number] = attitude_rad
    state = chart.moved(trim.state, turn)
    state["estimate"]["angle_rad"][:, number] += attitude_rad
    state["tick"] = 0
    return state


def calm_flight(
    craft: Any, trim: Trim, start: Any, seconds: float, *, fallen_rad: float = _FALLEN_RAD
) -> Flight:
    """Fly in calm air without noise, high up, with play, deadband and the fabric's own drag."""
    flights, higher = carried_up(trim, start)
    flights["duration_s"] = seconds
    flights["limit"]["tilt_rad"] = fallen_rad
    return fly(craft, flights[0], higher, every_s=_EVERY_S)


def crossings(times: FloatArray, values: FloatArray) -> FloatArray:
    """Give the times [s] at which a swing rises through its middle, small wobbles left out.

    A crossing counts once the swing has been below a fifth of its width and comes above one.
    """
    middle, band = 0.5 * (values.max() + values.min()), 0.5 * _BAND * float(np.ptp(values))
    side = np.where(values > middle + band, 1, np.where(values < middle - band, -1, 0))
    kept = np.flatnonzero(side)
    rises = kept[1:][(side[kept[1:]] > 0) & (side[kept[:-1]] < 0)]
    return np.asarray(times[rises], dtype=np.float64)


def _harmonic(times: FloatArray, values: FloatArray, rises: FloatArray, hertz: float) -> float:
    """Give the amplitude of the first harmonic over whole cycles."""
    whole = (times >= rises[0]) & (times < rises[-1])
    turning = np.exp(-2j * np.pi * hertz * times[whole])
    level = values[whole] - values[whole].mean()
    return float(2.0 * np.abs(np.mean(level * turning)))


def measured_cycle(flight: Flight, axis: str, signs: tuple[float, ...]) -> FlownCycle:
    """Read the swing that is left in the last part of a flight.

    A swing lasts if its first harmonic is at least half of what the tilt moves each way, and more
    than a hundredth of a degree.
    """
    times = flight.channel("time")
    late = times >= _LATE * times[-1]
    count = sum(sign != 0.0 for sign in signs)
    tilt = sum(
        sign * flight.rotor_channel(i, "tilt") for i, sign in enumerate(signs) if sign != 0.0
    )
    tilt, times = np.asarray(tilt)[late] / count, times[late]
    rises = crossings(times, tilt)
    flew = flight.stop == Stop.TIME
    nothing = FlownCycle(
        axis, lasts=False, frequency_hz=0.0, tilt_rad=0.0, attitude_rad=0.0, flew=flew
    )
    if not flew or len(rises) < _ENOUGH or not np.ptp(tilt) > 0.0:
        return nothing
    hertz = float((len(rises) - 1) / (rises[-1] - rises[0]))
    swing = _harmonic(times, tilt, rises, hertz)
    if swing < max(_STEADY * 0.5 * float(np.ptp(tilt)), _LEAST_TILT_RAD):
        return nothing
    attitude = _harmonic(times, flight.channel(_CHANNELS[axis])[late], rises, hertz)
    return FlownCycle(
        axis, lasts=True, frequency_hz=hertz, tilt_rad=swing, attitude_rad=attitude, flew=flew
    )


def fly_hunting(craft: Any, trim: Trim, axis: str) -> tuple[FlownCycle, ...]:
    """Fly after a small kick about an axis and tell which swings are left, of every pattern.

    Parameters
    ----------
    craft : record
        As packed, with play and deadband.
    trim : Trim
    axis : str
        "pitch" or "yaw"; "both" kicks both.
    """
    start = trim.state
    if axis == "both":
        start = kicked_state(trim, "yaw", KICK_RAD)
        turned = kicked_state(trim, "pitch", KICK_RAD)
        chart = trim.chart
        steps = chart.difference(trim.state, start) + chart.difference(trim.state, turned)
        start = chart.moved(trim.state, steps)
        start["tick"] = 0
    else:
        start = kicked_state(trim, axis, KICK_RAD)
    flight = calm_flight(craft, trim, start, HUNTING_S)
    return tuple(
        measured_cycle(flight, name, signs) for name, signs in pattern_signs(craft).items()
    )


def comes_back(craft: Any, trim: Trim, axis: str, attitude_rad: float) -> bool:
    """Tell whether a flight let go at an attitude, at rest, comes back near to level."""
    start = kicked_state(trim, axis, attitude_rad)
    flight = calm_flight(craft, trim, start, GROWTH_S)
    if flight.stop != Stop.TIME:
        return False
    late = flight.channel("time") > GROWTH_S - _LATE_S
    swing = 0.5 * float(np.ptp(flight.channel(_CHANNELS[axis])[late]))
    return swing < max(_CALMED * attitude_rad, _LEAST_CALM_RAD)


def fly_edge(craft: Any, trim: Trim, cycle: Cycle) -> FlownEdge:
    """Halve the attitude from which a flight no longer comes back, up to 60 degrees off."""
    low, high = 0.0, FARTHEST_RAD
    if comes_back(craft, trim, cycle.axis, high):
        return FlownEdge(cycle.axis, high, None)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if comes_back(craft, trim, cycle.axis, middle):
            low = middle
        else:
            high = middle
    return FlownEdge(cycle.axis, low, high)
