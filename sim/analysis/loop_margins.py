"""Gain, phase, delay, modulus and disk margin of one loop, from its frequency response.

The loop transfer L is taken for negative feedback: the closed loop reaches the edge of stability
where 1 + L = 0. Every crossing of the unit circle and of the negative real axis is found and
refined; the margins are the nearest ones. Margins only mean something around a stable closed loop,
so an unstable one has none at all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from sim.analysis.disk_margin import DiskMargin, disk_margin_of
from sim.analysis.linear_loop import LinearLoop
from sim.analysis.refined_grid import Response, Samples, highest, refine

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]

# Two crossings closer than this, relative to their frequency, are one.
_SAME = 1e-7
# A turn smaller than this is rounding: at pi / T, where L is real, and where no phase is left.
_REAL_RAD = 1e-6


@final
@dataclass(frozen=True)
class Margin:
    """A margin and the frequency at which it is taken up.

    Attributes
    ----------
    value : float
        In the unit that the field's name says.
    frequency_rad_s : float or None
        [rad/s] Where L reaches -1 once the margin is used up; None when no amount does.
    """

    value: float
    frequency_rad_s: float | None


@final
@dataclass(frozen=True)
class LoopMargins:
    """What one loop bears before its closed loop turns unstable; all None if it already is.

    Attributes
    ----------
    unstable_roots : int
        Roots of the closed loop that grow.
    gain_up : Margin or None
        [-] Least factor above 1 that destabilises; infinite when none does.
    gain_down : Margin or None
        [-] Greatest factor below 1 that destabilises; zero when none does.
    phase_rad : Margin or None
        [rad] Least turn of L that destabilises: positive is lag, negative is lead; infinite when L
        stays inside the unit circle.
    delay_s : Margin or None
        [s] Least added delay that destabilises; infinite when none does.
    modulus : Margin or None
        [-] Least distance |1 + L| from the edge of stability.
    disk : DiskMargin or None
        Balanced disk margin: gain and phase varied together.
    gain_crossings : tuple of Margin
        [rad] Phase margin at every frequency at which |L| = 1, ascending.
    phase_crossings : tuple of Margin
        [-] Critical factor 1/|L| at every frequency at which L is real and negative, ascending.
    """

    unstable_roots: int
    gain_up: Margin | None = None
    gain_down: Margin | None = None
    phase_rad: Margin | None = None
    delay_s: Margin | None = None
    modulus: Margin | None = None
    disk: DiskMargin | None = None
    gain_crossings: tuple[Margin, ...] = ()
    phase_crossings: tuple[Margin, ...] = ()

    @property
    def stable(self) -> bool:
        """Whether the closed loop is stable, so that it has margins."""
        return self.unstable_roots == 0


def loop_margins(
    response: Response,
    frequencies_rad_s: Reals,
    *,
    unstable_roots: int,
    nyquist_rad_s: float | None = None,
) -> LoopMargins:
    """Find the margins of a loop whose transfer can be evaluated anywhere.

    Parameters
    ----------
    response : callable
        L at an array of frequencies [rad/s], of the same shape.
    frequencies_rad_s : (m,) array
        [rad/s] Where to look first, positive and ascending; between them the grid is refined
        until L turns little from point to point.
    unstable_roots : int
        Roots of the closed loop that grow; any at all and there are no margins.
    nyquist_rad_s : float, optional
        [rad/s] pi / T of a sampled loop. L is real there, and a root may leave at z = -1.

    Returns
    -------
    LoopMargins
        The margins; the order of the questions asked before has no influence.
    """
    if unstable_roots:
        return LoopMargins(unstable_roots)
    start = _checked(frequencies_rad_s)
    if nyquist_rad_s is not None:
        start = np.append(start[start < nyquist_rad_s * (1.0 - 1e-12)], nyquist_rad_s)
    samples = refine(response, start)
    gains = _gain_crossings(response, samples)
    phases = _phase_crossings(response, samples, nyquist_rad_s)
    at, closeness = highest(response, lambda values: -np.abs(1.0 + values), samples)
    return LoopMargins(
        unstable_roots=0,
        gain_up=min(
            (margin for margin in phases if margin.value > 1.0),
            key=lambda margin: margin.value,
            default=Margin(np.inf, None),
        ),
        gain_down=max(
            (margin for margin in phases if margin.value < 1.0),
            key=lambda margin: margin.value,
            default=Margin(0.0, None),
        ),
        phase_rad=min(gains, key=lambda m: abs(m.value), default=Margin(np.inf, None)),
        delay_s=min(map(_delay, gains), key=lambda m: m.value, default=Margin(np.inf, None)),
        modulus=Margin(-closeness, at),
        disk=disk_margin_of(response, samples),
        gain_crossings=gains,
        phase_crossings=phases,
    )


def margins_of_linear_loop(loop: LinearLoop, frequencies_rad_s: Reals | None = None) -> LoopMargins:
    """Find the margins of one loop of the linearised step."""
    grid = loop.frequencies() if frequencies_rad_s is None else frequencies_rad_s
    return loop_margins(
        loop.response,
        grid,
        unstable_roots=loop.closed.unstable_roots(),
        nyquist_rad_s=loop.closed.nyquist_rad_s,
    )


def margins_of_samples(
    frequencies_rad_s: Reals, values: Complexes, *, unstable_roots: int
) -> LoopMargins:
    """Find the margins of a loop that is known at some frequencies only.

    Between them the logarithm of L, its phase unwrapped, runs as a cubic spline over the logarithm
    of frequency; phase steps from sample to sample must stay below half a turn.
    """
    from scipy.interpolate import CubicSpline  # noqa: PLC0415 - slow to import, seldom used

    grid = _checked(frequencies_rad_s)
    values = np.asarray(values, dtype=np.complex128)
    if values.shape != grid.shape or not np.isfinite(values).all() or not values.all():
        message = "each frequency needs one value of L, finite and not zero"
        raise ValueError(message)
    logarithm = np.stack([np.log(np.abs(values)), np.unwrap(np.angle(values))], axis=1)
    spline = CubicSpline(np.log(grid), logarithm, axis=0)

    def response(frequencies: Reals) -> Complexes:
        size, phase = spline(np.log(np.clip(frequencies, grid[0], grid[-1]))).T
        result: Complexes = np.exp(size + 1j * phase)
        return result

    return loop_margins(response, grid, unstable_roots=unstable_roots)


def decibel(factor: float) -> float:
    """Give 20 log10 of a gain factor; zero gives minus infinity."""
    with np.errstate(divide="ignore"):
        return float(20.0 * np.log10(factor))


def _checked(frequencies_rad_s: Reals) -> Reals:
    grid = np.asarray(frequencies_rad_s, dtype=np.float64)
    if grid.ndim != 1 or grid.size < 2 or not (grid[0] > 0.0 and (np.diff(grid) > 0.0).all()):  # noqa: PLR2004
        message = "frequencies must be at least two, positive and ascending"
        raise ValueError(message)
    return grid


def _gain_crossings(response: Response, samples: Samples) -> tuple[Margin, ...]:
    """Find where |L| = 1; give the phase margin there, within half a turn to either side."""

    def excess(w: float) -> float:
        return float(np.log(np.abs(response(np.array([w]))[0])))

    heights = np.log(np.abs(samples.values))
    found = _crossings(excess, samples.frequencies_rad_s, heights)
    turns = np.angle(-response(np.array(found))) if found else np.empty(0)
    return tuple(Margin(float(turn), w) for turn, w in zip(turns, found, strict=True))


def _phase_crossings(
    response: Response, samples: Samples, nyquist_rad_s: float | None
) -> tuple[Margin, ...]:
    """Find where L is real and negative; give the factor that brings it to -1."""

    def turn(w: float) -> float:
        return float(np.angle(-response(np.array([w]))[0]))

    turns = np.angle(-samples.values)
    near = np.where(np.abs(turns) < 0.5 * np.pi, turns, np.nan)
    found = _crossings(turn, samples.frequencies_rad_s, near)
    if nyquist_rad_s is not None and abs(turns[-1]) < _REAL_RAD:
        found = [*(w for w in found if w < nyquist_rad_s * (1.0 - _SAME)), nyquist_rad_s]
    sizes = np.abs(response(np.array(found))) if found else np.empty(0)
    factors = [Margin(float(1.0 / size), w) for size, w in zip(sizes, found, strict=True)]
    limit = _limit_at_zero(response, float(samples.frequencies_rad_s[0]))
    if limit is not None and limit < 0.0:
        factors.insert(0, Margin(-1.0 / limit, 0.0))
    return tuple(factors)


def _crossings(function: Callable[[float], float], grid: Reals, values: Reals) -> list[float]:
    """Give the refined places at which a sampled function changes sign, ascending."""
    found: list[float] = [float(w) for w in grid[values == 0.0]]
    for index in np.flatnonzero(values[:-1] * values[1:] < 0.0):
        low, high = float(grid[index]), float(grid[index + 1])
        if function(low) * function(high) < 0.0:
            found.append(float(brentq(function, low, high, xtol=1e-14 * low, rtol=1e-14)))
        else:  # one of the two is zero but for rounding
            found.append(min((low, high), key=lambda w: abs(function(w))))
    found.sort()
    return [
        w for i, w in enumerate(found) if i == 0 or w - found[i - 1] > _SAME * abs(found[i - 1])
    ]


def _delay(crossing: Margin) -> Margin:
    """Turn a phase margin into the delay that lags as much; a lead needs nearly a whole turn."""
    frequency = crossing.frequency_rad_s
    if frequency is None:
        return Margin(np.inf, None)
    lag = crossing.value if crossing.value >= 0.0 else crossing.value + 2.0 * np.pi
    return Margin(0.0 if abs(crossing.value) < _REAL_RAD else lag / frequency, frequency)


def _limit_at_zero(response: Response, lowest_rad_s: float) -> float | None:
    """Give the limit of L at zero frequency, or None if L grows or still turns at the lowest one.

    Near zero a transfer with a finite limit has an even real part and an odd imaginary part.
    """
    first, second = response(np.array([lowest_rad_s, 0.5 * lowest_rad_s]))
    if not abs(second.real - first.real) <= 1e-3 * abs(first.real):
        return None
    if abs(2.0 * second.imag - first.imag) > 0.05 * abs(first.imag) + 1e-6 * abs(first.real):
        return None
    return float((4.0 * second.real - first.real) / 3.0)
