"""The answer of a spread: what sampled crafts show of verdict and figures, as plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final

from sim.analysis.binomial_bounds import lower_bound
from sim.analysis.distribution import Distribution, GateChance
from sim.analysis.headline import Figure, Headline
from sim.analysis.importance import SobolIndices
from sim.analysis.mass_guard import GuardRow
from sim.analysis.measurement_value import MeasurementValue
from sim.params.record import FloatArray
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.unsure import UnsureFigure


@final
@dataclass(frozen=True)
class FigureImportance:
    """Which unsure figures move a headline figure.

    Attributes
    ----------
    figure : Figure
    r_squared : float or None
        [-] Of the response surface, at crafts it has not seen; None without a surface.
    why_not : str
        Why no index is told; empty when they are.
    told : tuple of (UnsureFigure, SobolIndices)
        Largest total index first; only those that stand out from an input without any effect that
        was sampled along.
    """

    figure: Figure
    r_squared: float | None
    why_not: str
    told: tuple[tuple[UnsureFigure, SobolIndices], ...]


@final
@dataclass(frozen=True)
class SpreadAnswer:
    """Everything that a spread found.

    Attributes
    ----------
    craft, scenario : what was read
    unsure : tuple of UnsureFigure
        What was sampled.
    seed : int
    values : ndarray, shape (crafts, unsure)
        In SI units.
    as_written : Headline
        The craft of the file.
    headlines : tuple of Headline
        Of every sampled craft, by its number.
    distributions : tuple of Distribution
        Of every headline figure that any craft has.
    chances : tuple of GateChance
        Of every gate.
    all_gates : GateChance
    importance : tuple of FigureImportance
        In the order of `distributions`.
    limiting : Figure or None
        The figure of the gate that is passed least often, or most narrowly.
    measurements : tuple of MeasurementValue
        Most worth first; empty when it cannot be told.
    why_no_measurement : str
        Why it cannot be told; empty when it can.
    guard : tuple of GuardRow
        What weight and what shift of the CG is left.
    seconds : float
        [s] Wall time.
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    unsure: tuple[UnsureFigure, ...]
    seed: int
    values: FloatArray
    as_written: Headline
    headlines: tuple[Headline, ...]
    distributions: tuple[Distribution, ...]
    chances: tuple[GateChance, ...]
    all_gates: GateChance
    importance: tuple[FigureImportance, ...]
    limiting: Figure | None
    measurements: tuple[MeasurementValue, ...]
    why_no_measurement: str
    guard: tuple[GuardRow, ...]
    seconds: float

    @property
    def sure(self) -> float:
        """Lower bound of the chance to pass all gates [-], at the confidence that is asked for."""
        confidence = self.scenario.spec.limits.confidence
        return lower_bound(self.all_gates.passes, self.all_gates.crafts, confidence)

    @property
    def passes(self) -> bool:
        """Whether that bound is at least the share of successes that is asked for."""
        return self.sure >= self.scenario.spec.limits.success
