"""Authority in wind: what share of thrust and moments a mean wind and its gusts take, which way."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np

from sim.analysis.authority import WAYS, Way, used_along, way_of
from sim.analysis.rotor_set import RotorSet, rotor_set, setting_of
from sim.flight.outcome import cause
from sim.flight.run import fly
from sim.flight.settle import settled_in_wind
from sim.flight.start import blank_works
from sim.pack.craft import PackedCraft
from sim.pack.flight import pack_flight, write_wind
from sim.pack.wind import take_gusts_out
from sim.params.record import FloatArray
from sim.spec.scenario import ScenarioSpec
from sim.step.rotor_wrench import flown_wrenches

WINDS_M_S: Final = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 13.0, 16.0)
SIDES: Final = {"ahead": 0.0, "right": 0.5 * math.pi}
SAMPLE_S: Final = 0.02
STEADY_S: Final = 4.0
GUSTS_S: Final = 20.0
BUSY: Final = 0.95
ENDED_WITHIN_S: Final = 60.0
SLOW_M_S: Final = 0.5
NEAR_M: Final = 1.0
_UP: Final = 2
_FIRST_MOMENT: Final = 3

Progress = Callable[[str, float | None], None]


@final
@dataclass(frozen=True)
class WindUse:
    """What one mean wind takes.

    Attributes
    ----------
    forecast_m_s : float
        [m/s] Mean at the scenario's wind height.
    side : str
        Where it blows from: a key of `SIDES`.
    holds : bool
        The craft settles over its place in it; without, the rest is empty.
    why_not : str
        What happens instead, in words; empty when it holds.
    ways : tuple of Way
        Taken by the mean of a settled flight, and left from there.
    busy_shares : tuple of float
        [-] For each way: the share that is taken 5 % of the time or less in a gusty flight.
    """

    forecast_m_s: float
    side: str
    holds: bool
    why_not: str
    ways: tuple[Way, ...]
    busy_shares: tuple[float, ...]

    @property
    def first(self) -> tuple[Way, float] | None:
        """The way of which gusts take the largest share, and that share; None when not held."""
        if not self.holds:
            return None
        best = int(np.argmax(self.busy_shares))
        return self.ways[best], self.busy_shares[best]


def _calm(flight: Any) -> Any:
    """Give a copy, in an array of one, that holds its place in the mean wind without noise."""
    calm = np.array([flight], dtype=flight.dtype)
    calm["noise_factor"] = 0.0
    take_gusts_out(calm)
    calm["keeps_charge"] = 1
    calm["holds_position"] = 1
    calm["command_count"] = 1
    return calm


def _gusty(flight: Any) -> Any:
    """Give a copy, in an array of one, that holds its place in gusts."""
    gusty = _calm(flight)
    gusty["turbulence_ticks"] = flight.turbulence_ticks
    return gusty


def _flown(packed: PackedCraft, flights: Any, start: Any, seconds: float) -> FloatArray:
    """Give thrust [N] and moments [N m] of the rotors over a flight, shape (samples, 4)."""
    rows = np.zeros((round(seconds / SAMPLE_S), 6))
    every = round(SAMPLE_S / float(flights[0].step_s))
    flown_wrenches(packed.records, flights, start.copy(), blank_works(), every, rows)
    return np.column_stack([-rows[:, _UP], rows[:, _FIRST_MOMENT:]])


def _busy_share(rotors: RotorSet, way: Way, gusts: FloatArray) -> float:
    """Give the share of a way that gusts take less than 5 % of the time."""
    whole = way.used + way.left
    if not whole > 0.0:
        return 0.0
    taken = np.array([used_along(rotors, row, way.axis, way.sense) for row in gusts])
    return float(np.quantile(taken, BUSY)) / whole


def _not_held(forecast_m_s: float, side: str, why_not: str) -> WindUse:
    """Give what there is to say of a wind that the craft does not settle in."""
    return WindUse(forecast_m_s, side, holds=False, why_not=why_not, ways=(), busy_shares=())


def _why_not(packed: PackedCraft, flight: Any, start: Any, settled: Any) -> str:
    """Give in words why a state is not settled over its place; nothing when it is.

    `settled_in_wind` gives the start itself back when a flight ended early; it is flown once more
    to see why.
    """
    if settled is start:
        calm = _calm(flight)
        calm["duration_s"] = ENDED_WITHIN_S
        for name in ("drift_m", "height_loss_m", "saturation_s"):
            calm["limit"][name] = 0.0
        flown = fly(packed.record, calm[0], start, every_s=ENDED_WITHIN_S)
        return f"it {cause(flown.tally, float(flight.step_s))}"
    body, place = settled[0].body, np.asarray(flight.command[0].place_m)
    if np.abs(body.velocity_m_s).max() > SLOW_M_S:
        return "it is blown away"
    if np.abs(body.position_m - place).max() > NEAR_M:
        return "it does not get back to its place"
    return ""


def wind_use(
    packed: PackedCraft, scenario: ScenarioSpec, start: Any, forecast_m_s: float, side: str
) -> WindUse:
    """Settle in a mean wind, fly on in its gusts, and tell what the rotors did.

    Parameters
    ----------
    packed, scenario : what flies, in which air
    start : ndarray of one state record
        A hover in still air, facing north.
    forecast_m_s : float
        [m/s] Mean at the scenario's wind height.
    side : str
        A key of `SIDES`.
    """
    flight = pack_flight(scenario, packed.air)
    write_wind(scenario, flight[0], forecast_m_s)
    flight["wind_from_rad"] = SIDES[side]
    flight["command"]["place_m"][:, 0] = start["body"]["position_m"]
    flight["command"]["heading_rad"][:, 0] = 0.0
    settled = settled_in_wind(packed.record, flight[0], start) if forecast_m_s > 0.0 else start
    why_not = _why_not(packed, flight[0], start, settled) if forecast_m_s > 0.0 else ""
    if why_not:
        return _not_held(forecast_m_s, side, why_not)
    wrench = _flown(packed, _calm(flight[0]), settled, STEADY_S).mean(axis=0)
    gusts = _flown(packed, _gusty(flight[0]), settled, GUSTS_S)
    if not np.isfinite(gusts).all():
        return _not_held(forecast_m_s, side, "its gusts throw the craft about")
    rotors = rotor_set(packed.record, flight[0], settled)
    body = (packed.whole_mass_kg, np.diagonal(np.asarray(packed.record.inertia_kg_m2)))
    setting = setting_of(settled, rotors)
    ways = tuple(way_of(rotors, setting, wrench, *way, body) for way in WAYS)
    return WindUse(
        forecast_m_s=forecast_m_s,
        side=side,
        holds=True,
        why_not="",
        ways=ways,
        busy_shares=tuple(_busy_share(rotors, way, gusts) for way in ways),
    )


def winds_use(
    packed: PackedCraft,
    scenario: ScenarioSpec,
    start: Any,
    *,
    winds_m_s: tuple[float, ...] = WINDS_M_S,
    progress: Progress | None = None,
) -> tuple[WindUse, ...]:
    """Go up the winds from each side, each until the craft no longer settles in one.

    Parameters
    ----------
    packed, scenario, start : see `wind_use`
    winds_m_s : tuple of float
        [m/s] Slowest first.
    progress : callable, optional
        Told a sentence and the share done.
    """
    found: list[WindUse] = []
    for side in SIDES:
        for wind in winds_m_s:
            if progress is not None:
                done = len(found) / (len(SIDES) * len(winds_m_s))
                progress(f"settling in {wind:.0f} m/s", done)
            found.append(wind_use(packed, scenario, start, wind, side))
            if not found[-1].holds:
                break
    return tuple(found)


def used_first(uses: tuple[WindUse, ...], side: str) -> tuple[WindUse, Way, float] | None:
    """Give the fastest wind held from a side, what it takes most of, and that share."""
    held = [use for use in uses if use.side == side and use.holds]
    if not held:
        return None
    last = max(held, key=lambda use: use.forecast_m_s)
    first = last.first
    return None if first is None else (last, *first)
