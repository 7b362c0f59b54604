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


@compiled
def free_rotation(
    inertia: FloatArray, inverse: FloatArray, first: Vector, last: Vector, step_s: float
) -> Vector:
    """Give the rotation vector [rad], body axes, of a step [s] of free turning.

    `first` and `last` [rad/s] are the rates at its ends. Fourth order: the corrected trapezoidal
    rule for the mean rate, and the first commutator of Magnus' series for rates that turn
    (Iserles et al., Acta Numerica 2000), h^2/12 w0 x w1.
    """
    a = free_acceleration(inertia, inverse, first)
    b = free_acceleration(inertia, inverse, last)
    bend = add(add(a, scale(b, -1.0)), cross(first, last))
    return add(scale(add(first, last), 0.5 * step_s), scale(bend, step_s * step_s / 12.0))
