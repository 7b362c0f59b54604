"""Which explanation of the bench readings weighs most, and which ones cannot be told apart."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import Final, final

from sim.analysis.bench_causes import FILE_WEIGHT, PAIR_WEIGHT, Cause
from sim.analysis.bench_fit import Fit, Readings, fit_causes
from sim.analysis.bench_model import Stand

TOLD_APART_ODDS: Final = 10.0
NEVER: Final = -1e300


@final
@dataclass(frozen=True)
class Ranked:
    """Explanations, the weightiest first.

    Attributes
    ----------
    fits : tuple of Fit
    weights : tuple of float
        [-] Posterior weights of all explanations tried; they sum to one.
    rivals : tuple of Fit
        What cannot be told from the leader, the leader itself first.
    """

    fits: tuple[Fit, ...]
    weights: tuple[float, ...]
    rivals: tuple[Fit, ...]

    @property
    def leader(self) -> Fit:
        """Give the weightiest explanation."""
        return self.fits[0]

    @property
    def runner_up(self) -> Fit | None:
        """Give the next one that does not just add a cause to the leader, or take one away."""
        return next((fit for fit in self.fits[1:] if not _nested(fit, self.leader)), None)

    @property
    def told_apart(self) -> bool:
        """Tell whether no other explanation comes within 10 to 1 of the leader."""
        return len(self.rivals) == 1


def _nested(one: Fit, other: Fit) -> bool:
    """Tell whether one explanation is the other with a cause added; the file itself is a rival."""
    if not one.causes or not other.causes:
        return False
    first, second = set(one.causes), set(other.causes)
    return first < second or second < first


def prior_log_weight(fit: Fit) -> float:
    """Give the logarithm of an explanation's weight before anything was read.

    Each kind of cause weighs the same, a kind that may sit on any rotor is shared between them;
    that the file is right weighs three times as much; a pair a twentieth of its members' product.
    An explanation outside of what is physically possible has none.
    """
    if not fit.is_possible:
        return NEVER
    if not fit.causes:
        return math.log(FILE_WEIGHT)
    weight = math.prod(cause.weight for cause in fit.causes)
    return math.log(weight * (PAIR_WEIGHT if len(fit.causes) > 1 else 1.0))


def rank(fits: tuple[Fit, ...]) -> Ranked:
    """Order explanations by posterior weight: prior weight times evidence.

    Parameters
    ----------
    fits : tuple of Fit
        At least one that is possible, or that the file is right.

    Returns
    -------
    Ranked
        Those within odds of 10 to 1 of the leader are rivals ("strong evidence" begins there:
        Jeffreys, Theory of Probability, 1961; from memory).
    """
    logs = [prior_log_weight(fit) + fit.log_evidence for fit in fits]
    most = max(logs)
    raw = [math.exp(value - most) for value in logs]
    total = sum(raw)
    order = sorted(range(len(fits)), key=lambda i: (-logs[i], -fits[i].log_evidence))
    ordered = tuple(fits[i] for i in order)
    weights = tuple(raw[i] / total for i in order)
    leader = ordered[0]
    rivals = [
        fit
        for fit, weight in zip(ordered, weights, strict=True)
        if fit is leader or (weight * TOLD_APART_ODDS > weights[0] and not _nested(fit, leader))
    ]
    return Ranked(ordered, weights, tuple(rivals))


def explain(
    stand: Stand,
    readings: Readings,
    causes: tuple[Cause, ...],
    *,
    pairs: bool = True,
    known: tuple[Fit, ...] = (),
) -> Ranked:
    """Fit that the file is right, each cause alone and, if asked for, in pairs; rank them.

    Parameters
    ----------
    stand : Stand
        Run at the conditions of the readings.
    readings : Readings
    causes : tuple of Cause
    pairs : bool
        Whether causes are also tried in pairs.
    known : tuple of Fit
        Fits to other readings of the same craft, to start from.
    """
    nothing = fit_causes(stand, readings, (), known)
    single = tuple(fit_causes(stand, readings, (cause,), known) for cause in causes)
    double: tuple[Fit, ...] = ()
    if pairs:
        double = tuple(
            fit_causes(stand, readings, pair, single) for pair in combinations(causes, 2)
        )
    return rank((nothing, *single, *double))
