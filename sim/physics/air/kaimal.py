"""Kaimal turbulence as wind-turbine practice has it, by a sum of lags fitted to its spectrum."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.numerics.compile import compiled
from sim.numerics.noise import FourNormals
from sim.params.record import FloatArray
from sim.params.wind_record import LAGS, LagBankRecord

HIGHEST_SCALED_M: Final = 60.0
SCALE_OVER_HEIGHT: Final = 0.7
LENGTHS_OVER_SCALE: Final = (8.1, 2.7, 0.66)
SIGMA_RATIOS: Final = (1.0, 0.8, 0.5)

# Time constants over L / V, and shares of the variance, of four lags whose spectra together are
# Kaimal's to 5.1 % for f L / V from 0.001 to 100 (least greatest error of the logarithm).
LAG_TIMES: Final = (2.97383573, 0.55312834, 0.06918605, 0.00500117)
LAG_SHARES: Final = (0.20151434, 0.59854267, 0.17158728, 0.02835571)
WORST_FIT: Final = 0.051
FIT_RANGE: Final = (1e-3, 100.0)


class KaimalScales(NamedTuple):
    """Sizes of the eddies and shares of the fluctuation at one height.

    Attributes
    ----------
    lengths_m : tuple of float
        [m] L of the three components: along the wind, across, vertical.
    ratios : tuple of float
        [1] Their standard deviations over that along the wind.
    """

    lengths_m: tuple[float, float, float]
    ratios: tuple[float, float, float]


class LagBank(NamedTuple):
    """Lags whose sum is one gust component: x_i(k+1) = decay_i x_i(k) + gain_i normal_i.

    Attributes
    ----------
    decay, gain, stationary : ndarray, shape (4,)
        [1], [m/s], [m/s] Per period; of the noise; of a first draw.
    """

    decay: FloatArray
    gain: FloatArray
    stationary: FloatArray


Lags = LagBank | LagBankRecord


def kaimal_scales(height_m: float) -> KaimalScales:
    """Give L = 8.1, 2.7 and 0.66 times Lambda_1, and sigma ratios 1, 0.8 and 0.5.

    Lambda_1 = 0.7 z up to z = 60 m, 42 m above.

    Parameters
    ----------
    height_m : float
        [m] z. The standard is made for hub heights of tens of metres; near the ground the scales
        are an extrapolation.

    References
    ----------
    IEC 61400-1, edition 3 (2005), section 6.3 and annex B (constants from memory).
    """
    scale = SCALE_OVER_HEIGHT * min(height_m, HIGHEST_SCALED_M)
    along, across, vertical = (length * scale for length in LENGTHS_OVER_SCALE)
    return KaimalScales((along, across, vertical), SIGMA_RATIOS)


def kaimal_spectrum(
    frequency_hz: NDArray[np.float64], length_m: float, speed_m_s: float, sigma_m_s: float
) -> NDArray[np.float64]:
    """Give S = sigma^2 (4 L / V) / (1 + 6 f L / V)^(5/3), one-sided in f.

    Its integral over f from 0 to infinity is sigma^2.

    Parameters
    ----------
    frequency_hz : ndarray
        [Hz] f, shape (n,).
    length_m, speed_m_s, sigma_m_s : float
        [m], [m/s], [m/s] Length scale, speed of the air past the craft, standard deviation.

    Returns
    -------
    ndarray
        [m2/s] Power spectral density, shape (n,).

    References
    ----------
    IEC 61400-1, edition 3 (2005), annex B (from memory).
    """
    time_s = length_m / speed_m_s
    spectrum = sigma_m_s**2 * 4.0 * time_s / (1.0 + 6.0 * frequency_hz * time_s) ** (5.0 / 3.0)
    return np.asarray(spectrum, dtype=np.float64)


def lag_bank_spectrum(
    frequency_hz: NDArray[np.float64], length_m: float, speed_m_s: float, sigma_m_s: float
) -> NDArray[np.float64]:
    """Give the spectrum of the lags' sum, to which `kaimal_spectrum` is fitted; same arguments."""
    time_s = length_m / speed_m_s
    total = np.zeros_like(frequency_hz)
    for share, lag in zip(LAG_SHARES, LAG_TIMES, strict=True):
        reduced = 2.0 * math.pi * frequency_hz * lag * time_s
        total += share * 4.0 * lag * time_s / (1.0 + reduced**2)
    return np.asarray(sigma_m_s**2 * total, dtype=np.float64)


def lag_bank(length_m: float, speed_m_s: float, sigma_m_s: float, period_s: float) -> LagBank:
    """Make the lags of one component, exact at a fixed period.

    Each has a share of the variance and its own correlation exp(-t / tau), so that the sampled sum
    has the covariance of the continuous one at every multiple of the period.

    Parameters
    ----------
    length_m, speed_m_s : float
        [m], [m/s] Length scale and speed of the air past the craft, both above 0.
    sigma_m_s, period_s : float
        [m/s], [s] Standard deviation; time step.
    """
    steps = period_s * speed_m_s / (length_m * np.array(LAG_TIMES))
    stationary = sigma_m_s * np.sqrt(np.array(LAG_SHARES) / sum(LAG_SHARES))
    return LagBank(np.exp(-steps), stationary * np.sqrt(-np.expm1(-2.0 * steps)), stationary)


@compiled
def advance_lags(state: FloatArray, first: int, lags: Lags, normals: FourNormals) -> float:
    """Move four lags, from index `first` of the state [m/s], by a period; give their sum [m/s]."""
    total = 0.0
    for k in range(LAGS):
        state[first + k] = lags.decay[k] * state[first + k] + lags.gain[k] * normals[k]
        total += state[first + k]
    return total


@compiled
def first_lags(state: FloatArray, first: int, lags: Lags, normals: FourNormals) -> float:
    """Draw four lags from their stationary distribution; give their sum [m/s]."""
    total = 0.0
    for k in range(LAGS):
        state[first + k] = lags.stationary[k] * normals[k]
        total += state[first + k]
    return total
