"""Attitude as a unit quaternion w x y z that turns body vectors into earth vectors."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector, times
from sim.params.record import FloatArray

Quaternion = tuple[float, float, float, float]
SMALL_ANGLE_SQUARE = 1e-8


@compiled
def compose(a: Quaternion, b: Quaternion) -> Quaternion:
    """Give the product a b (first b, then a, seen from earth)."""
    return (
        a[0] * b[0] - a[1] * b[1] - a[2] * b[2] - a[3] * b[3],
        a[0] * b[1] + a[1] * b[0] + a[2] * b[3] - a[3] * b[2],
        a[0] * b[2] - a[1] * b[3] + a[2] * b[0] + a[3] * b[1],
        a[0] * b[3] + a[1] * b[2] - a[2] * b[1] + a[3] * b[0],
    )


@compiled
def turned(attitude: Quaternion, rotation_rad: Vector) -> Quaternion:
    """Give the attitude after a turn by a rotation vector [rad] in body axes, renormalised.

    The exponential map, with its series below an angle of 1e-4 rad.
    """
    x, y, z = rotation_rad
    square = x * x + y * y + z * z
    if square < SMALL_ANGLE_SQUARE:
        cosine = 1.0 - square / 8.0
        factor = 0.5 - square / 48.0
    else:
        angle = math.sqrt(square)
        cosine = math.cos(0.5 * angle)
        factor = math.sin(0.5 * angle) / angle
    w, x, y, z = compose(attitude, (cosine, x * factor, y * factor, z * factor))
    length = math.sqrt(w * w + x * x + y * y + z * z)
    return (w / length, x / length, y / length, z / length)


@compiled
def write_rotation(attitude: FloatArray, rotation: FloatArray) -> None:
    """Write the matrix (3, 3) [-] that turns body axes into earth axes."""
    w, x, y, z = attitude[0], attitude[1], attitude[2], attitude[3]
    rotation[0, 0] = 1.0 - 2.0 * (y * y + z * z)
    rotation[0, 1] = 2.0 * (x * y - w * z)
    rotation[0, 2] = 2.0 * (x * z + w * y)
    rotation[1, 0] = 2.0 * (x * y + w * z)
    rotation[1, 1] = 1.0 - 2.0 * (x * x + z * z)
    rotation[1, 2] = 2.0 * (y * z - w * x)
    rotation[2, 0] = 2.0 * (x * z - w * y)
    rotation[2, 1] = 2.0 * (y * z + w * x)
    rotation[2, 2] = 1.0 - 2.0 * (x * x + y * y)


@compiled
def to_earth(rotation: FloatArray, v: Vector) -> Vector:
    """Give a body vector in earth axes."""
    return times(rotation, v)


@compiled
def to_body(rotation: FloatArray, v: Vector) -> Vector:
    """Give an earth vector in body axes."""
    return (
        rotation[0, 0] * v[0] + rotation[1, 0] * v[1] + rotation[2, 0] * v[2],
        rotation[0, 1] * v[0] + rotation[1, 1] * v[1] + rotation[2, 1] * v[2],
        rotation[0, 2] * v[0] + rotation[1, 2] * v[1] + rotation[2, 2] * v[2],
    )


@compiled
def euler_angles(rotation: FloatArray) -> Vector:
    """Give roll, pitch, heading [rad] of a rotation matrix (ISO 1151-1 order: yaw, pitch, roll)."""
    sine = min(1.0, max(-1.0, -rotation[2, 0]))
    return (
        math.atan2(rotation[2, 1], rotation[2, 2]),
        math.asin(sine),
        math.atan2(rotation[1, 0], rotation[0, 0]),
    )


@compiled
def from_euler(roll: float, pitch: float, heading: float) -> Quaternion:
    """Give the attitude of roll, pitch and heading [rad] (ISO 1151-1 order)."""
    cr, sr = math.cos(0.5 * roll), math.sin(0.5 * roll)
    cp, sp = math.cos(0.5 * pitch), math.sin(0.5 * pitch)
    ch, sh = math.cos(0.5 * heading), math.sin(0.5 * heading)
    return (
        cr * cp * ch + sr * sp * sh,
        sr * cp * ch - cr * sp * sh,
        cr * sp * ch + sr * cp * sh,
        cr * cp * sh - sr * sp * ch,
    )
