"""Frequency response of one loop of the linearised step, broken at an actuator command.

The closed loop is `x[k+1] = A x[k] + b d[k]`, `u[k] = c x[k] + e d[k]` at a fixed period T: u is
what the controller commands, d is injected behind the place where u is read, so that the plant
receives u + d. With H = u/d the loop transfer, for negative feedback (u = -L (u + d)), is

    L = -H / (1 + H),    1 + H = 1 / (1 + L) = S.

The matrix A stays closed, so that sampling, delays and all other loops are in L exactly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias, final

import numpy as np
import scipy.linalg
from numpy.typing import NDArray

from sim.analysis.modal_form import ModalForm, modal_form, solve_triangle

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]

# A root that grows by less than this is called neutral: it takes over ten minutes to double. The
# place and heading of a craft that nothing steers are such roots.
NEUTRAL_RATE_1_S = 1e-3
# Frequencies, even and at the sharpest resonances, at which the sum over the roots is compared with
# the triangular solve; and how far, relative to the state, they may be apart.
_PROBES = 12
_LOWEST_PROBE_RAD_S = 0.01
_SAME_STATES = 1e-7
# Where to sample around a resonance, in half-widths from its peak.
_OFFSETS = np.sinh(np.linspace(-4.0, 4.0, 18))


@final
class ClosedLoop:
    """The derivative of the step at trim, factored once for every loop broken in it.

    A is balanced by powers of two and brought to the complex Schur form S, so that each further
    frequency costs one triangular solve: backward stable also where eigenvectors do not exist, as
    with pure delays (Golub and Van Loan, Matrix Computations, 4th ed., 7.4 and 7.6). Where the
    eigenvectors exist, found by comparing the two on a few frequencies, the sum over the roots
    takes its place, which costs a hundredth.

    Parameters
    ----------
    transition : (n, n) array
        [-] A, the derivative of the next state by the state.
    period_s : float
        [s] T, time between two states.
    """

    def __init__(self, transition: Reals, period_s: float) -> None:
        matrix = np.array(transition, dtype=np.float64)
        if matrix.ndim != 2 or matrix.shape[0] != matrix.shape[1] or not matrix.size:  # noqa: PLR2004
            message = f"the transition matrix must be square, not of shape {matrix.shape}"
            raise ValueError(message)
        if not np.isfinite(matrix).all():
            message = "the transition matrix holds a number that is not finite"
            raise ValueError(message)
        if not period_s > 0.0:
            message = f"the period must be positive, not {period_s} s"
            raise ValueError(message)
        balanced, (scale, _) = scipy.linalg.matrix_balance(matrix, permute=False, separate=True)
        self.period_s = float(period_s)
        self.transition = matrix
        self._scale: Reals = scale
        # By way of the real form, which takes a third of the time.
        self._schur, self._basis = scipy.linalg.rsf2csf(*scipy.linalg.schur(balanced))
        modal = modal_form(self._schur)
        self._modal = modal if self._agrees(modal) else None

    @property
    def size(self) -> int:
        """Number of states n."""
        return int(self.transition.shape[0])

    @property
    def nyquist_rad_s(self) -> float:
        """[rad/s] pi / T, the highest frequency that a sampled loop has."""
        return float(np.pi / self.period_s)

    @property
    def roots(self) -> Complexes:
        """Eigenvalues z of A, the roots of the closed loop."""
        return np.diagonal(self._schur).copy()

    def unstable_roots(self, neutral_rate_1_s: float = NEUTRAL_RATE_1_S) -> int:
        """Count the roots that grow faster than a rate [1/s]."""
        return count_unstable(self.roots, self.period_s, neutral_rate_1_s)

    def response(
        self, inject: Reals, measure: Reals, direct: Reals, frequencies_rad_s: Reals
    ) -> Complexes:
        """Give C (z I - A)^-1 B + E at z = exp(j w T).

        Parameters
        ----------
        inject : (n, p) array
            B, derivative of the next state by the injected signals.
        measure : (q, n) array
            C, derivative of the measured signals by the state.
        direct : (q, p) array
            E, derivative of the measured signals by the injected ones.
        frequencies_rad_s : (m,) array
            [rad/s] w. On a root of A the result is not finite.

        Returns
        -------
        (m, q, p) array
            The response at each frequency.
        """
        return self.transfer(inject, measure, direct)(frequencies_rad_s)

    def transfer(
        self, inject: Reals, measure: Reals, direct: Reals
    ) -> Callable[[Reals], Complexes]:
        """Give the response above as a function of frequency, prepared for many calls."""
        right = self._basis.conj().T @ (inject / self._scale[:, None])
        left = (measure * self._scale[None, :]) @ self._basis
        modal = None if self._modal is None else self._modal.transfer(left, right)

        def response(frequencies_rad_s: Reals) -> Complexes:
            points = np.exp(1j * self.period_s * np.asarray(frequencies_rad_s, dtype=np.float64))
            with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
                if modal is not None:
                    return modal.at(points) + direct[None]
                answer = np.empty((points.size, len(left), right.shape[1]), dtype=np.complex128)
                for column in range(right.shape[1]):
                    solved = solve_triangle(self._schur, points, right[:, column])
                    answer[:, :, column] = (left @ solved).T + direct[None, :, column]
                return answer

        return response

    def _agrees(self, modal: ModalForm) -> bool:
        """Tell whether the sum over the roots gives the states that the triangular solve gives."""
        waves = continuous_roots(self.roots, self.period_s)
        waves = waves[np.isfinite(waves.real) & (waves.imag > 0.0)]
        sharpest = np.argsort(np.abs(waves.real) / np.abs(waves), kind="stable")[:_PROBES]
        even = np.geomspace(_LOWEST_PROBE_RAD_S, self.nyquist_rad_s, _PROBES)
        points = np.exp(1j * self.period_s * np.concatenate([even, waves[sharpest].imag]))
        pushed = np.ones((self.size, 1), dtype=np.complex128)
        with np.errstate(all="ignore"):
            exact = solve_triangle(self._schur, points, pushed[:, 0]).T
            everything = np.eye(self.size, dtype=np.complex128)
            found = modal.transfer(everything, pushed).at(points)[:, :, 0]
            apart = np.linalg.norm(found - exact, axis=1) / np.linalg.norm(exact, axis=1)
        return bool(np.all(apart < _SAME_STATES))


@final
@dataclass(frozen=True)
class LinearLoop:
    """One loop of a `ClosedLoop`, broken where a command u is read and d is injected.

    Attributes
    ----------
    closed : ClosedLoop
        The step with every loop closed.
    inject : (n,) array
        b, derivative of the next state by d.
    measure : (n,) array
        c, derivative of u by the state.
    direct : float
        e, derivative of u by d within the same step; zero when u is read before d acts.
    """

    closed: ClosedLoop
    inject: Reals
    measure: Reals
    direct: float = 0.0

    def closed_response(self, frequencies_rad_s: Reals) -> Complexes:
        """Give H = u/d at the frequencies [rad/s]."""
        return self._transfer(np.atleast_1d(frequencies_rad_s))[:, 0, 0]

    @cached_property
    def _transfer(self) -> Callable[[Reals], Complexes]:
        return self.closed.transfer(
            np.asarray(self.inject, dtype=np.float64)[:, None],
            np.asarray(self.measure, dtype=np.float64)[None, :],
            np.array([[self.direct]]),
        )

    def response(self, frequencies_rad_s: Reals) -> Complexes:
        """Give the loop transfer L = -H / (1 + H) at the frequencies [rad/s]."""
        closed = self.closed_response(frequencies_rad_s)
        with np.errstate(divide="ignore", invalid="ignore"):
            return -closed / (1.0 + closed)

    def roots_at_gain(self, factor: float) -> Complexes:
        """Give the roots z of the closed loop with this loop's gain times a factor.

        The factor k acts on u before it reaches the plant, d = (k - 1) u. With 1 these are the
        roots of the closed loop, with 0 those of the loop broken.
        """
        share = (factor - 1.0) / (1.0 - (factor - 1.0) * self.direct)
        changed = self.closed.transition + share * np.outer(self.inject, self.measure)
        roots: Complexes = scipy.linalg.eigvals(changed)
        return roots

    def unstable_roots_at_gain(
        self, factor: float, neutral_rate_1_s: float = NEUTRAL_RATE_1_S
    ) -> int:
        """Count the roots that grow with this loop's gain times a factor."""
        return count_unstable(self.roots_at_gain(factor), self.closed.period_s, neutral_rate_1_s)

    @cached_property
    def _broken_roots(self) -> Complexes:
        return self.roots_at_gain(0.0)

    def frequencies(self, lowest_rad_s: float = 1e-3, per_decade: int = 60) -> Reals:
        """Give frequencies [rad/s] that miss no resonance of the loop, both closed and broken."""
        roots = np.concatenate([self.closed.roots, self._broken_roots])
        return frequency_grid(roots, self.closed.period_s, lowest_rad_s, per_decade)


def frequency_grid(
    roots: Complexes, period_s: float, lowest_rad_s: float = 1e-3, per_decade: int = 60
) -> Reals:
    """Give frequencies [rad/s] from the lowest up to pi / T.

    Evenly spaced on a logarithmic scale, and closer around each lightly damped root z.
    """
    highest = float(np.pi / period_s)
    count = max(2, int(np.ceil(per_decade * np.log10(highest / lowest_rad_s))) + 1)
    even = np.geomspace(lowest_rad_s, highest, count)
    grid = np.concatenate([even, around_resonances(roots, period_s)])
    inside = grid[(grid >= lowest_rad_s) & (grid < highest)]
    return np.append(np.unique(inside), highest)


def continuous_roots(roots: Complexes, period_s: float) -> Complexes:
    """Give s = ln(z) / T of discrete roots z; a root at zero gives minus infinity."""
    with np.errstate(divide="ignore"):
        result: Complexes = np.log(np.abs(roots)) / period_s + 1j * np.angle(roots) / period_s
    return result


def count_unstable(roots: Complexes, period_s: float, neutral_rate_1_s: float) -> int:
    """Count discrete roots z whose growth rate ln|z| / T exceeds a rate [1/s]."""
    rates = continuous_roots(np.asarray(roots, dtype=np.complex128), period_s).real
    return int(np.count_nonzero(rates > neutral_rate_1_s))


def around_resonances(roots: Complexes, period_s: float, damping_at_most: float = 0.5) -> Reals:
    """Give frequencies [rad/s] that resolve the peak of each lightly damped root.

    A root s = -a + j w has a peak about a wide at w; the samples reach 27 half-widths to each
    side and are closest at its middle.
    """
    continuous = continuous_roots(roots, period_s)
    continuous = continuous[np.isfinite(continuous.real) & (continuous.imag > 0.0)]
    light = continuous[np.abs(continuous.real) < damping_at_most * np.abs(continuous)]
    widths = np.maximum(np.abs(light.real), 1e-6 * light.imag)
    result: Reals = (light.imag[:, None] + widths[:, None] * _OFFSETS[None, :]).ravel()
    return result
