"""Sharpens a set of gains: the smooth search that ends where a broad one begins to crawl.

The largest bound of mu over frequency and crafts has corners, at which a search by samples or by
the slope of the largest alone gets stuck. With the bound at each frequency as a condition of its
own (minimise t, every bound at most t) the problem is smooth, and sequential quadratic programming
finds the corner itself (A. R. Conn, Y. Li, A Structure-Exploiting Algorithm for Nonlinear Minimax
Problems, SIAM J. Optimization 2(2), 1992, state the equivalence). The method is SLSQP of scipy (D.
Kraft, A Software Package for Sequential Quadratic Programming, DFVLR-FB 88-28, 1988), its slopes
are differences.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np
from scipy.optimize import minimize

from sim.analysis.required_margins import RequiredMargins
from sim.analysis.tune_score import Profile
from sim.params.record import FloatArray

Grids = tuple[FloatArray, ...]
Profiles = Callable[[FloatArray, Grids | None], tuple[Profile, ...] | None]
"""Gives the profiles of each craft at a point of the box, None when one is unstable."""

Share = Callable[[Callable[[FloatArray], FloatArray], Iterable[FloatArray]], Iterable[FloatArray]]
"""As `map`, perhaps in several threads."""

ACTIVITY_WEIGHT: Final = 0.25
REACH: Final = 0.3
APART: Final = 2e-3
_PRECISION: Final = 1e-5
_UNSTABLE: Final = 5.0
_LOWEST: Final = 1e-12
_MOST_T: Final = 50.0


@final
@dataclass(frozen=True)
class Aim:
    """What is sought.

    Attributes
    ----------
    least_disk : float or None
        [-] Joint disk margin to keep while drift and work of the controls are made small; None:
        the largest margin is sought.
    most_gust_m : float
        [m] Drift in gusts that may not be passed.
    """

    least_disk: float | None = None
    most_gust_m: float = math.inf


@final
class _Round:
    """One round: the frequencies stay those of the point it starts from."""

    def __init__(
        self,
        profiles: Profiles,
        required: RequiredMargins,
        aim: Aim,
        start: FloatArray,
        first: tuple[Profile, ...],
        share: Share,
    ) -> None:
        self.profiles, self.required, self.aim, self.share = profiles, required, aim, share
        self.grids = tuple(one.grid for one in first)
        self.kept_values: dict[bytes, FloatArray] = {}
        aimed, kept = self._split(first)
        self.count = len(aimed)
        self.limits = np.maximum(kept, 0.0)
        self.bad = np.concatenate([aimed, kept]) + _UNSTABLE
        self.start = start
        self.first_t = float(aimed.max())

    def _split(self, profiles: tuple[Profile, ...]) -> tuple[FloatArray, FloatArray]:
        """Give what is minimised, and what must stay at most 0, as logarithms."""
        bounds = np.concatenate([one.log_bounds for one in profiles])
        figures = [one.figures for one in profiles]
        kept = [math.log(self.required.gain_db / max(f.gain_db, _LOWEST)) for f in figures]
        kept += [math.log(self.required.phase_rad / max(f.phase_rad, _LOWEST)) for f in figures]
        kept = [max(value, -_UNSTABLE) for value in kept]
        if math.isfinite(self.aim.most_gust_m):
            kept += [math.log(f.gust_m / self.aim.most_gust_m) for f in figures]
        if self.aim.least_disk is None:
            return bounds, np.array(kept)
        work = np.array(
            [
                math.log(max(f.gust_m, _LOWEST))
                + ACTIVITY_WEIGHT * math.log(max(f.activity, _LOWEST))
                for f in figures
            ]
        )
        return work, np.concatenate([kept, bounds + math.log(self.aim.least_disk)])

    def values(self, point: FloatArray) -> FloatArray:
        """Give all of them at a point; what is unstable is far beyond every limit."""
        key = point.tobytes()
        if key not in self.kept_values:
            found = self.profiles(np.clip(point, 0.0, 1.0), self.grids)
            self.kept_values[key] = (
                self.bad if found is None else np.concatenate(self._split(found))
            )
        return self.kept_values[key]

    def room(self, both: FloatArray) -> FloatArray:
        """Give how far everything is on the right side, for a point followed by t."""
        values = self.values(both[:-1])
        room: FloatArray = np.concatenate(
            [both[-1] - values[: self.count], self.limits - values[self.count :]]
        )
        return room

    def slopes(self, both: FloatArray) -> FloatArray:
        """Give the slopes of the room."""
        point = both[:-1].copy()
        steps = np.where(point + APART > 1.0, -APART, APART)
        moved = [point + step * row for step, row in zip(steps, np.eye(len(point)), strict=True)]
        here = self.values(point)
        ahead = np.array(list(self.share(self.values, moved)))
        slopes = -((ahead - here) / steps[:, None]).T
        t = np.where(np.arange(len(here)) < self.count, 1.0, 0.0)
        return np.hstack([slopes, t[:, None]])

    def run(self, iterations: int) -> list[FloatArray]:
        """Give the points passed, the last at the end."""
        passed: list[FloatArray] = []
        size = len(self.start)

        def note(both: FloatArray) -> None:
            passed.append(np.clip(both[:-1], 0.0, 1.0))

        reach = [(max(0.0, x - REACH), min(1.0, x + REACH)) for x in self.start]
        condition: Any = {"type": "ineq", "fun": self.room, "jac": self.slopes}
        end = minimize(
            lambda both: both[-1],
            np.append(self.start, self.first_t),
            jac=lambda _: np.append(np.zeros(size), 1.0),
            method="SLSQP",
            bounds=[*reach, (-_MOST_T, _MOST_T)],
            constraints=condition,
            callback=note,
            options={"maxiter": iterations, "ftol": _PRECISION},
        )
        note(np.asarray(end.x))
        return [point for point in passed if np.isfinite(point).all()]


def sharpened(
    profiles: Profiles,
    required: RequiredMargins,
    aim: Aim,
    start: FloatArray,
    iterations: int,
    share: Share = map,
) -> list[FloatArray]:
    """Give the points that one round of a search passes, the last at its end.

    Parameters
    ----------
    profiles : callable
    required : RequiredMargins
        Margins of roll, pitch and yaw that are kept, or not made worse where they are not there.
    aim : Aim
    start : ndarray, shape (size,)
        In the box.
    iterations : int
    share : callable
        As `map`; the points of one slope do not depend on each other.
    """
    first = profiles(start, None)
    if first is None:
        return []
    return _Round(profiles, required, aim, start, first, share).run(iterations)
