"""What sampled crafts show: the distribution of a figure, and the chance of passing a gate."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.binomial_bounds import two_sided_bounds
from sim.analysis.headline import Figure, Gate, Headline
from sim.params.record import FloatArray

LOW: Final = 0.05
HIGH: Final = 0.95
CONFIDENCE: Final = 0.95


@final
@dataclass(frozen=True)
class Distribution:
    """One headline figure over all crafts; a craft without it counts at the bad end.

    Attributes
    ----------
    figure : Figure
    as_written : float or None
        Of the craft of the file.
    low, median, high : float or None
        At 5, 50 and 95 % of the crafts; None where such a craft does not have the figure.
    missing : int
        Crafts without it.
    """

    figure: Figure
    as_written: float | None
    low: float | None
    median: float | None
    high: float | None
    missing: int


@final
@dataclass(frozen=True)
class GateChance:
    """The chance that a craft like this passes a gate.

    Attributes
    ----------
    gate : Gate or None
        None for all gates at once.
    as_written : bool
        Whether the craft of the file passes.
    passes, crafts : int
    lower, upper : float
        [-] Two-sided Clopper-Pearson bounds of the chance at `CONFIDENCE`. They are for independent
        draws; evenly spread ones are rather closer.
    """

    gate: Gate | None
    as_written: bool
    passes: int
    crafts: int
    lower: float
    upper: float

    @property
    def share(self) -> float:
        """Share of the crafts that pass [-]."""
        return self.passes / self.crafts


def values_of(figure: Figure, headlines: Sequence[Headline]) -> FloatArray:
    """Give a figure of every craft, nan where a craft does not have it, shape (crafts,)."""
    found = (getattr(headline, figure.key) for headline in headlines)
    return np.array([math.nan if value is None else float(value) for value in found])


def distribution(
    figure: Figure, as_written: Headline, headlines: Sequence[Headline]
) -> Distribution:
    """Give the distribution of a figure: order statistics, so that nothing is averaged.

    Parameters
    ----------
    figure : Figure
    as_written : Headline
        Of the craft of the file.
    headlines : sequence of Headline
        Of the sampled crafts, one at least.
    """
    values = values_of(figure, headlines)
    worst = -math.inf if figure.more_is_better else math.inf
    has = ~np.isnan(values)
    order = np.argsort(np.where(has, values, worst), kind="stable")

    def at(share: float) -> float | None:
        craft = int(order[max(math.ceil(share * len(order) - 1e-9), 1) - 1])
        return float(values[craft]) if has[craft] else None

    own: float | None = getattr(as_written, figure.key)
    missing = int(np.count_nonzero(~has))
    return Distribution(figure, own, at(LOW), at(0.5), at(HIGH), missing)


def gate_chance(
    gates: Sequence[Gate], as_written: Headline, headlines: Sequence[Headline]
) -> GateChance:
    """Give the chance of passing one gate, or several at once.

    Parameters
    ----------
    gates : sequence of Gate
    as_written : Headline
        Of the craft of the file.
    headlines : sequence of Headline
        Of the sampled crafts, one at least.
    """
    passes = sum(all(gate.passes(one) for gate in gates) for one in headlines)
    bounds = two_sided_bounds(passes, len(headlines), CONFIDENCE)
    return GateChance(
        gate=gates[0] if len(gates) == 1 else None,
        as_written=all(gate.passes(as_written) for gate in gates),
        passes=passes,
        crafts=len(headlines),
        lower=bounds.lower,
        upper=bounds.upper,
    )
