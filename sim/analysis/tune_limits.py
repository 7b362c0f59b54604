"""What limits further tightening: the craft tuned anew with one thing better, all else the same."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, final

import numpy as np

from sim.analysis.required_margins import RequiredMargins
from sim.analysis.trim import Trim, find_trim
from sim.analysis.tune_crafts import TunedCrafts
from sim.analysis.tune_gust import gust_slopes
from sim.analysis.tune_plant import TunablePlant
from sim.analysis.tune_score import Figures
from sim.analysis.tune_search import SHORT_WEIGHT, Search, Told, margin_cost
from sim.analysis.tune_sharpen import Aim
from sim.analysis.tune_space import by_rule
from sim.errors import NotLinear, NoTrim
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import STEP_S
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec
from sim.spec.variants import without_fabric

BETTER: Final = 0.2
ITERATIONS: Final = 8
FIRST_ROUNDS: Final = 3
NEXT_ROUNDS: Final = 2


@final
@dataclass(frozen=True)
class Bought:
    """What one improvement would buy.

    Attributes
    ----------
    what : str
        In words.
    same_gains : Figures
        With the gains as tuned.
    retuned : Figures
        With gains tuned for it: the largest joint disk margin at no more drift in gusts.
    """

    what: str
    same_gains: Figures
    retuned: Figures


def improvements(craft: CraftSpec, packed: PackedCraft) -> list[tuple[str, PackedCraft]]:
    """Give what might be better on a craft, in words and packed; first the craft as it is."""
    control = packed.record.control
    period_ms = int(control.period_ticks) * 1e3 * STEP_S
    count = int(packed.record.rotor_count)
    changes: list[tuple[str, Callable[[Any], None]]] = []
    if any(int(packed.record.rotor[i].tilts) for i in range(count)):
        changes.append(("tilt servos 20 % faster", _faster_servos))
    if int(control.delay_runs) > 0:
        changes.append((f"{period_ms:g} ms less delay in the flight controller", _less_delay))
    changes += [
        ("rotors 20 % quicker to follow", _quicker_rotors),
        ("place and speed known 20 % sooner", _sooner_place),
        ("half the noise of gyro and place", _less_noise),
    ]
    found = [("nothing changed", packed)]
    for what, change in changes:
        records = packed.records.copy()
        change(records[0])
        found.append((what, replace(packed, records=records)))
    if craft.drapes:
        bare = pack_craft(without_fabric(by_rule(craft)), packed.air)
        found.append(("no fabric at all", bare))
    return found


def bought(
    craft: CraftSpec,
    crafts: TunedCrafts,
    scenario: ScenarioSpec,
    point: FloatArray,
    required: RequiredMargins,
    *,
    seed: int,
    threads: int,
    told: Told,
    iterations: int = ITERATIONS,
    parts: Sequence[tuple[str, PackedCraft]] | None = None,
) -> tuple[Bought, ...]:
    """Give what each improvement would buy, that of none first.

    Parameters
    ----------
    craft : CraftSpec
    crafts : TunedCrafts
    scenario : ScenarioSpec
    point : ndarray, shape (size,)
        The tuned gains.
    required : RequiredMargins
    seed, threads : int
    told : callable
    iterations : int
        In each round.
    parts : sequence of (str, PackedCraft), optional
        What is looked at, the craft as it is first; all `improvements` if not given.
    """
    most_m = crafts.nominal(point).gust_m
    begin = np.asarray(point)
    found: list[Bought] = []
    for what, packed in parts or improvements(craft, crafts.packed):
        told(f"what limits it: {what}")
        plant = _plant(packed, scenario, crafts.plants[0].trim)
        if plant is None:
            continue

        some = replace(crafts, plants=(plant,))

        def cost(figures: Figures) -> float:
            far = max(figures.gust_m / most_m - 1.0, 0.0) if figures.stable else 0.0
            return margin_cost(figures, required) + SHORT_WEIGHT * far

        search = Search(some.judge, required, seed, threads, told, some.profiles)
        rounds = FIRST_ROUNDS if not found else NEXT_ROUNDS
        begin_here = search.look(begin)
        best = search.sharpen(cost, Aim(most_gust_m=most_m), begin_here, rounds, iterations)
        if not found:
            begin = best.point
        found.append(Bought(what, some.judge(point), best.figures))
    return tuple(found)


def _plant(packed: PackedCraft, scenario: ScenarioSpec, start: Trim) -> TunablePlant | None:
    """Give a craft at its hover, sought near that of another; None without one."""
    flight = start.flights[0]
    try:
        trim = find_trim(
            packed.record,
            flight,
            charge=packed.charge,
            swing_m_s=float(flight.swing_m_s),
            start=start,
        )
        return TunablePlant(trim, gust_slopes(packed, scenario, trim))
    except (NoTrim, NotLinear):
        return None


def _faster_servos(record: Any) -> None:
    record["rotor"]["servo_frequency_rad_s"] *= 1.0 + BETTER
    record["rotor"]["servo_slew_rad_s"] *= 1.0 + BETTER


def _less_delay(record: Any) -> None:
    record.control.delay_runs -= 1


def _quicker_rotors(record: Any) -> None:
    record["rotor"]["inertia_kg_m2"] *= 1.0 - BETTER


def _sooner_place(record: Any) -> None:
    record.sensing.position_lag_s *= 1.0 - BETTER


def _less_noise(record: Any) -> None:
    for name in ("gyro_noise_rad_s", "accelerometer_noise_m_s2", "position_noise_m"):
        record["sensing"][name] *= 0.5
