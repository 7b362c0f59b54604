"""The measurement that narrows the verdict most: how much each would lessen a wrong one.

The expected value of sample information (Raiffa and Schlaifer, Applied Statistical Decision Theory,
1961), with a wrong verdict as the loss: after a measurement, the verdict is the likelier one, and
wrong with the probability of the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, final

import numpy as np
from scipy.special import ndtr, ndtri

from sim.analysis.headline import Gate
from sim.analysis.measurements import Measurement, measurement_of
from sim.analysis.response_surface import ResponseSurface
from sim.analysis.spread_sample import normal_scores
from sim.params.record import FloatArray
from sim.spec.unsure import UnsureFigure

NODES: Final = 32
POINTS: Final = 512
WRONG_ENOUGH: Final = 0.005
"""[-] Below this chance of a wrong verdict, a measurement is worth what it tells of the figure."""
_SEED: Final = 1
_LEAST_MISFIT: Final = 1e-9


@final
@dataclass(frozen=True)
class JudgedSurface:
    """A gate with the surface of its figure."""

    gate: Gate
    surface: ResponseSurface

    def passes(self, value: FloatArray) -> FloatArray:
        """Give the probability [-] that a craft passes whose figure the surface puts at a value."""
        figure = self.gate.figure
        sign = 1.0 if figure is None or figure.more_is_better else -1.0
        misfit = max(self.surface.misfit, _LEAST_MISFIT)
        chance: FloatArray = ndtr(sign * (value - self.gate.limit) / misfit)
        return chance


@final
@dataclass(frozen=True)
class MeasurementValue:
    """What measuring one unsure figure is worth.

    Attributes
    ----------
    figure : UnsureFigure
    measurement : Measurement
    accuracy : float
        In the figure's SI unit: what the measurement itself leaves unsure, two standard deviations.
    wrong_before, wrong_after : float
        [-] Chance that the verdict is wrong, now and as expected after measuring.
    deviation_before, deviation_after : float
        In the unit of the limiting figure: its standard deviation, now and as expected after.
    """

    figure: UnsureFigure
    measurement: Measurement
    accuracy: float
    wrong_before: float
    wrong_after: float
    deviation_before: float
    deviation_after: float


def measurement_values(
    figures: Sequence[UnsureFigure],
    judged: Sequence[JudgedSurface],
    limiting: ResponseSurface,
    other_gates: float = 1.0,
) -> tuple[MeasurementValue, ...]:
    """Give what each measurement is worth, in the order of the figures.

    Parameters
    ----------
    figures : sequence of UnsureFigure
    judged : sequence of JudgedSurface
        Gates and surfaces over these figures' normal scores, in this order; further inputs of the
        surfaces are kept unsure.
    limiting : ResponseSurface
        Of the figure whose spread is told.
    other_gates : float
        [-] Chance of passing the gates that have no surface, for a craft that passes the others.
    """
    scores = normal_scores(POINTS, limiting.powers.shape[1], _SEED)
    passes, value = _outcome(scores, judged, limiting, other_gates)
    wrong_now = _wrong(float(np.mean(passes)))
    deviation_now = float(np.std(value))
    found: list[MeasurementValue] = []
    for column, figure in enumerate(figures):
        measurement = measurement_of(figure)
        accuracy = measurement.leaves(figure.value)
        read = accuracy / figure.plus_minus
        wrong, variance = _after(scores, column, read, (judged, limiting, other_gates))
        found.append(
            MeasurementValue(
                figure=figure,
                measurement=measurement,
                accuracy=accuracy,
                wrong_before=wrong_now,
                wrong_after=min(wrong, wrong_now),
                deviation_before=deviation_now,
                deviation_after=min(float(np.sqrt(variance)), deviation_now),
            )
        )
    return tuple(found)


_Question = tuple[Sequence[JudgedSurface], ResponseSurface, float]


def _after(
    scores: FloatArray, column: int, read: float, question: _Question
) -> tuple[float, float]:
    """Give expected chance of a wrong verdict and expected variance after measuring one input.

    `read` is the standard deviation of the reading in units of the input's own: with it, the input
    is left with the variance r^2 / (1 + r^2) about a mean that varies by 1 / (1 + r^2).
    """
    left = read / np.hypot(1.0, read)
    # Readings that are all as likely: the loss has a kink, which a finer rule would stumble over.
    likely = ndtri((np.arange(NODES) + 0.5) / NODES)
    wrong = variance = 0.0
    for node in likely / np.hypot(1.0, read):
        known = scores.copy()
        known[:, column] = node + left * scores[:, column]
        passes, value = _outcome(known, *question)
        wrong += _wrong(float(np.mean(passes))) / NODES
        variance += float(np.var(value)) / NODES
    return wrong, variance


def _outcome(
    scores: FloatArray,
    judged: Sequence[JudgedSurface],
    limiting: ResponseSurface,
    other_gates: float,
) -> tuple[FloatArray, FloatArray]:
    """Give the chance of passing everything, and the limiting figure, at every point."""
    chance = np.full(len(scores), other_gates)
    for one in judged:
        chance *= one.passes(one.surface.at(scores))
    return chance, limiting.at(scores)


def _wrong(passes: float) -> float:
    return min(passes, 1.0 - passes)
