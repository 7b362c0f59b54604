"""Vectors along and across the wind, turned to north, east, down."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector


@compiled
def wind_to_earth(velocity_m_s: Vector, from_rad: float) -> Vector:
    """Turn a velocity from wind axes into earth axes.

    Parameters
    ----------
    velocity_m_s : Vector
        [m/s] Along the mean wind (where it blows to), to the right of it, down.
    from_rad : float
        [rad] Compass direction the mean wind blows from; 0 is north, pi/2 is east.

    Returns
    -------
    Vector
        [m/s] North, east, down.
    """
    along, right, down = velocity_m_s
    cosine, sine = math.cos(from_rad), math.sin(from_rad)
    return (-along * cosine + right * sine, -along * sine - right * cosine, down)
