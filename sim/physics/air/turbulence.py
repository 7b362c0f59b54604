"""Turbulence with a Dryden spectrum, by shaping filters that are exact at a fixed period.

The gust across the wind (and the vertical one, with its own scale) is white noise through
(1 + sqrt(3) s T) / (1 + s T)^2, T = L / V. With x1 = noise / (1 + s T) and x2 = x1 / (1 + s T) that
is sqrt(3) x1 + (1 - sqrt(3)) x2. Over one period dt, with d = dt / T,

    x(k+1) = exp(-d) [[1, 0], [d, 1]] x(k) + noise of covariance Q,
    Q = sigma^2 [[P(1, 2d) / 2, P(2, 2d) / 4], [P(2, 2d) / 4, P(3, 2d) / 4]],

P(n, x) being the regularised lower incomplete gamma function, to which the integrals of
(a s)^k exp(-2 a s) reduce; unlike a difference of exponentials it keeps all digits for small d. So
the sampled process has the covariance of the continuous one at every lag, whatever the period.

The field is frozen and carried past the craft at a constant speed (Taylor's hypothesis), which is
poor when the intensity is high: below about 10 m over rough ground.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.wind_record import AcrossRecord, TurbulenceRecord
from sim.physics.air.dryden import dryden_scales

Pair = tuple[float, float]
TurbulenceState = tuple[float, float, float, float, float]
FiveNormals = tuple[float, float, float, float, float]

_ROOT_3 = math.sqrt(3.0)


class FirstOrderShaping(NamedTuple):
    """Discrete filter for the gust along the wind: u(k+1) = decay u(k) + gain normal.

    Attributes
    ----------
    decay : float
        [1] exp(-V dt / L).
    gain : float
        [m/s] sigma sqrt(1 - decay^2).
    stationary : float
        [m/s] sigma, the standard deviation of a first draw.
    """

    decay: float
    gain: float
    stationary: float


class SecondOrderShaping(NamedTuple):
    """Discrete filter for the gust across the wind or the vertical one.

    x1(k+1) = decay x1 + noise_11 n1; x2(k+1) = coupling x1 + decay x2 + noise_21 n1 + noise_22 n2;
    gust = output_1 x1 + output_2 x2.

    Attributes
    ----------
    decay, coupling : float
        [1] Transition matrix [[decay, 0], [coupling, decay]].
    noise_11, noise_21, noise_22 : float
        [m/s] Lower triangular factor of the covariance of one period's noise.
    stationary_11, stationary_21, stationary_22 : float
        [m/s] Lower triangular factor of the covariance of the states, for a first draw.
    output_1, output_2 : float
        [1] Row that turns the states into the gust.
    """

    decay: float
    coupling: float
    noise_11: float
    noise_21: float
    noise_22: float
    stationary_11: float
    stationary_21: float
    stationary_22: float
    output_1: float
    output_2: float

    @property
    def transition(self) -> NDArray[np.float64]:
        """Transition matrix, shape (2, 2)."""
        return np.array([[self.decay, 0.0], [self.coupling, self.decay]])

    @property
    def noise_factor(self) -> NDArray[np.float64]:
        """[m/s] Factor of the noise covariance, shape (2, 2), lower triangular."""
        return np.array([[self.noise_11, 0.0], [self.noise_21, self.noise_22]])

    @property
    def stationary_factor(self) -> NDArray[np.float64]:
        """[m/s] Factor of the stationary covariance, shape (2, 2), lower triangular."""
        return np.array([[self.stationary_11, 0.0], [self.stationary_21, self.stationary_22]])

    @property
    def output(self) -> NDArray[np.float64]:
        """Output row, shape (2,)."""
        return np.array([self.output_1, self.output_2])


class DrydenFilter(NamedTuple):
    """The three shaping filters of one place and wind.

    The record of a flight has the same field names and serves the compiled functions below as well.

    Attributes
    ----------
    along : FirstOrderShaping
        For u, along the mean wind.
    across : SecondOrderShaping
        For v, to the right of the mean wind.
    vertical : SecondOrderShaping
        For w, down.
    """

    along: FirstOrderShaping
    across: SecondOrderShaping
    vertical: SecondOrderShaping


AcrossShaping = SecondOrderShaping | AcrossRecord
AirShaping = DrydenFilter | TurbulenceRecord


def first_order_shaping(
    length_m: float, speed_m_s: float, sigma_m_s: float, period_s: float
) -> FirstOrderShaping:
    """Make the filter for the gust along the wind.

    Parameters
    ----------
    length_m, speed_m_s : float
        [m], [m/s] Length scale and speed of the air past the craft, both above 0.
    sigma_m_s : float
        [m/s] Standard deviation, 0 or above.
    period_s : float
        [s] Time step, above 0.

    Returns
    -------
    FirstOrderShaping
        Coefficients, exact for this period.
    """
    step = speed_m_s * period_s / length_m
    gain = sigma_m_s * math.sqrt(-math.expm1(-2.0 * step))
    return FirstOrderShaping(decay=math.exp(-step), gain=gain, stationary=sigma_m_s)


def second_order_shaping(
    length_m: float, speed_m_s: float, sigma_m_s: float, period_s: float
) -> SecondOrderShaping:
    """Make the filter for the gust across the wind or the vertical one.

    Parameters
    ----------
    length_m, speed_m_s : float
        [m], [m/s] Length scale and speed of the air past the craft, both above 0.
    sigma_m_s : float
        [m/s] Standard deviation, 0 or above.
    period_s : float
        [s] Time step, above 0.

    Returns
    -------
    SecondOrderShaping
        Coefficients, exact for this period.
    """
    step = speed_m_s * period_s / length_m
    from scipy.special import gammainc  # noqa: PLC0415 - slow to import, not needed in still air

    first, second, third = (float(gammainc(order, 2.0 * step)) for order in (1, 2, 3))
    noise_11 = math.sqrt(first / 2.0)
    noise_21 = second / 4.0 / noise_11
    return SecondOrderShaping(
        decay=math.exp(-step),
        coupling=step * math.exp(-step),
        noise_11=sigma_m_s * noise_11,
        noise_21=sigma_m_s * noise_21,
        noise_22=sigma_m_s * math.sqrt(third / 4.0 - noise_21**2),
        stationary_11=sigma_m_s * math.sqrt(0.5),
        stationary_21=sigma_m_s * math.sqrt(0.125),
        stationary_22=sigma_m_s * math.sqrt(0.125),
        output_1=_ROOT_3,
        output_2=1.0 - _ROOT_3,
    )


def dryden_filter(
    speed_m_s: float, height_m: float, sigma_u_m_s: float, period_s: float
) -> DrydenFilter:
    """Make the three filters for one mean speed, height and intensity.

    Parameters
    ----------
    speed_m_s : float
        [m/s] Speed at which the air passes the craft: the mean wind, for a craft that hovers.
    height_m : float
        [m] Height above the ground, for the length scales; moved to 10 ft if below.
    sigma_u_m_s : float
        [m/s] Standard deviation along the wind; across it is the same, the vertical one follows
        from the height.
    period_s : float
        [s] Time step.

    Returns
    -------
    DrydenFilter
        Coefficients; all zero when the standard deviation is zero.
    """
    if not (0.0 <= sigma_u_m_s < math.inf and 0.0 < period_s < math.inf):
        message = (
            f"turbulence of {sigma_u_m_s:g} m/s at a period of {period_s:g} s: the first must be "
            "zero or above, the second above zero"
        )
        raise ValueError(message)
    if sigma_u_m_s == 0.0:
        return STILL
    if not 0.0 < speed_m_s < math.inf:
        message = f"turbulence of {sigma_u_m_s:g} m/s needs a wind, got {speed_m_s:g} m/s"
        raise ValueError(message)
    scales = dryden_scales(height_m)
    sigma_w_m_s = sigma_u_m_s * scales.vertical_ratio
    return DrydenFilter(
        along=first_order_shaping(scales.along_m, speed_m_s, sigma_u_m_s, period_s),
        across=second_order_shaping(scales.across_m, speed_m_s, sigma_u_m_s, period_s),
        vertical=second_order_shaping(scales.vertical_m, speed_m_s, sigma_w_m_s, period_s),
    )


_NOTHING = SecondOrderShaping(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)

STILL = DrydenFilter(FirstOrderShaping(0.0, 0.0, 0.0), _NOTHING, _NOTHING)
"""The filter without turbulence."""


@compiled
def advance_second_order(state: Pair, shaping: AcrossShaping, normals: Pair) -> Pair:
    """Move the two states of one gust component by one period.

    Parameters
    ----------
    state : Pair
        [m/s] x1, x2.
    shaping : AcrossShaping
        [-] Coefficients.
    normals : Pair
        [1] Two independent standard normal numbers.

    Returns
    -------
    Pair
        [m/s] x1, x2 one period later.
    """
    return (
        shaping.decay * state[0] + shaping.noise_11 * normals[0],
        shaping.coupling * state[0]
        + shaping.decay * state[1]
        + shaping.noise_21 * normals[0]
        + shaping.noise_22 * normals[1],
    )


@compiled
def first_second_order(shaping: AcrossShaping, normals: Pair) -> Pair:
    """Draw the two states of one gust component from their stationary distribution.

    Parameters
    ----------
    shaping : AcrossShaping
        [-] Coefficients.
    normals : Pair
        [1] Two independent standard normal numbers.

    Returns
    -------
    Pair
        [m/s] x1, x2.
    """
    return (
        shaping.stationary_11 * normals[0],
        shaping.stationary_21 * normals[0] + shaping.stationary_22 * normals[1],
    )


@compiled
def advance_turbulence(
    state: TurbulenceState, dryden: AirShaping, normals: FiveNormals
) -> TurbulenceState:
    """Move all five states by one period.

    Parameters
    ----------
    state : TurbulenceState
        [m/s] The gust along the wind, two states across, two vertical.
    dryden : AirShaping
        [-] Coefficients.
    normals : FiveNormals
        [1] Five independent standard normal numbers, one a state.

    Returns
    -------
    TurbulenceState
        [m/s] The states one period later.
    """
    along = dryden.along.decay * state[0] + dryden.along.gain * normals[0]
    across = advance_second_order((state[1], state[2]), dryden.across, (normals[1], normals[2]))
    vertical = advance_second_order((state[3], state[4]), dryden.vertical, (normals[3], normals[4]))
    return (along, across[0], across[1], vertical[0], vertical[1])


@compiled
def first_turbulence(dryden: AirShaping, normals: FiveNormals) -> TurbulenceState:
    """Draw all five states from their stationary distribution.

    Parameters
    ----------
    dryden : AirShaping
        [-] Coefficients.
    normals : FiveNormals
        [1] Five independent standard normal numbers, one a state.

    Returns
    -------
    TurbulenceState
        [m/s] The gust along the wind, two states across, two vertical.
    """
    across = first_second_order(dryden.across, (normals[1], normals[2]))
    vertical = first_second_order(dryden.vertical, (normals[3], normals[4]))
    return (
        dryden.along.stationary * normals[0],
        across[0],
        across[1],
        vertical[0],
        vertical[1],
    )


@compiled
def turbulence_velocity(state: TurbulenceState, dryden: AirShaping) -> Vector:
    """Give the gust velocity in wind axes.

    Parameters
    ----------
    state : TurbulenceState
        [m/s] The five states.
    dryden : AirShaping
        [-] Coefficients.

    Returns
    -------
    Vector
        [m/s] Along the mean wind, to the right of it, down.
    """
    across, vertical = dryden.across, dryden.vertical
    return (
        state[0],
        across.output_1 * state[1] + across.output_2 * state[2],
        vertical.output_1 * state[3] + vertical.output_2 * state[4],
    )
