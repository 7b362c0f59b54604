"""Three-vectors as tuples of floats, which the compiler keeps in registers."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.record import FloatArray

Vector = tuple[float, float, float]


@compiled
def add(a: Vector, b: Vector) -> Vector:
    """Give a + b, in the unit of both."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


@compiled
def subtract(a: Vector, b: Vector) -> Vector:
    """Give a - b, in the unit of both."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


@compiled
def scale(a: Vector, factor: float) -> Vector:
    """Give the vector times a number."""
    return (a[0] * factor, a[1] * factor, a[2] * factor)


@compiled
def dot(a: Vector, b: Vector) -> float:
    """Give the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@compiled
def cross(a: Vector, b: Vector) -> Vector:
    """Give the vector product, right-handed."""
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


@compiled
def norm(a: Vector) -> float:
    """Give the length."""
    return math.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])


@compiled
def times(matrix: FloatArray, v: Vector) -> Vector:
    """Give a matrix (3, 3) times a vector."""
    return (
        matrix[0, 0] * v[0] + matrix[0, 1] * v[1] + matrix[0, 2] * v[2],
        matrix[1, 0] * v[0] + matrix[1, 1] * v[1] + matrix[1, 2] * v[2],
        matrix[2, 0] * v[0] + matrix[2, 1] * v[1] + matrix[2, 2] * v[2],
    )
