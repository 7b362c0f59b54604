"""Fabric that flutters by itself in a wind, and the damping that stands for its limited swing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final


@final
@dataclass(frozen=True)
class Flutter:
    """What a steady shape of the fabric does when it is let go.

    Attributes
    ----------
    motions : int
        How many of its motions grow.
    growth_1_s : float
        [1/s] Of the fastest.
    frequency_hz : float
        [Hz] Of the fastest.
    damping_1_s : float
        [1/s] Added to the fabric in the linear model, the least with which none of them grows.
    """

    motions: int
    growth_1_s: float
    frequency_hz: float
    damping_1_s: float
