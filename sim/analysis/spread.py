"""Spread: many crafts within the spreads of one file, and what they say of its verdict."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from sim.analysis.craft_pool import computed
from sim.analysis.distribution import distribution, gate_chance, values_of
from sim.analysis.headline import FIGURES, Figure, Gate, Headline, gates_of
from sim.analysis.importance import LEAST_R_SQUARED, surface_indices
from sim.analysis.mass_guard import GuardRow, changes_of, mass_guard
from sim.analysis.measurement_value import (
    WRONG_ENOUGH,
    JudgedSurface,
    MeasurementValue,
    measurement_values,
)
from sim.analysis.response_surface import ResponseSurface, fit_surface
from sim.analysis.sampled_craft import Surroundings, headline, surroundings
from sim.analysis.spread_result import FigureImportance, SpreadAnswer
from sim.analysis.spread_sample import figure_values, normal_scores
from sim.errors import Fault, InputFaults
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.unsure import UnsureFigure, unsure_figures, with_figures

CRAFTS: Final = 256
LEAST_CRAFTS: Final = 16
MOST_MISSING: Final = 0.1
LEAST_R_SQUARED_TO_DECIDE: Final = 0.5
_LEAST_DEVIATION: Final = 1e-12

Progress = Callable[[str, float | None], None]


def _silent(_sentence: str, _share: float | None) -> None:
    """Say nothing."""


def spread(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    *,
    crafts: int = CRAFTS,
    seed: int = 1,
    workers: int | None = 1,
    guard: bool = True,
    flies: bool = False,
    progress: Progress | None = None,
) -> SpreadAnswer:
    """Compute crafts within the spreads of a file, and say what that means for its verdict.

    Parameters
    ----------
    craft, scenario : as loaded
    crafts : int
        How many, `LEAST_CRAFTS` at least.
    seed : int
        Craft number k of a seed is always the same.
    workers : int or None
        Processes to use, None for one a core. A script that asks for more than one must guard its
        own start with `if __name__ == "__main__"`, as each process imports it.
    guard : bool
        Whether weight and shift of the CG left before each gate fails are searched, too.
    flies : bool
        Whether every craft's wind limit is found by gust flights; this takes about a minute each.
    progress : callable, optional
        Told a sentence and the share done (0 to 1, or None).

    Raises
    ------
    InputFaults
        When the craft cannot be used, or nothing about it is unsure.
    """
    began = time.monotonic()
    tell = progress or _silent
    unsure = unsure_figures(craft.spec)
    if not unsure:
        what = "nothing in this file carries a spread (plus_minus), so there is nothing to sample"
        raise InputFaults((Fault(craft.spec.name, 0, 0, what),))
    if crafts < LEAST_CRAFTS:
        message = f"{crafts} crafts show nothing; at least {LEAST_CRAFTS}"
        raise ValueError(message)
    tell("the craft as written", None)
    around = surroundings(craft.spec, scenario.spec)
    as_written = headline(around, craft.spec, flies=flies)
    # One more input than there are unsure figures: without any effect, it shows what noise does.
    scores = normal_scores(crafts, len(unsure) + 1, seed)
    values = figure_values(unsure, scores)
    sampled = [with_figures(craft.spec, unsure, row) for row in values]
    headlines = computed(
        around,
        _flown if flies else _computed,
        sampled,
        workers=workers,
        tell=_counting(tell, "crafts", crafts),
    )
    gates = gates_of(craft.spec, scenario.spec, flown=flies)
    rows: tuple[GuardRow, ...] = ()
    if guard:
        changes = changes_of(craft.spec)
        counting = _counting(tell, "weights and shifts", len(changes))
        rows = mass_guard(around, gates, changes=changes, workers=workers, tell=counting)
    tell("which unknown matters", None)
    distributions = tuple(
        distribution(figure, as_written, headlines)
        for figure in FIGURES
        if any(getattr(one, figure.key) is not None for one in headlines)
    )
    surfaces = {
        entry.figure.key: fit_surface(*_having(entry.figure, scores, headlines))
        for entry in distributions
        if entry.missing <= MOST_MISSING * crafts
    }
    importance = tuple(
        _importance(entry.figure, entry.missing, surfaces, unsure, scores, headlines)
        for entry in distributions
    )
    limiting = _limiting(gates, headlines)
    measurements, why_not = _measurements(gates, limiting, unsure, surfaces, headlines)
    return SpreadAnswer(
        craft=craft,
        scenario=scenario,
        unsure=unsure,
        seed=seed,
        values=values,
        as_written=as_written,
        headlines=headlines,
        distributions=distributions,
        chances=tuple(gate_chance((gate,), as_written, headlines) for gate in gates),
        all_gates=gate_chance(gates, as_written, headlines),
        importance=importance,
        limiting=None if limiting is None else limiting.figure,
        measurements=measurements,
        why_no_measurement=why_not,
        guard=rows,
        seconds=time.monotonic() - began,
    )


def _computed(around: Surroundings, craft: CraftSpec) -> Headline:
    return headline(around, craft)


def _flown(around: Surroundings, craft: CraftSpec) -> Headline:
    return headline(around, craft, flies=True)


def _counting(tell: Progress, what: str, count: int) -> Callable[[int], None]:
    """Give a function that tells how many are done and how long the rest will take."""
    began = time.monotonic()

    def counted(done: int) -> None:
        left_s = (time.monotonic() - began) * (count - done) / done
        tell(f"{done} of {count} {what}, about {left_s:.0f} s left", done / count)

    return counted


def _having(
    figure: Figure, scores: FloatArray, headlines: Sequence[Headline]
) -> tuple[FloatArray, FloatArray]:
    """Give scores and values of the crafts that have a figure."""
    values = values_of(figure, headlines)
    has = np.isfinite(values)
    return scores[has], values[has]


Surfaces = dict[str, ResponseSurface | None]


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
        return FigureImportance(figure, None, "it does not vary", ())
    if surface.r_squared < LEAST_R_SQUARED:
        why = (
            f"the surface tells only {100.0 * max(surface.r_squared, 0.0):.0f} % of how it varies;"
            " more crafts may help"
        )
        return FigureImportance(figure, surface.r_squared, why, ())
    indices = surface_indices(surface, *_having(figure, scores, headlines))
    noise = indices[-1].total_upper
    pairs = zip(unsure, indices[:-1], strict=True)
    told = [(one, index) for one, index in pairs if index.total_lower > noise]
    told.sort(key=lambda pair: -pair[1].total)
    return FigureImportance(figure, surface.r_squared, "", tuple(told))


def _limiting(gates: Sequence[Gate], headlines: Sequence[Headline]) -> Gate | None:
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
