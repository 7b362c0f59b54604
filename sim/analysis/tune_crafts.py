"""The crafts that one set of gains must suit: as the file has it, and some of its spread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final

import numpy as np
import scipy.linalg

from sim.analysis.check import hover_trim
from sim.analysis.lift import lift_answer
from sim.analysis.required_margins import STANDARD, RequiredMargins, required_margins
from sim.analysis.trim import Trim, find_trim
from sim.analysis.tune_gust import Gusts, gust_slopes, gusts_of
from sim.analysis.tune_plant import TunablePlant
from sim.analysis.tune_score import Figures, Profile, figures_of, profile_of, worst_of
from sim.analysis.tune_space import GainSpace, by_rule, gain_space
from sim.errors import NoTrim
from sim.pack.craft import PackedCraft, hover_moments_n_m, pack_craft
from sim.pack.flight import day_air
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec
from sim.spec.unsure import unsure_figures, with_figures

LEAST_WIND_M_S = 2.0
HOPELESS = 1.25
NO_LIFT = "the rotors cannot carry the weight"


@final
@dataclass(frozen=True)
class TunedCrafts:
    """What candidates are judged on.

    Attributes
    ----------
    space : GainSpace
    packed : PackedCraft
        As the file has it, but for the gains, which follow the rule.
    plants : tuple of TunablePlant
        The craft as the file has it first.
    gusts : Gusts
    full_moment_n_m : ndarray, shape (3,)
        [N m] What roll, pitch and yaw can give in hover.
    required : RequiredMargins
    """

    space: GainSpace
    packed: PackedCraft
    plants: tuple[TunablePlant, ...]
    gusts: Gusts
    full_moment_n_m: FloatArray
    required: RequiredMargins = STANDARD

    def judge(self, point: FloatArray) -> Figures:
        """Give the worst figures of all crafts with the gains at a point of the box.

        Where one of them is far from the margins asked for, the others are not looked at.
        """
        values = self.space.values(point)
        found: list[Figures] = []
        for plant in self.plants:
            found.append(self.figures(plant, values))
            if found[-1].shortfall(self.required) > HOPELESS:
                break
        return worst_of(found)

    def profiles(
        self, point: FloatArray, grids: tuple[FloatArray, ...] | None = None
    ) -> tuple[Profile, ...] | None:
        """Give what gains are worth at every frequency, for each craft; None when one is unstable.

        Parameters
        ----------
        point : ndarray, shape (size,)
        grids : tuple of ndarray, optional
            [rad/s] Frequencies for each craft, else its own.
        """
        values = self.space.values(point)
        found: list[Profile] = []
        for k, plant in enumerate(self.plants):
            model = plant.small(self.space.written(plant.trim.crafts, values))
            grid = None if grids is None else grids[k]
            one = profile_of(model, self.gusts, self.full_moment_n_m, grid)
            if one is None:
                return None
            found.append(one)
        return tuple(found)

    def nominal(self, point: FloatArray) -> Figures:
        """Give the figures of the craft as the file has it."""
        return self.figures(self.plants[0], self.space.values(point))

    def figures(self, plant: TunablePlant, values: FloatArray) -> Figures:
        """Give the figures of one craft for gains in SI units."""
        model = plant.small(self.space.written(plant.trim.crafts, values))
        return figures_of(model, self.gusts, self.full_moment_n_m)


def spread_crafts(craft: CraftSpec, count: int) -> tuple[CraftSpec, ...]:
    """Give crafts of the spread: every unsure figure a standard deviation off, half its plus_minus.

    Which figures are off which way follows the rows of a Hadamard matrix, each with its opposite,
    so that few crafts move all figures both ways without moving any two always together.
    """
    figures = unsure_figures(craft)
    if not figures or count <= 0:
        return ()
    size = 1 << max(len(figures), count).bit_length()
    signs = scipy.linalg.hadamard(size)[:, 1 : len(figures) + 1]
    found = []
    for k in range(count):
        row = signs[1 + k // 2] * (1 if k % 2 == 0 else -1)
        values = [
            float(np.clip(f.value + 0.5 * s * f.plus_minus, f.least, f.most))
            for f, s in zip(figures, row, strict=True)
        ]
        found.append(with_figures(craft, figures, values))
    return tuple(found)


def tuned_crafts(craft: CraftSpec, scenario: ScenarioSpec, spread: int) -> TunedCrafts:
    """Pack, trim and linearise the craft and some of its spread.

    Parameters
    ----------
    craft : CraftSpec
    scenario : ScenarioSpec
        Air, height and wind.
    spread : int
        How many crafts beside the one in the file.

    Raises
    ------
    NoTrim
        If there is no hover.
    NotLinear
        If the step has no usable derivative there.
    """
    air = day_air(scenario)
    plain = by_rule(craft)
    packed = pack_craft(plain, air)
    if not lift_answer(craft, packed, None).can_lift:
        raise NoTrim(NO_LIFT)
    trim = hover_trim(packed, scenario)
    plants = [TunablePlant(trim, gust_slopes(packed, scenario, trim))]
    for other in spread_crafts(plain, spread):
        also = pack_craft(other, air)
        near = _near_trim(also, trim)
        plants.append(TunablePlant(near, gust_slopes(also, scenario, near)))
    period_s = plants[0].model.period_s
    space = gain_space(craft, packed)
    full = np.array(hover_moments_n_m(packed.record, float(packed.record.mixer.hover_thrust_n)))
    return TunedCrafts(
        space,
        packed,
        tuple(plants),
        gusts_of(scenario, LEAST_WIND_M_S, period_s),
        full,
        required_margins(scenario.limits),
    )


def _near_trim(packed: PackedCraft, start: Trim) -> Trim:
    """Trim a craft of the spread from the trim of the craft in the file."""
    flight, swing = start.flights[0], float(start.flights[0].swing_m_s)
    return find_trim(packed.record, flight, charge=packed.charge, swing_m_s=swing, start=start)
