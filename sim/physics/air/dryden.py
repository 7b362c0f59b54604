"""Dryden turbulence at low altitude: length scales, ratios and spectra."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

FOOT_M = 0.3048
LOWEST_HEIGHT_M = 10.0 * FOOT_M
HIGHEST_HEIGHT_M = 1000.0 * FOOT_M


class DrydenScales(NamedTuple):
    """Sizes of the eddies and shares of the fluctuation at one height.

    Attributes
    ----------
    along_m, across_m, vertical_m : float
        [m] Lu, Lv, Lw, length scales.
    vertical_ratio : float
        [1] sigma_w over sigma_u; sigma_v equals sigma_u.
    """

    along_m: float
    across_m: float
    vertical_m: float
    vertical_ratio: float


def dryden_scales(height_m: float) -> DrydenScales:
    """Give the low-altitude scales: Lw = h, Lu = Lv = h / (0.177 + 0.000823 h)^1.2, h in feet.

    sigma_w / sigma_u = (0.177 + 0.000823 h)^0.4. These are the scales of MIL-F-8785C; those of
    MIL-HDBK-1797 differ by a factor of two in Lv and Lw.

    Parameters
    ----------
    height_m : float
        [m] Height above the ground. The model begins at 10 ft (3.05 m) and ends at 1000 ft
        (305 m); a height outside is moved to the nearer end.

    Returns
    -------
    DrydenScales
        Length scales and the ratio of the standard deviations.

    References
    ----------
    MIL-F-8785C (1980), paragraph 3.7.3.4 and figures 10 and 11.
    """
    feet = min(max(height_m, LOWEST_HEIGHT_M), HIGHEST_HEIGHT_M) / FOOT_M
    base = 0.177 + 0.000823 * feet
    along = float(feet / base**1.2) * FOOT_M
    return DrydenScales(along, along, feet * FOOT_M, float(base**0.4))


def longitudinal_spectrum(
    frequency_rad_s: NDArray[np.float64], length_m: float, speed_m_s: float, sigma_m_s: float
) -> NDArray[np.float64]:
    """Give Phi_u = sigma^2 (2 L / (pi V)) / (1 + (L w / V)^2), one-sided in w.

    Its integral over w from 0 to infinity is sigma^2.

    Parameters
    ----------
    frequency_rad_s : ndarray
        [rad/s] w, shape (n,).
    length_m : float
        [m] L, length scale.
    speed_m_s : float
        [m/s] V, speed of the air past the craft.
    sigma_m_s : float
        [m/s] Standard deviation.

    Returns
    -------
    ndarray
        [m2/s] Power spectral density, shape (n,).

    References
    ----------
    MIL-F-8785C (1980), paragraph 3.7.2.2.
    """
    reduced = (length_m / speed_m_s * frequency_rad_s) ** 2
    level = sigma_m_s**2 * 2.0 * length_m / (math.pi * speed_m_s)
    return np.asarray(level / (1.0 + reduced), dtype=np.float64)


def transverse_spectrum(
    frequency_rad_s: NDArray[np.float64], length_m: float, speed_m_s: float, sigma_m_s: float
) -> NDArray[np.float64]:
    """Give Phi = sigma^2 (L / (pi V)) (1 + 3 (L w / V)^2) / (1 + (L w / V)^2)^2, one-sided in w.

    Holds for the gusts across the wind and the vertical ones. Its integral over w from 0 to
    infinity is sigma^2.

    Parameters
    ----------
    frequency_rad_s : ndarray
        [rad/s] w, shape (n,).
    length_m : float
        [m] L, length scale.
    speed_m_s : float
        [m/s] V, speed of the air past the craft.
    sigma_m_s : float
        [m/s] Standard deviation.

    Returns
    -------
    ndarray
        [m2/s] Power spectral density, shape (n,).

    References
    ----------
    MIL-F-8785C (1980), paragraph 3.7.2.2.
    """
    reduced = (length_m / speed_m_s * frequency_rad_s) ** 2
    level = sigma_m_s**2 * length_m / (math.pi * speed_m_s)
    return np.asarray(level * (1.0 + 3.0 * reduced) / (1.0 + reduced) ** 2, dtype=np.float64)
