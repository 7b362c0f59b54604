"""The best value of each cause for the readings, and how much the readings speak for it.

All explanations share the unknowns of the file, each with its own spread; a cause frees one
parameter more. Least squares with bounds finds the most likely values; the evidence is Laplace's
approximation (MacKay, Information Theory, Inference, and Learning Algorithms, 2003, chapter 27;
from memory), with the Gaussian priors cut off at their bounds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, final

import numpy as np
from scipy.optimize import least_squares
from scipy.special import log_ndtr, ndtr

from sim.analysis.bench_causes import Cause, CauseKind
from sim.analysis.bench_model import UNKNOWNS, Reached, Readout, Stand
from sim.params.record import FloatArray

DIFFERENCE: Final = 1e-5
MOST_UNKNOWN: Final = 6.0
INSIDE: Final = 1e-7
SAME: Final = 1e-6
MOST_RUNS: Final = 60
STARTS: Final = 9
AGAIN_SPREAD: Final = 0.25
AGAIN_MOST: Final = 0.7
AT_BOUND: Final = 1e-3
_CHARGE: Final = UNKNOWNS.index("charge")


@final
@dataclass(frozen=True)
class Readings:
    """What was read, in SI units, each with one standard deviation, and the file's unknowns.

    Attributes
    ----------
    wanted : Readout
    value, sigma : ndarray, shape (readings,)
    unknown_sigma : ndarray, shape (UNKNOWNS,)
    learned_again : bool
        Some were taken after the end points were learned anew.
    """

    wanted: Readout
    value: FloatArray
    sigma: FloatArray
    unknown_sigma: FloatArray
    learned_again: bool


@final
@dataclass(frozen=True)
class Fit:
    """One explanation, fitted.

    Attributes
    ----------
    causes : tuple of Cause
        Empty: the file is right.
    values : tuple of float
        Parameter of each cause; see `Cause`.
    z : ndarray
        All free numbers in units of their prior: unknowns, end points after learning again, causes.
    predicted : ndarray, shape (readings,)
        What the instruments would show.
    residual : ndarray, shape (readings,)
        [-] Predicted less read, in standard deviations of the reading.
    misfit : float
        [-] Sum of squares of the residuals and of the unknowns' departures from the file.
    log_evidence : float
        [-] Logarithm of the readings' likelihood, averaged over the priors.
    covariance : ndarray
        Of z.
    """

    causes: tuple[Cause, ...]
    values: tuple[float, ...]
    z: FloatArray
    predicted: FloatArray
    residual: FloatArray
    misfit: float
    log_evidence: float
    covariance: FloatArray

    @property
    def key(self) -> str:
        """Give the causes' keys, joined."""
        return "+".join(cause.key for cause in self.causes) or "as_the_file_says"

    @property
    def is_possible(self) -> bool:
        """Tell whether every parameter is one that a sound craft can have."""
        return all(
            c.least_possible <= v <= c.most_possible
            for c, v in zip(self.causes, self.values, strict=True)
        )


@final
class Problem:
    """The readings as a least-squares problem for a given set of causes."""

    def __init__(self, stand: Stand, readings: Readings, causes: tuple[Cause, ...]) -> None:
        self.stand, self.readings, self.causes = stand, readings, causes
        again = 1 if readings.learned_again else 0
        self.first = len(UNKNOWNS) + again
        centre = [0.0] * self.first + [cause.centre for cause in causes]
        spread = [*readings.unknown_sigma, *[AGAIN_SPREAD] * again, *[c.spread for c in causes]]
        unknowns = len(UNKNOWNS)
        least = [-MOST_UNKNOWN] * unknowns + [0.0] * again
        most = [MOST_UNKNOWN] * unknowns + [AGAIN_MOST / AGAIN_SPREAD] * again
        self.centre, self.spread = np.array(centre), np.array(spread)
        self.least = np.array([*least, *[(c.least - c.centre) / c.spread for c in causes]])
        self.most = np.array([*most, *[(c.most - c.centre) / c.spread for c in causes]])
        self._last: tuple[bytes, FloatArray] = (b"", np.empty(0))

    def run(self, z: FloatArray, stand: Stand | None = None) -> Reached:
        """Run the stand, or another one, with the numbers z."""
        x = self.centre + self.spread * z
        changes: dict[tuple[CauseKind, int | None], float] = {
            (cause.kind, cause.rotor): float(value)
            for cause, value in zip(self.causes, x[self.first :], strict=True)
        }
        if self.readings.learned_again:
            changes[CauseKind.END_POINTS, -1] = float(x[len(UNKNOWNS)])
        return (stand or self.stand).run(x[: len(UNKNOWNS)], changes)

    def misfits(self, z: FloatArray) -> FloatArray:
        """Give residuals of the readings, then of the priors."""
        asked = z.tobytes()
        if self._last[0] != asked:
            figures = self.run(z).figures(self.readings.wanted)
            found = np.concatenate([(figures - self.readings.value) / self.readings.sigma, z])
            self._last = (asked, found)
        return self._last[1]

    def slopes(self, z: FloatArray) -> FloatArray:
        """Give the derivative of `misfits`, by one-sided differences."""
        here = self.misfits(z)
        columns = np.empty((len(here), len(z)))
        for i in range(len(z)):
            # A full pack cannot be fuller, and a bound must not be passed.
            backwards = i == _CHARGE or z[i] + DIFFERENCE > self.most[i]
            step = -DIFFERENCE if backwards else DIFFERENCE
            moved = z.copy()
            moved[i] += step
            columns[:, i] = (self.misfits(moved) - here) / step
        return columns

    def start(self, guesses: list[FloatArray]) -> FloatArray:
        """Give the guess that misfits least, within the bounds."""
        inside = [np.clip(g, self.least + INSIDE, self.most - INSIDE) for g in guesses]
        costs = [float(np.sum(self.misfits(g) ** 2)) for g in inside]
        return inside[int(np.argmin(costs))]

    def guesses(self, known: tuple[Fit, ...]) -> list[FloatArray]:
        """Give starting points: along each cause alone, or from fits of the single causes."""
        before = [fit.z for fit in known if fit.causes == self.causes]
        if before:
            return before
        zero = np.zeros(self.first + len(self.causes))
        if len(self.causes) == 1:
            share = np.linspace(0.0, 1.0, STARTS)
            found = []
            for part in share:
                guess = zero.copy()
                low, high = max(self.least[-1], -3.0), min(self.most[-1], 3.0)
                guess[-1] = low + part * (high - low)
                found.append(guess)
            return [*found, zero]
        found = [zero]
        for k, cause in enumerate(self.causes):
            for fit in known:
                if fit.causes == (cause,):
                    guess = zero.copy()
                    guess[: self.first] = fit.z[: self.first]
                    guess[self.first + k] = fit.z[-1]
                    other = self.first + 1 - k
                    guess[other] = -self.centre[other] / self.spread[other]
                    found.append(guess)
        return found


def _log_mass(low: float, high: float) -> float:
    """Give the logarithm of a standard Gaussian's mass between two places, far out too."""
    if low > 0.0:
        low, high = -high, -low
    if high > 0.0:
        return math.log(max(float(ndtr(high) - ndtr(low)), 1e-300))
    outer, inner = float(log_ndtr(low)), float(log_ndtr(high))
    return inner + math.log(max(-math.expm1(outer - inner), 1e-300))


def fit_causes(
    stand: Stand,
    readings: Readings,
    causes: tuple[Cause, ...],
    known: tuple[Fit, ...] = (),
) -> Fit:
    """Fit the parameters of some causes, together with the unknowns of the file.

    Parameters
    ----------
    stand : Stand
        Run at the conditions of the readings.
    readings : Readings
    causes : tuple of Cause
        None, one or two.
    known : tuple of Fit
        Fits of the same causes to other readings, or of the single causes, to start from.
    """
    problem = Problem(stand, readings, causes)
    found = least_squares(
        problem.misfits,
        problem.start(problem.guesses(known)),
        jac=problem.slopes,
        bounds=(problem.least, problem.most),
        xtol=SAME,
        ftol=SAME,
        gtol=SAME,
        max_nfev=MOST_RUNS,
    )
    return _as_fit(problem, np.asarray(found.x), np.asarray(found.fun), np.asarray(found.jac))


def _as_fit(problem: Problem, z: FloatArray, misfits: FloatArray, slopes: FloatArray) -> Fit:
    """Give the fit at its best place, with Laplace's evidence.

    About z the misfit is a paraboloid with its own lowest point, which may lie beyond a bound; the
    Gaussian's share within the bounds of each cause is kept (exact for one cause in a linear
    model, for two as if they were independent).
    """
    count = len(problem.readings.value)
    hessian = slopes.T @ slopes
    covariance: FloatArray = np.asarray(np.linalg.inv(hessian), dtype=np.float64)
    gradient = slopes.T @ misfits
    lowest = z - covariance @ gradient
    cost = float(misfits @ misfits)
    log_evidence = -0.5 * (cost - float(gradient @ covariance @ gradient))
    log_evidence -= 0.5 * float(np.linalg.slogdet(hessian)[1])
    for i in range(len(UNKNOWNS), len(z)):
        width = math.sqrt(covariance[i, i])
        low, high = problem.least[i], problem.most[i]
        log_evidence += _log_mass((low - lowest[i]) / width, (high - lowest[i]) / width)
        log_evidence -= _log_mass(low, high)
    x = problem.centre + problem.spread * z
    return Fit(
        causes=problem.causes,
        values=tuple(float(v) for v in x[problem.first :]),
        z=z,
        predicted=misfits[:count] * problem.readings.sigma + problem.readings.value,
        residual=misfits[:count],
        misfit=cost,
        log_evidence=log_evidence,
        covariance=covariance,
    )
