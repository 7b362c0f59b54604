"""Discrete gusts of a given shape, as functions of time."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled


@compiled
def one_minus_cosine(time_s: float, start_s: float, length_s: float, peak_m_s: float) -> float:
    """Give a full pulse u = (peak / 2) (1 - cos(2 pi (t - start) / length)), zero outside it.

    Its peak comes half a length after the start and its mean over the length is half the peak.

    Parameters
    ----------
    time_s : float
        [s] t, time.
    start_s : float
        [s] When the gust begins.
    length_s : float
        [s] From its beginning to its end; no gust at 0 or below.
    peak_m_s : float
        [m/s] Speed at the peak, in the direction of the gust.

    Returns
    -------
    float
        [m/s] Speed added to the wind.

    References
    ----------
    The discrete gust of 14 CFR 25.341(a)(2), with distance over speed as time.
    """
    into = time_s - start_s
    if length_s <= 0.0 or into <= 0.0 or into >= length_s:
        return 0.0
    return 0.5 * peak_m_s * (1.0 - math.cos(2.0 * math.pi * into / length_s))


@compiled
def rise_and_hold(time_s: float, start_s: float, rise_s: float, peak_m_s: float) -> float:
    """Give a gust that rises as u = (peak / 2) (1 - cos(pi (t - start) / rise)) and then stays.

    Parameters
    ----------
    time_s : float
        [s] t, time.
    start_s : float
        [s] When the gust begins.
    rise_s : float
        [s] How long it rises; at 0 or below it is a step.
    peak_m_s : float
        [m/s] Speed it rises to, in the direction of the gust.

    Returns
    -------
    float
        [m/s] Speed added to the wind.

    References
    ----------
    MIL-F-8785C, paragraph 3.7.1.3, discrete gust model, with distance over speed as time.
    """
    into = time_s - start_s
    if into <= 0.0:
        return 0.0
    if into >= rise_s:
        return peak_m_s
    return 0.5 * peak_m_s * (1.0 - math.cos(math.pi * into / rise_s))
