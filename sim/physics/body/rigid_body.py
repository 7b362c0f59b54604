"""Rotation of a rigid body: a kick by the moment, then free turning to fourth order.

The split keeps the semi-implicit order that stiff fabric and feet need, while a body without moment
turns with the accuracy of the classical fourth-order Runge-Kutta rule.
"""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector, add, cross, scale, times
from sim.params.record import FloatArray


@compiled
def free_acceleration(inertia: FloatArray, inverse: FloatArray, rate: Vector) -> Vector:
    """Give the angular acceleration [rad/s2] without moment, Euler's equation in body axes.

    I dw/dt = -w x (I w), with I `inertia` [kg m2] and w `rate` [rad/s].
    """
    return times(inverse, cross(times(inertia, rate), rate))


@compiled
def free_turn(inertia: FloatArray, inverse: FloatArray, rate: Vector, step_s: float) -> Vector:
    """Give the body rate [rad/s] after a step [s] without moment (classical Runge-Kutta)."""
    k1 = free_acceleration(inertia, inverse, rate)
    k2 = free_acceleration(inertia, inverse, add(rate, scale(k1, 0.5 * step_s)))
    k3 = free_acceleration(inertia, inverse, add(rate, scale(k2, 0.5 * step_s)))
    k4 = free_acceleration(inertia, inverse, add(rate, scale(k3, step_s)))
    middle = scale(add(k2, k3), 2.0)
    return add(rate, scale(add(add(k1, k4), middle), step_s / 6.0))
