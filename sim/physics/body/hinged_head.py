"""Two bodies joined by a two-axis hinge: a craft and its head on a neck that bends.

The hinge turns the head first about the craft's forward axis (roll), then about the right axis that
has rolled with it (pitch), both through one pivot. The common centre of gravity moves as a point
mass, so that what is left are five speeds, w (3) of the craft in body axes and the two hinge rates:

    T = mu/2 |d(rho)/dt + w x rho|^2 + w I w / 2 + v J v / 2

with mu the reduced mass, rho from the craft's own centre to the head's, I and J the inertias about
them in body axes, and v the head's rate. Lagrange's equations of this T are exact; gravity, being
uniform, moves the common centre alone (Goldstein, Classical Mechanics, chapters 1 and 5).
"""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector, add, cross, dot, scale, times
from sim.params.record import FloatArray

ROLL_AXIS = (1.0, 0.0, 0.0)
STOP_RAMP_RAD = 0.005


@compiled
def pitch_axis_of(roll_rad: float) -> Vector:
    """Give the pitch axis of the hinge, body axes, at a roll [rad] of the head."""
    return (0.0, math.cos(roll_rad), math.sin(roll_rad))


@compiled
def write_head_rotation(roll_rad: float, pitch_rad: float, rotation: FloatArray) -> None:
    """Write the matrix (3, 3) that turns head axes into body axes: roll first, then pitch."""
    c1, s1 = math.cos(roll_rad), math.sin(roll_rad)
    c2, s2 = math.cos(pitch_rad), math.sin(pitch_rad)
    rotation[0, 0], rotation[0, 1], rotation[0, 2] = c2, 0.0, s2
    rotation[1, 0], rotation[1, 1], rotation[1, 2] = s1 * s2, c1, -s1 * c2
    rotation[2, 0], rotation[2, 1], rotation[2, 2] = -c1 * s2, s1, c1 * c2


@compiled
def write_turned_inertia(inertia: FloatArray, rotation: FloatArray, turned: FloatArray) -> None:
    """Write an inertia (3, 3) [kg m2] of head axes in body axes: R I R^T."""
    for i in range(3):
        row = (rotation[i, 0], rotation[i, 1], rotation[i, 2])
        x, y, z = times(inertia, row)
        for j in range(i + 1):
            value = rotation[j, 0] * x + rotation[j, 1] * y + rotation[j, 2] * z
            turned[i, j] = value
            turned[j, i] = value


@compiled
def write_mass_matrix(
    main_inertia: FloatArray,
    head_inertia: FloatArray,
    reduced_kg: float,
    apart: Vector,
    arm: Vector,
    pitch_axis: Vector,
    matrix: FloatArray,
) -> None:
    """Write the mass matrix (5, 5) [kg m2] of body rates and hinge rates.

    Parameters
    ----------
    main_inertia, head_inertia : ndarray, shape (3, 3)
        [kg m2] About their own centres of gravity, body axes.
    reduced_kg : float
        [kg] Reduced mass of the two.
    apart, arm : tuple of float
        [m] The head's centre of gravity from the craft's own, and from the pivot; body axes.
    pitch_axis : tuple of float
        Of the hinge, body axes.
    matrix : ndarray, shape (5, 5)
        Overwritten.
    """
    square = dot(apart, apart)
    for i in range(3):
        for j in range(3):
            moved = -reduced_kg * apart[i] * apart[j]
            matrix[i, j] = main_inertia[i, j] + head_inertia[i, j] + moved
        matrix[i, i] += reduced_kg * square
    sweep_1, sweep_2 = cross(ROLL_AXIS, arm), cross(pitch_axis, arm)
    spin_1, spin_2 = times(head_inertia, ROLL_AXIS), times(head_inertia, pitch_axis)
    first = add(spin_1, scale(cross(apart, sweep_1), reduced_kg))
    second = add(spin_2, scale(cross(apart, sweep_2), reduced_kg))
    for i in range(3):
        matrix[i, 3], matrix[3, i] = first[i], first[i]
        matrix[i, 4], matrix[4, i] = second[i], second[i]
    matrix[3, 3] = dot(ROLL_AXIS, spin_1) + reduced_kg * dot(sweep_1, sweep_1)
    matrix[4, 4] = dot(pitch_axis, spin_2) + reduced_kg * dot(sweep_2, sweep_2)
    both = dot(ROLL_AXIS, spin_2) + reduced_kg * dot(sweep_1, sweep_2)
    matrix[3, 4], matrix[4, 3] = both, both


@compiled
def energy_slopes(
    head_inertia: FloatArray,
    reduced_kg: float,
    apart: Vector,
    arm: Vector,
    pitch_axis: Vector,
    rates: FloatArray,
) -> tuple[float, float]:
    """Give how kinetic energy changes with roll and pitch of the head at fixed rates [N m].

    Parameters as in `write_mass_matrix`; `rates` (5,) [rad/s] are body rates and hinge rates.
    """
    turning = (rates[0], rates[1], rates[2])
    roll_rate, pitch_rate = rates[3], rates[4]
    hinge = add(scale(ROLL_AXIS, roll_rate), scale(pitch_axis, pitch_rate))
    head = add(turning, hinge)
    speed = scale(add(cross(turning, apart), cross(hinge, arm)), reduced_kg)
    spin = times(head_inertia, head)
    swept_axis = scale(cross(ROLL_AXIS, pitch_axis), pitch_rate)
    by_roll = add(cross(head, cross(ROLL_AXIS, arm)), cross(swept_axis, arm))
    by_pitch = cross(head, cross(pitch_axis, arm))
    before_pitch = add(turning, scale(ROLL_AXIS, roll_rate))
    roll = dot(speed, by_roll) - dot(spin, cross(ROLL_AXIS, turning))
    pitch = dot(speed, by_pitch) - dot(spin, cross(pitch_axis, before_pitch))
    return roll, pitch


@compiled
def hinge_loads(arm: Vector, pitch_axis: Vector, force: Vector) -> tuple[float, float]:
    """Give the moments [N m] about both hinge axes of a force [N] at the head's centre."""
    moment = cross(arm, force)
    return dot(ROLL_AXIS, moment), dot(pitch_axis, moment)


@compiled
def neck_moment(
    angle_rad: float,
    rate_rad_s: float,
    stiffness_n_m_rad: float,
    damping_n_m_s_rad: float,
    stop_rad: float,
    stop_stiffness_n_m_rad: float,
    stop_damping_n_m_s_rad: float,
) -> float:
    """Give the moment [N m] of the neck on the head about one axis: spring, damper and stops.

    A stop is a spring with a damper that grows over the first 0.005 rad, so that nothing jumps; it
    pushes and never pulls.
    """
    moment = -stiffness_n_m_rad * angle_rad - damping_n_m_s_rad * rate_rad_s
    side = 1.0 if angle_rad > 0.0 else -1.0
    beyond = side * angle_rad - stop_rad
    if beyond <= 0.0:
        return moment
    share = min(beyond / STOP_RAMP_RAD, 1.0)
    push = stop_stiffness_n_m_rad * beyond + share * stop_damping_n_m_s_rad * side * rate_rad_s
    return moment - side * max(push, 0.0)
