"""Hunting from the play and the slew limit of the tilt servos, predicted by describing functions.

The servo, with deadband, slew limit, stops and play, is driven by sines: the first harmonic of what
comes out, over what goes in, is its describing function N(A, w). Where N times what the rest of the
craft answers, G, is one, a swing feeds itself (harmonic balance; Gelb and Vander Velde, Multiple-
Input Describing Functions and Nonlinear System Design, 1968). Higher harmonics are left out: the
rest of the craft must weaken them. Where they are 7 % of the command, as with the shipped craft,
the command is a tenth too large, the tilt a quarter and the frequency a seventh; a swing may be
missed or imagined. Each pattern of tilts is looked at alone, yet both go through the same servos,
and one that swings shakes their play open for the other. A flight tells.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RectBivariateSpline
from scipy.optimize import root

from sim.analysis.tilt_loop import TiltLoop, tilt_loops
from sim.analysis.trim import Trim
from sim.params.record import FloatArray
from sim.step.servo_sine import answered_harmonic, first_harmonics

LOWEST_HZ: Final = 0.1
HIGHEST_HZ: Final = 8.0
FREQUENCIES: Final = 48
AMPLITUDES: Final = 30
_JUST_OVER: Final = 1.02
_LEAST_RAD: Final = math.radians(0.02)
_OVER_TRAVEL: Final = 3.0
_TURN: Final = 2.0 * math.pi
_CLOSE: Final = 1e-6
_NEAR_CELL: Final = 1.5

Complexes = NDArray[np.complex128]


@final
@dataclass(frozen=True)
class Cycle:
    """A swing that feeds itself.

    Attributes
    ----------
    axis : str
        "pitch" or "yaw".
    lasts : bool
        True: smaller swings grow to it and larger ones shrink to it (hunting). False: it is an
        edge; smaller swings die away, larger ones grow.
    frequency_hz : float
    command_rad, tilt_rad, attitude_rad : float
        [rad] Amplitude of the tilt asked for, of the tilt itself, of the craft about the axis.
    slewing : float
        [-] Share of the time that the servo moves at its greatest speed.
    release_rad : float
        [rad] The attitude, at rest, from which letting go starts a swing as large, by the linear
        model; with large swings too much, as `attitude_rad` is too little.
    third_share : float
        [-] Third harmonic of the command, which was left out, over the first: how rough this is.
    """

    axis: str
    lasts: bool
    frequency_hz: float
    command_rad: float
    tilt_rad: float
    attitude_rad: float
    slewing: float
    release_rad: float
    third_share: float


@final
@dataclass(frozen=True)
class SlewOnset:
    """Where a tilt servo begins to move at its greatest speed.

    Attributes
    ----------
    axis : str
    frequency_hz : float
        The axis' own: where its loop has a gain of one.
    command_rad : float
        [rad] Least amplitude asked for at that frequency that makes it slew; more than the travel
        when it never has to.
    """

    axis: str
    frequency_hz: float
    command_rad: float


@final
@dataclass(frozen=True)
class CycleAnswer:
    """What play and slew limit of the tilt servos do.

    Attributes
    ----------
    play_rad, deadband_rad, slew_rad_s, travel_rad : float
        Of the servo: whole width; each way; greatest speed; each way.
    cycles : tuple of Cycle
        Predicted, each pattern of tilts on its own.
    onsets : tuple of SlewOnset
    """

    play_rad: float
    deadband_rad: float
    slew_rad_s: float
    travel_rad: float
    cycles: tuple[Cycle, ...]
    onsets: tuple[SlewOnset, ...]

    @property
    def hunting(self) -> tuple[Cycle, ...]:
        """The swings that last."""
        return tuple(cycle for cycle in self.cycles if cycle.lasts)

    @property
    def edges(self) -> tuple[Cycle, ...]:
        """The swings beyond which others grow."""
        return tuple(cycle for cycle in self.cycles if not cycle.lasts)


@final
@dataclass(frozen=True)
class ServoTable:
    """The describing function of a servo on a grid.

    Attributes
    ----------
    amplitudes_rad : ndarray, shape (a,)
        [rad] Of the command.
    frequencies_rad_s : ndarray, shape (f,)
        [rad/s] Whole numbers of loop periods to the cycle.
    gain : ndarray of complex, shape (a, f)
        [-] First harmonic of the tilt over the command.
    slewing : ndarray, shape (a, f)
        [-] Share of time at the slew limit.
    """

    amplitudes_rad: FloatArray
    frequencies_rad_s: FloatArray
    gain: Complexes
    slewing: FloatArray


def servo_table(rotor: Any, step_s: float, period_ticks: int) -> ServoTable:
    """Drive a rotor's servo, as it is in the step, by sines of many amplitudes and frequencies.

    Parameters
    ----------
    rotor : record
    step_s : float
        [s]
    period_ticks : int
        [-] Steps in a loop period.
    """
    period_s = step_s * period_ticks
    dead = float(rotor.servo_deadband_rad) + 0.5 * float(rotor.servo_slop_rad)
    least = max(_JUST_OVER * dead, _LEAST_RAD)
    most = max(_OVER_TRAVEL * float(rotor.tilt_travel_rad), 2.0 * least)
    amplitudes = np.geomspace(least, most, AMPLITUDES)
    even = 1.0 / (np.geomspace(LOWEST_HZ, HIGHEST_HZ, FREQUENCIES) * period_s)
    periods = np.unique(np.round(even).astype(np.int64))[::-1].copy()
    table = np.zeros((AMPLITUDES, len(periods), 3))
    first_harmonics(rotor, amplitudes, periods, step_s, period_ticks, table)
    return ServoTable(
        amplitudes_rad=amplitudes,
        frequencies_rad_s=np.asarray(_TURN / (periods * period_s), dtype=np.float64),
        gain=table[:, :, 0] + 1j * table[:, :, 1],
        slewing=table[:, :, 2],
    )


def windings(values: Complexes) -> NDArray[np.int64]:
    """Count how often values on a grid turn about zero around each cell, shape (a - 1, f - 1).

    One turn is one root inside the cell; its sign is that of the Jacobian determinant there (the
    argument principle for maps of the plane).
    """
    around = [values[:-1, :-1], values[1:, :-1], values[1:, 1:], values[:-1, 1:]]
    turned = sum(
        np.angle(after / before)
        for before, after in zip(around, [*around[1:], around[0]], strict=True)
    )
    return np.asarray(np.round(turned / _TURN), dtype=np.int64)


def _refined(
    table: ServoTable, loop: TiltLoop, cell: tuple[int, int]
) -> tuple[float, float, complex, complex] | None:
    """Find amplitude [rad] and frequency [rad/s] of a root near a cell, N and d(G N)/dw there."""
    a, f = np.log(table.amplitudes_rad), np.log(table.frequencies_rad_s)
    real = RectBivariateSpline(a, f, table.gain.real)
    imaginary = RectBivariateSpline(a, f, table.gain.imag)

    def gain(x: float, y: float) -> complex:
        return complex(real(x, y)[0, 0], imaginary(x, y)[0, 0])

    def fed_back(x: float, y: float) -> complex:
        answer = loop.responses(np.array([math.exp(y)]))[0, 0]
        return complex(answer) * gain(x, y)

    def left(point: FloatArray) -> FloatArray:
        value = fed_back(float(point[0]), float(point[1])) - 1.0
        return np.array([value.real, value.imag])

    i, k = cell
    begin = np.array([0.5 * (a[i] + a[i + 1]), 0.5 * (f[k] + f[k + 1])])
    found = root(left, begin, tol=_CLOSE)
    size = np.array([a[i + 1] - a[i], f[k + 1] - f[k]])
    if not found.success or np.any(np.abs(found.x - begin) > _NEAR_CELL * size):
        return None
    x, y = float(found.x[0]), float(found.x[1])
    step = 1e-4
    omega = math.exp(y)
    slope = (fed_back(x, y + step) - fed_back(x, y - step)) / (2.0 * step * omega)
    return math.exp(x), omega, gain(x, y), slope


def _third_share(loop: TiltLoop, rotor: Any, amplitude: float, omega: float, ticks: int) -> float:
    """Give the third harmonic that comes back as command, over the first."""
    period_s = loop.closed.period_s
    count = round(_TURN / (omega * period_s))
    sine, cosine, _ = answered_harmonic(rotor, amplitude, count, 3, period_s / ticks, ticks)
    answer = loop.responses(np.array([3.0 * omega]))[0, 0]
    return float(np.hypot(sine, cosine) * np.abs(answer))


def cycles_of(loop: TiltLoop, rotor: Any, table: ServoTable, ticks: int) -> tuple[Cycle, ...]:
    """Find the swings of one loop that feed themselves; `ticks` are the steps in a loop period."""
    answer = loop.responses(table.frequencies_rad_s)[:, 0]
    turns = windings(answer[None, :] * table.gain - 1.0)
    found: list[Cycle] = []
    for i, k in zip(*np.nonzero(turns), strict=True):
        point = _refined(table, loop, (int(i), int(k)))
        if point is None:
            continue
        amplitude, omega, gain, slope = point
        tilt = amplitude * abs(gain)
        _, attitude, kick = loop.responses(np.array([omega]))[0]
        # Residue of the tilt's z-transform at the root: how large a swing a release starts.
        started = 2.0 * loop.closed.period_s * abs(gain) * abs(kick) / abs(slope)
        found.append(
            Cycle(
                axis=loop.axis,
                lasts=bool(turns[i, k] > 0),
                frequency_hz=omega / _TURN,
                command_rad=amplitude,
                tilt_rad=tilt,
                attitude_rad=tilt * abs(attitude),
                slewing=float(table.slewing[i : i + 2, k : k + 2].mean()),
                release_rad=tilt / started,
                third_share=_third_share(loop, rotor, amplitude, omega, ticks),
            )
        )
    return tuple(found)


def slew_onset(loop: TiltLoop, rotor: Any) -> SlewOnset:
    """Find where a servo begins to slew at its loop's own frequency.

    A second-order servo that follows A sin(w t) moves at A w |H(jw)| at most.
    """
    own, damping = float(rotor.servo_frequency_rad_s), float(rotor.servo_damping)
    omega = _TURN * np.geomspace(LOWEST_HZ, 2.0 * HIGHEST_HZ, 8 * FREQUENCIES)
    ratio = omega / own
    follows = 1.0 / np.hypot(1.0 - ratio**2, 2.0 * damping * ratio)
    size = np.abs(loop.responses(omega)[:, 0]) * follows
    crossing = np.flatnonzero((size[:-1] >= 1.0) & (size[1:] < 1.0))
    if not len(crossing):
        return SlewOnset(loop.axis, math.nan, math.inf)
    last = int(crossing[-1])
    at = float(omega[last])
    return SlewOnset(
        loop.axis, at / _TURN, float(rotor.servo_slew_rad_s) / (at * float(follows[last]))
    )


def cycle_answer(craft: Any, trim: Trim) -> CycleAnswer | None:
    """Predict hunting and slewing of a craft's tilt servos in a steady flight.

    Parameters
    ----------
    craft : record
        As packed, with play and deadband.
    trim : Trim
        Of that craft.

    Returns
    -------
    CycleAnswer or None
        None for a craft without tilt servos.
    """
    tilting = [i for i in range(int(craft.rotor_count)) if craft.rotor[i].tilts]
    if not tilting:
        return None
    rotor = craft.rotor[tilting[0]]
    step_s = float(trim.flights[0].step_s)
    ticks = int(craft.control.period_ticks)
    table = servo_table(rotor, step_s, ticks)
    loops = tilt_loops(trim)
    return CycleAnswer(
        play_rad=float(rotor.servo_slop_rad),
        deadband_rad=float(rotor.servo_deadband_rad),
        slew_rad_s=float(rotor.servo_slew_rad_s),
        travel_rad=float(rotor.tilt_travel_rad),
        cycles=tuple(cycle for loop in loops for cycle in cycles_of(loop, rotor, table, ticks)),
        onsets=tuple(slew_onset(loop, rotor) for loop in loops),
    )
