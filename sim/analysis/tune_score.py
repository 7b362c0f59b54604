"""What a set of gains is worth on the linear model: margins, drift in gusts, work of the controls.

Everything comes from one set of eigenvectors of the closed loop: frequency responses are sums over
its roots, mean squares are integrals of responses over frequency. The joint disk margin is a lower
bound by balanced weights (see `sim.analysis.structured_value`), the single margins are read off a
grid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, TypeAlias, final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.linear_loop import NEUTRAL_RATE_1_S
from sim.analysis.loop_margins import decibel
from sim.analysis.required_margins import RequiredMargins
from sim.analysis.structured_value import balanced, scaled, upper_bounds
from sim.analysis.tune_gust import Gusts
from sim.analysis.tune_plant import SmallModel
from sim.params.record import FloatArray
from sim.params.state_record import NORTH, PITCH, ROLL, YAW

Complexes: TypeAlias = NDArray[np.complex128]

LOWEST_RAD_S = 0.01
POINTS = 140
LIGHT = 0.5
PLACE = slice(0, 3)
_FLOOR = 1e-9
# Half-widths from a resonance at which it is sampled: a slow one, which gusts excite, and others.
_SLOW_RAD_S = 4.0
_SLOW_OFFSETS = np.array([-12.0, -6.0, -3.0, -1.5, -0.7, 0.0, 0.7, 1.5, 3.0, 6.0, 12.0])
_OFFSETS = np.array([-1.0, 0.0, 1.0])
_ATTITUDE = (ROLL, PITCH, YAW)


@final
@dataclass(frozen=True)
class Figures:
    """What a set of gains is worth.

    Attributes
    ----------
    growth_1_s : float
        [1/s] Of the motion that grows most or dies away most slowly.
    disk : float
        [-] Joint disk margin of all loops; 0 when unstable.
    gain_db, phase_rad : float
        [dB, rad] Least gain margin, either way, and phase margin of roll, pitch and yaw.
    gust_m : float
        [m] Root mean square of the way from the wanted place in the gusts; inf when unstable.
    activity : float
        [-] Root mean square of the moments asked for by gusts and noise, as shares of what roll,
        pitch and yaw can give in hover, all three together.
    """

    growth_1_s: float
    disk: float
    gain_db: float
    phase_rad: float
    gust_m: float
    activity: float

    @property
    def stable(self) -> bool:
        """Whether nothing grows."""
        return self.growth_1_s <= NEUTRAL_RATE_1_S

    def shortfall(self, required: RequiredMargins) -> float:
        """Give required over found margin; at most 1 passes, inf when unstable."""
        if not self.stable:
            return math.inf
        return max(
            required.gain_db / max(self.gain_db, _FLOOR),
            required.phase_rad / max(self.phase_rad, _FLOOR),
        )


def worst_of(figures: list[Figures]) -> Figures:
    """Give the worst of every figure over several crafts."""
    return Figures(
        max(f.growth_1_s for f in figures),
        min(f.disk for f in figures),
        min(f.gain_db for f in figures),
        min(f.phase_rad for f in figures),
        max(f.gust_m for f in figures),
        max(f.activity for f in figures),
    )


@final
@dataclass(frozen=True)
class Profile:
    """Figures of a set of gains, with the bound of mu at each frequency.

    Attributes
    ----------
    grid : ndarray, shape (points,)
        [rad/s]
    log_bounds : ndarray, shape (points,)
        [-] Logarithms; the largest is that of one over the joint disk margin.
    figures : Figures
        On this grid.
    """

    grid: FloatArray
    log_bounds: FloatArray
    figures: Figures


def figures_of(model: SmallModel, gusts: Gusts, full_moment_n_m: FloatArray) -> Figures:
    """Find what a set of gains is worth.

    Parameters
    ----------
    model : SmallModel
    gusts : Gusts
        At the model's period.
    full_moment_n_m : ndarray, shape (3,)
        [N m] That roll, pitch and yaw can give in hover.
    """
    solved = _Solved.of(model)
    if not solved.is_stable:
        return Figures(solved.growth_1_s, 0.0, 0.0, 0.0, math.inf, math.inf)
    grid = _grid(solved.roots, model.period_s)
    matrices, rest = solved.answers(model, gusts, full_moment_n_m, grid)
    return Figures(solved.growth_1_s, 1.0 / largest_bound(matrices), *rest)


def profile_of(
    model: SmallModel, gusts: Gusts, full_moment_n_m: FloatArray, grid: FloatArray | None = None
) -> Profile | None:
    """Find what a set of gains is worth at every frequency; None when it is unstable.

    Parameters
    ----------
    model, gusts, full_moment_n_m : as for `figures_of`
    grid : ndarray, shape (points,), optional
        [rad/s] Frequencies of another set nearby, so that the two can be compared one by one; else
        those that suit this one.
    """
    solved = _Solved.of(model)
    if not solved.is_stable:
        return None
    if grid is None:
        grid = _grid(solved.roots, model.period_s)
    matrices, rest = solved.answers(model, gusts, full_moment_n_m, grid)
    bounds = upper_bounds(matrices, balanced(matrices))
    figures = Figures(solved.growth_1_s, 1.0 / float(bounds.max()), *rest)
    return Profile(grid, np.log(bounds), figures)


@final
@dataclass(frozen=True)
class _Solved:
    """A model in its own motions."""

    roots: Complexes
    vectors: Complexes
    growth_1_s: float

    @classmethod
    def of(cls, model: SmallModel) -> _Solved:
        roots, vectors = np.linalg.eig(model.a)
        return cls(roots, vectors, float(np.log(np.abs(roots).max()) / model.period_s))

    @property
    def is_stable(self) -> bool:
        return self.growth_1_s <= NEUTRAL_RATE_1_S

    def answers(
        self, model: SmallModel, gusts: Gusts, full_moment_n_m: FloatArray, grid: FloatArray
    ) -> tuple[Complexes, tuple[float, float, float, float]]:
        """Give the matrices whose mu counts, then gain, phase, drift and activity as in Figures."""
        roots, vectors = self.roots, self.vectors
        inverse = np.linalg.inv(vectors)
        points = np.exp(1j * model.period_s * grid)
        terms = 1.0 / (points[:, None] - roots)

        def response(rows: Complexes, columns: Any) -> Complexes:
            residues = rows.T[:, :, None] * columns[:, None, :]
            summed: Complexes = terms @ residues.reshape(len(roots), -1)
            return summed.reshape(-1, len(rows), columns.shape[1])

        demanded = model.c @ vectors
        answer = response(demanded, inverse @ model.b) + model.e
        gain, phase = _single_margins(answer)
        watched = np.vstack([vectors[PLACE], demanded[ROLL:NORTH]])
        driven = response(watched, inverse @ np.hstack([model.gust, model.noise]))
        # The filters of the gusts have roots that coincide, and so no eigenvectors: solve them.
        filters = points[:, None, None] * np.eye(len(gusts.transition)) - gusts.transition
        blown = driven[:, :, :3] @ (gusts.output @ np.linalg.solve(filters, gusts.drive))
        means = _means(blown, grid, model.period_s) + np.pad(
            _means(driven[:, 3:, 3:], grid, model.period_s), (3, 0)
        )
        drift = float(np.sqrt(means[PLACE].sum()))
        work = float(np.linalg.norm(np.sqrt(means[3:]) / full_moment_n_m))
        return answer + 0.5 * np.eye(len(model.e)), (gain, phase, drift, work)


def _means(response: Complexes, grid: FloatArray, period_s: float) -> FloatArray:
    """Give mean squares of outputs, for white inputs of variance one in each period."""
    powers = (np.abs(response) ** 2).sum(axis=2)
    means: FloatArray = np.trapezoid(powers, grid, axis=0) + powers[0] * grid[0]
    return means * period_s / np.pi


def largest_bound(matrices: Complexes) -> float:
    """Give the largest upper bound of mu over frequency that balanced weights prove.

    mu is at least the largest diagonal entry, and at most the largest sum of sizes along a row or
    column, with any weights; where the second is below the first anywhere, nothing is looked at.
    """
    usual = np.sqrt((np.abs(matrices) ** 2).mean(axis=0)).astype(np.complex128)
    sizes = np.abs(scaled(matrices, balanced(usual[None])))
    least = float(np.abs(np.diagonal(matrices, axis1=1, axis2=2)).max())
    most = np.minimum(sizes.sum(axis=1).max(axis=1), sizes.sum(axis=2).max(axis=1))
    matrices = matrices[most > least]
    if not len(matrices):
        return least
    turned = scaled(matrices, balanced(matrices))
    frobenius = np.linalg.norm(turned, axis=(1, 2))
    order = np.argsort(-frobenius)
    worst = least
    for start in range(0, len(order), 16):
        some = order[start : start + 16]
        if frobenius[some[0]] <= worst:
            break
        worst = max(worst, float(np.linalg.norm(turned[some], ord=2, axis=(1, 2)).max()))
    return worst


def _grid(roots: Complexes, period_s: float) -> FloatArray:
    """Give frequencies [rad/s]: even ones, and some around each resonance."""
    even = np.geomspace(LOWEST_RAD_S, np.pi / period_s, POINTS)
    waves = np.log(np.where(roots == 0.0, 1e-300, roots)) / period_s
    light = waves[(waves.imag > LOWEST_RAD_S) & (np.abs(waves.real) < LIGHT * np.abs(waves))]
    slow = light.imag < _SLOW_RAD_S
    near = np.concatenate(
        [
            (some.imag[:, None] + np.abs(some.real)[:, None] * offsets).ravel()
            for some, offsets in ((light[slow], _SLOW_OFFSETS), (light[~slow], _OFFSETS))
        ]
    )
    near = near[(near > LOWEST_RAD_S) & (near < even[-1])]
    return np.unique(np.concatenate([even, near]))


def _single_margins(response: Complexes) -> tuple[float, float]:
    """Give the least gain margin [dB] and phase margin [rad] of the attitude loops."""
    least_db, least_rad = math.inf, math.inf
    for axis in _ATTITUDE:
        closed = response[:, axis, axis]
        loop = -closed / (1.0 + closed)
        heights, turns = np.log(np.abs(loop)), np.angle(-loop)
        at = np.flatnonzero(heights[:-1] * heights[1:] < 0.0)
        share = heights[at] / (heights[at] - heights[at + 1])
        step = np.angle(np.exp(1j * (turns[at + 1] - turns[at])))
        if at.size:
            there = np.angle(np.exp(1j * (turns[at] + share * step)))
            least_rad = min(least_rad, float(np.abs(there).min()))
        near = np.abs(turns) < 0.5 * np.pi
        at = np.flatnonzero((turns[:-1] * turns[1:] < 0.0) & near[:-1] & near[1:])
        share = turns[at] / (turns[at] - turns[at + 1])
        if at.size:
            sizes = heights[at] + share * (heights[at + 1] - heights[at])
            least_db = min(least_db, abs(decibel(math.exp(float(sizes[np.abs(sizes).argmin()])))))
    return least_db, least_rad
