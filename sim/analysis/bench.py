"""Where did the watts go: bench readings reconciled with the craft file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, final

import numpy as np

from sim.analysis.bench_causes import Cause, CauseKind, bench_causes
from sim.analysis.bench_consistency import inconsistencies
from sim.analysis.bench_fit import Fit, Problem, Readings
from sim.analysis.bench_model import (
    Condition,
    Readout,
    Stand,
    Wanted,
    condition_of,
    unknown_spreads,
)
from sim.analysis.bench_rank import Ranked, explain
from sim.analysis.next_measurement import NextMeasurement, next_measurements
from sim.pack.craft import pack_craft
from sim.physics.air.atmosphere import air_of_the_day
from sim.spec.airframe import CraftSpec
from sim.spec.bench import ReadingSpec

HUMIDITY: Final = 0.5
FITS_SIGMA: Final = 3.0
WATTS_FOLLOW: Final = frozenset({"volts", "amps", "watts"})


@final
@dataclass(frozen=True)
class Running:
    """The whole craft at full throttle, through the flight controller.

    Attributes
    ----------
    thrust_n, watts_w, amps_a, volts_v : float
        [N], [W], [A], [V] All rotors; watts and volts at the pack's leads.
    """

    thrust_n: float
    watts_w: float
    amps_a: float
    volts_v: float


@final
@dataclass(frozen=True)
class Explained:
    """One explanation with what it means for the builder.

    Attributes
    ----------
    fit : Fit
    weight : float
        [-] Posterior, of all explanations tried.
    now, cured : Running
        As the craft is, and with the cause removed; nothing withheld where that is the cause.
    worst : int
        Which reading it misses most.
    """

    fit: Fit
    weight: float
    now: Running
    cured: Running
    worst: int

    @property
    def explains(self) -> bool:
        """Tell whether every reading is within three standard deviations."""
        return bool(np.max(np.abs(self.fit.residual)) <= FITS_SIGMA)


@final
@dataclass(frozen=True)
class LearnedAgain:
    """What learning the end points anew did.

    Attributes
    ----------
    delivered : float
        [-] Share of full volts at full command since.
    before, after : Running
        The leader's full throttle, as found and since.
    """

    delivered: float
    before: Running
    after: Running


@final
@dataclass(frozen=True)
class BenchAnswer:
    """All that the bench readings tell.

    Attributes
    ----------
    craft : CraftSpec
    readings : Readings
    as_written : Running
        What the file says of full throttle.
    explained : tuple of Explained
        Singles and pairs, the weightiest first.
    ranked : Ranked
    inconsistent : tuple of str
        Readings that cannot all be right.
    measurements : tuple of NextMeasurement
        Best first; empty when there is no second explanation.
    learned_again : LearnedAgain or None
    implied_volts : tuple of (int, float)
        Number of the reading and the volts that follow from its watts over its amps.
    full_current_a : float
        [A] Of a motor at full throttle as the file has it; current limits are counted from it.
    """

    craft: CraftSpec
    readings: Readings
    as_written: Running
    explained: tuple[Explained, ...]
    ranked: Ranked
    inconsistent: tuple[str, ...]
    measurements: tuple[NextMeasurement, ...]
    learned_again: LearnedAgain | None
    implied_volts: tuple[tuple[int, float], ...]
    full_current_a: float

    @property
    def leader(self) -> Explained:
        """Give the weightiest explanation."""
        return self.explained[0]

    @property
    def agrees_with_file(self) -> bool:
        """Tell whether the file as it is explains consistent readings, and best so."""
        return not self.leader.fit.causes and self.leader.explains and not self.inconsistent


def _fitted_keys(reading: ReadingSpec) -> dict[str, tuple[float, float]]:
    """Give value and standard deviation of what is fitted.

    Watts beside volts and amps are the same meter's product and would count twice; the pack's
    temperature is a condition, not a reading.
    """
    got = reading.measured()
    dropped = {"pack_temperature"} | ({"watts"} if got.keys() >= WATTS_FOLLOW else set())
    return {k: (u.value, 0.5 * u.plus_minus) for k, u in got.items() if k not in dropped}


def gather_readings(craft: CraftSpec) -> Readings:
    """Give the readings of a craft file as values with standard deviations."""
    assert craft.bench is not None
    wanted: list[Wanted] = []
    pairs: list[tuple[float, float]] = []
    for k, reading in enumerate(craft.bench.readings):
        for key, pair in _fitted_keys(reading).items():
            wanted.append(Wanted(k, key))
            pairs.append(pair)
    return Readings(
        Readout(tuple(wanted)),
        np.array([value for value, _ in pairs]),
        np.array([sigma for _, sigma in pairs]),
        unknown_spreads(craft),
        learned_again=any(r.end_points == "learned_again" for r in craft.bench.readings),
    )


def cured_fit(problem: Problem, fit: Fit) -> Fit:
    """Give the same fit with every cause removed: its parameter as in a sound craft."""
    z = fit.z.copy()
    for k, cause in enumerate(fit.causes):
        sound = _sound(cause, problem.stand)
        z[problem.first + k] = (sound - cause.centre) / cause.spread
    return replace(fit, z=z)


def _sound(cause: Cause, stand: Stand) -> float:
    """Give the parameter of a sound craft: nothing lost, the file's value, the file's limit."""
    if cause.kind is CauseKind.CURRENT_LIMIT:
        return stand.file_limit_log
    return 0.0


def _running(problem: Problem, fit: Fit, stand: Stand, point: int = 0) -> Running:
    reached = problem.run(fit.z, stand)
    return Running(
        thrust_n=reached.figure("thrust", point),
        watts_w=reached.figure("watts", point),
        amps_a=reached.figure("amps", point),
        volts_v=reached.figure("volts", point),
    )


def reconcile(craft: CraftSpec, *, pairs: bool = True) -> BenchAnswer:
    """Explain the bench readings of a craft file.

    Parameters
    ----------
    craft : CraftSpec
        With a bench section.
    pairs : bool
        Whether causes are also tried in pairs.
    """
    assert craft.bench is not None
    packed = pack_craft(craft, air_of_the_day(None, None, None, HUMIDITY))
    readings = gather_readings(craft)
    stand = Stand(craft, packed, tuple(condition_of(r, craft) for r in craft.bench.readings))
    causes = bench_causes(
        tuple(rotor.name for rotor in craft.rotors),
        thrust_was_read=any(w.quantity == "thrust" for w in readings.wanted.wanted),
    )
    ranked = explain(stand, readings, causes, pairs=pairs)
    full = Condition(1.0, None, straight=False, learned_again=False, charge=craft.battery.charge)
    whole = Stand(craft, packed, (full, replace(full, learned_again=True)))
    explained = tuple(
        _explained(Problem(stand, readings, fit.causes), fit, weight, whole)
        for fit, weight in zip(ranked.fits, ranked.weights, strict=True)
    )
    nothing = next(fit for fit in ranked.fits if not fit.causes)
    rival = ranked.runner_up
    return BenchAnswer(
        craft=craft,
        readings=readings,
        as_written=_as_written(readings, nothing, whole),
        explained=explained,
        ranked=ranked,
        inconsistent=inconsistencies(craft, packed),
        measurements=()
        if rival is None
        else next_measurements(craft, packed, readings, ranked.leader, rival),
        learned_again=_learned_again(stand, readings, ranked.leader, whole),
        implied_volts=_implied_volts(craft),
        full_current_a=stand.full_current_a,
    )


def _as_written(readings: Readings, nothing: Fit, whole: Stand) -> Running:
    problem = Problem(whole, readings, ())
    return _running(problem, replace(nothing, z=np.zeros_like(nothing.z)), whole)


def _explained(problem: Problem, fit: Fit, weight: float, whole: Stand) -> Explained:
    cured = cured_fit(problem, fit)
    return Explained(
        fit=fit,
        weight=weight,
        now=_running(problem, fit, whole),
        cured=_running(problem, cured, whole),
        worst=int(np.argmax(np.abs(fit.residual))),
    )


def _learned_again(
    stand: Stand, readings: Readings, leader: Fit, whole: Stand
) -> LearnedAgain | None:
    if not readings.learned_again:
        return None
    problem = Problem(stand, readings, leader.causes)
    lost = float(leader.z[problem.first - 1] * problem.spread[problem.first - 1])
    return LearnedAgain(
        delivered=1.0 - lost,
        before=_running(problem, leader, whole, 0),
        after=_running(problem, leader, whole, 1),
    )


def _implied_volts(craft: CraftSpec) -> tuple[tuple[int, float], ...]:
    assert craft.bench is not None
    found = []
    for number, reading in enumerate(craft.bench.readings, 1):
        got = reading.measured()
        if "watts" in got and "amps" in got and "volts" not in got and got["amps"].value > 0.0:
            found.append((number, got["watts"].value / got["amps"].value))
    return tuple(found)
