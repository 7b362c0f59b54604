"""Angles that wrap around."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled


@compiled
def wrapped(angle: float) -> float:
    """Give an angle [rad] between -pi and pi."""
    return angle - 2.0 * math.pi * math.floor((angle + math.pi) / (2.0 * math.pi))
