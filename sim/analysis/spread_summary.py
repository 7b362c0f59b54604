"""What sampled crafts say: distributions, chances, what matters, what to measure."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.distribution import distribution, gate_chance, values_of
from sim.analysis.headline import FIGURES, Figure, Gate, Headline
from sim.analysis.importance import LEAST_R_SQUARED, surface_indices
from sim.analysis.mass_guard import GuardRow
from sim.analysis.measurement_value import (
    WRONG_ENOUGH,
    JudgedSurface,
    MeasurementValue,
    measurement_values,
)
from sim.analysis.response_surface import ResponseSurface, fit_surface, varies
from sim.analysis.spread_result import FigureImportance, SpreadAnswer
from sim.params.record import FloatArray
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.unsure import UnsureFigure

MOST_MISSING: Final = 0.1
LEAST_R_SQUARED_TO_DECIDE: Final = 0.5
_LEAST_DEVIATION: Final = 1e-12

Surfaces = dict[str, ResponseSurface | None]


@final
@dataclass(frozen=True)
class Sampled:
    """Crafts that were drawn and computed.

    Attributes
    ----------
    craft, scenario : what was read
    unsure : tuple of UnsureFigure
    seed : int
    scores : ndarray, shape (crafts, unsure + 1)
        Standard normal scores; the last column has no effect on anything.
    values : ndarray, shape (crafts, unsure)
        In SI units.
    as_written : Headline
        Of the craft of the file.
    headlines : tuple of Headline
        Of every craft.
    guard : tuple of GuardRow
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    unsure: tuple[UnsureFigure, ...]
    seed: int
    scores: FloatArray
    values: FloatArray
    as_written: Headline
    headlines: tuple[Headline, ...]
    guard: tuple[GuardRow, ...] = ()


def summarised(sampled: Sampled, gates: Sequence[Gate], *, began_s: float) -> SpreadAnswer:
    """Give everything that computed crafts say.

    Parameters
    ----------
    sampled : Sampled
    gates : sequence of Gate
    began_s : float
        [s] On the monotonic clock, when the work began.
    """
    as_written, headlines, unsure = sampled.as_written, sampled.headlines, sampled.unsure
    distributions = tuple(
        distribution(figure, as_written, headlines)
        for figure in FIGURES
        if any(getattr(one, figure.key) is not None for one in headlines)
    )
    surfaces: Surfaces = {
        entry.figure.key: fit_surface(*_having(entry.figure, sampled.scores, headlines))
        for entry in distributions
        if entry.missing <= MOST_MISSING * len(headlines)
    }
    importance = tuple(
        _importance(entry.figure, entry.missing, surfaces, unsure, sampled.scores, headlines)
        for entry in distributions
    )
    limiting = limiting_gate(gates, headlines)
    measurements, why_not = _measurements(gates, limiting, unsure, surfaces, headlines)
    return SpreadAnswer(
        craft=sampled.craft,
        scenario=sampled.scenario,
        unsure=unsure,
        seed=sampled.seed,
        values=sampled.values,
        as_written=as_written,
        headlines=headlines,
        distributions=distributions,
        chances=tuple(gate_chance((gate,), as_written, headlines) for gate in gates),
        all_gates=gate_chance(gates, as_written, headlines),
        importance=importance,
        limiting=None if limiting is None else limiting.figure,
        measurements=measurements,
        why_no_measurement=why_not,
        guard=sampled.guard,
        seconds=time.monotonic() - began_s,
    )


def _having(
    figure: Figure, scores: FloatArray, headlines: Sequence[Headline]
) -> tuple[FloatArray, FloatArray]:
    """Give scores and values of the crafts that have a figure."""
    values = values_of(figure, headlines)
    has = np.isfinite(values)
    return scores[has], values[has]


def _importance(
    figure: Figure,
    missing: int,
    surfaces: Surfaces,
    unsure: Sequence[UnsureFigure],
    scores: FloatArray,
    headlines: Sequence[Headline],
) -> FigureImportance:
    if figure.key not in surfaces:
        why = f"{missing} of {len(headlines)} crafts do not have it"
        return FigureImportance(figure, None, why, ())
    surface = surfaces[figure.key]
    if surface is None:
        _, values = _having(figure, scores, headlines)
        why = "too few crafts for so many unknowns" if varies(values) else "it does not vary"
        return FigureImportance(figure, None, why, ())
    if surface.r_squared < LEAST_R_SQUARED:
        why = (
            f"the surface tells only {int(100.0 * max(surface.r_squared, 0.0))} % of how it varies;"
            " more crafts may help"
        )
        return FigureImportance(figure, surface.r_squared, why, ())
    indices = surface_indices(surface, *_having(figure, scores, headlines))
    noise = indices[-1].total_upper
    pairs = zip(unsure, indices[:-1], strict=True)
    told = [(one, index) for one, index in pairs if index.total_lower > noise]
    told.sort(key=lambda pair: -pair[1].total)
    return FigureImportance(figure, surface.r_squared, "", tuple(told))


def limiting_gate(gates: Sequence[Gate], headlines: Sequence[Headline]) -> Gate | None:
    """Give the gate that fewest crafts pass, most narrowly where all pass.

    Of those whose figure nearly all crafts have: nothing is limited by a figure that is not there.
    """

    def figures_left(gate: Gate) -> FloatArray:
        found = (gate.left(one) for one in headlines)
        return np.array([value for value in found if value is not None and np.isfinite(value)])

    def narrowness(gate: Gate) -> tuple[int, float]:
        left = figures_left(gate)
        passes = sum(gate.passes(one) for one in headlines)
        return passes, float(np.mean(left) / max(float(np.std(left)), _LEAST_DEVIATION))

    needed = max((1.0 - MOST_MISSING) * len(headlines), 1.0)
    judged = [gate for gate in gates if figures_left(gate).size >= needed]
    return min(judged, key=narrowness, default=None)


def _measurements(
    gates: Sequence[Gate],
    limiting: Gate | None,
    unsure: Sequence[UnsureFigure],
    surfaces: Surfaces,
    headlines: Sequence[Headline],
) -> tuple[tuple[MeasurementValue, ...], str]:
    """Give measurements, most worth first, or why they cannot be told."""
    if limiting is None or limiting.figure is None:
        return (), "no gate has a figure"
    name = limiting.figure.name
    of_limiting = surfaces.get(limiting.figure.key)
    if of_limiting is None or of_limiting.r_squared < LEAST_R_SQUARED_TO_DECIDE:
        return (), f"how the {name} varies could not be told well enough"
    judged: list[JudgedSurface] = []
    others: list[Gate] = []
    for gate in gates:
        surface = None if gate.figure is None else surfaces.get(gate.figure.key)
        if surface is None or surface.r_squared < LEAST_R_SQUARED_TO_DECIDE:
            others.append(gate)
        else:
            judged.append(JudgedSurface(gate, surface))
    # Of the crafts that pass what a surface tells, how many pass the rest: failures come together.
    passing = [one for one in headlines if all(entry.gate.passes(one) for entry in judged)]
    both = sum(all(gate.passes(one) for gate in others) for one in passing)
    share = both / len(passing) if passing else 0.0
    found = measurement_values(unsure, judged, of_limiting, share)
    by_verdict = found[0].wrong_before >= WRONG_ENOUGH

    def worth(value: MeasurementValue) -> float:
        return value.wrong_after if by_verdict else value.deviation_after

    return tuple(sorted(found, key=worth)), ""
