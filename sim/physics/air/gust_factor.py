"""Gust factor: the strongest short gust to expect over the mean wind of a longer time."""

from __future__ import annotations

import math

SHORTEST_MEAN_S = 60.0
LONGEST_MEAN_S = 3600.0
SHORTEST_GUST_S = 1.0
LOWEST_HEIGHT_M = 2.0
HIGHEST_HEIGHT_M = 200.0

_HOUR_S = 3600.0


def gust_factor(
    gust_s: float, mean_s: float, height_m: float, turbulence_intensity: float
) -> float:
    """Give the expected peak of the gust-long running mean over the mean-long mean wind.

    Tu = 3.13 z^0.2; v = (0.007 + 0.213 (Tu / gust)^0.654) / Tu; with g = sqrt(2 ln(3600 v)),
    G = (1 + (g + 0.577 / g) (1 - 0.193 (Tu / gust + 0.1)^-0.68) Iu)
    (0.2193 ln(log10(mean)) + 0.7242).

    Not validated below 10 m, for which the guidelines were made: the intensity must then be
    that of the height.

    Parameters
    ----------
    gust_s : float
        [s] Averaging time of the gust, 1 s up to the averaging time of the mean.
    mean_s : float
        [s] Averaging time of the mean wind, 60 to 3600 s; forecasts give 600 s.
    height_m : float
        [m] z, height above the ground, 2 to 200 m.
    turbulence_intensity : float
        [1] Iu, standard deviation over mean along the wind: 0.25 in-land, 0.20 off-land,
        0.15 off-sea, 0.10 at-sea in the guidelines.

    Returns
    -------
    float
        [1] Peak over mean.

    References
    ----------
    Harper, B., Kepert, J. and Ginger, J. (2010), Guidelines for converting between various wind
    averaging periods in tropical cyclone conditions, WMO/TD-No. 1555, appendix D.
    """
    allowed = (
        ("mean_s", mean_s, SHORTEST_MEAN_S, LONGEST_MEAN_S),
        ("gust_s", gust_s, SHORTEST_GUST_S, mean_s),
        ("height_m", height_m, LOWEST_HEIGHT_M, HIGHEST_HEIGHT_M),
        ("turbulence_intensity", turbulence_intensity, 0.0, math.inf),
    )
    for name, value, low, high in allowed:
        if not low <= value <= high:
            message = f"{name} is {value:g}, it must lie from {low:g} to {high:g}"
            raise ValueError(message)
    eddy_s = 3.13 * height_m**0.2
    crossings_s = (0.007 + 0.213 * (eddy_s / gust_s) ** 0.654) / eddy_s
    root = math.sqrt(2.0 * math.log(_HOUR_S * crossings_s))
    peak = root + 0.577 / root
    passed = 1.0 - 0.193 * (eddy_s / gust_s + 0.1) ** -0.68
    shorter = 0.2193 * math.log(math.log10(mean_s)) + 0.7242
    return float((1.0 + peak * passed * turbulence_intensity) * shorter)
