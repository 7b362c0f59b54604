"""Attitude arithmetic against the algebra of rotations and an independent library."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from sim.numerics.quaternion import (
    compose,
    euler_angles,
    from_euler,
    to_body,
    to_earth,
    turned,
    write_rotation,
)

ROUNDING = 1e-14
LEVEL = (1.0, 0.0, 0.0, 0.0)
ANGLES = st.floats(-math.pi, math.pi)
TURNS = st.tuples(*[st.floats(-3.0, 3.0)] * 3)
VECTORS = st.tuples(*[st.floats(-10.0, 10.0)] * 3)


@st.composite
def attitudes(draw):
    return from_euler(draw(ANGLES), draw(ANGLES), draw(ANGLES))


def matrix(attitude):
    rotation = np.empty((3, 3))
    write_rotation(np.array(attitude), rotation)
    return rotation


def library(attitude):
    w, x, y, z = attitude
    return Rotation.from_quat([x, y, z, w])


@given(roll=ANGLES, pitch=ANGLES, heading=ANGLES)
def test_euler_angles_agree_with_the_library(roll, pitch, heading):
    """ISO 1151-1: heading about z, then pitch about the new y, then roll about the new x."""
    ours = matrix(from_euler(roll, pitch, heading))
    theirs = Rotation.from_euler("ZYX", [heading, pitch, roll]).as_matrix()
    assert ours == pytest.approx(theirs, abs=ROUNDING)


@given(roll=ANGLES, pitch=st.floats(-1.5, 1.5), heading=ANGLES)
def test_euler_angles_come_back(roll, pitch, heading):
    """Angles to attitude and back, as angles of the circle, away from nose up and nose down."""
    back = euler_angles(matrix(from_euler(roll, pitch, heading)))
    for asked, given_back in zip((roll, pitch, heading), back, strict=True):
        assert math.remainder(asked - given_back, 2.0 * math.pi) == pytest.approx(0.0, abs=1e-12)


@given(a=attitudes())
def test_matrix_is_a_rotation(a):
    """R R^T = 1 and det R = 1; the library makes the same one."""
    rotation = matrix(a)
    assert rotation @ rotation.T == pytest.approx(np.eye(3), abs=ROUNDING)
    assert np.linalg.det(rotation) == pytest.approx(1.0, abs=ROUNDING)
    assert rotation == pytest.approx(library(a).as_matrix(), abs=ROUNDING)


@given(a=attitudes(), b=attitudes())
def test_product_is_one_turn_after_the_other(a, b):
    """R(a b) = R(a) R(b)."""
    assert matrix(compose(a, b)) == pytest.approx(matrix(a) @ matrix(b), abs=ROUNDING)


@given(a=attitudes(), b=attitudes(), c=attitudes())
def test_product_is_associative(a, b, c):
    """(a b) c = a (b c), and the level attitude changes nothing."""
    left, right = compose(compose(a, b), c), compose(a, compose(b, c))
    assert left == pytest.approx(right, abs=ROUNDING)
    assert compose(a, LEVEL) == a
    assert compose(LEVEL, a) == a


@given(a=attitudes(), v=VECTORS)
def test_earth_and_body_axes_undo_each_other(a, v):
    """Turned to earth and back a vector is itself, and keeps its length."""
    rotation = matrix(a)
    away = to_earth(rotation, v)
    assert to_body(rotation, away) == pytest.approx(v, abs=1e-13)
    assert np.linalg.norm(away) == pytest.approx(np.linalg.norm(v), abs=1e-13)
    assert away == pytest.approx(library(a).apply(v), abs=1e-13)


@given(a=attitudes(), turn=TURNS)
def test_turn_by_a_rotation_vector(a, turn):
    """q exp(phi / 2): the exponential map in body axes, as the library has it."""
    new = turned(a, turn)
    assert math.hypot(*new) == pytest.approx(1.0, abs=ROUNDING)
    expected = library(a) * Rotation.from_rotvec(turn)
    assert matrix(new) == pytest.approx(expected.as_matrix(), abs=ROUNDING)


@given(turn=TURNS, scale=st.floats(1e-9, 1e-3))
def test_small_turns_keep_their_digits(turn, scale):
    """The series below 1e-4 rad: first three terms, error below angle^5, joined without a step."""
    small = tuple(scale * t for t in turn)
    new = turned(LEVEL, small)
    exact = Rotation.from_rotvec(small).as_quat()
    assert new[1:] == pytest.approx(exact[:3], rel=1e-12, abs=1e-18)


@given(turn=TURNS, steps=st.integers(2, 500))
def test_a_steady_turn_in_many_steps_is_one_turn(turn, steps):
    """exp(n phi) = exp(phi)^n: rotation at a steady rate has no step error."""
    attitude = LEVEL
    for _ in range(steps):
        attitude = turned(attitude, tuple(t / steps for t in turn))
    assert matrix(attitude) == pytest.approx(matrix(turned(LEVEL, turn)), abs=1e-12)


def test_axes_are_those_of_the_standard():
    """Nose up lifts the x axis; right wing down lowers the y axis; heading is clockwise."""
    small = 0.1
    assert to_earth(matrix(from_euler(0.0, small, 0.0)), (1.0, 0.0, 0.0))[2] < 0.0
    assert to_earth(matrix(from_euler(small, 0.0, 0.0)), (0.0, 1.0, 0.0))[2] > 0.0
    assert to_earth(matrix(from_euler(0.0, 0.0, small)), (1.0, 0.0, 0.0))[1] > 0.0
