"""Where tilting two rotors moves the craft the wrong way first, or not at all.

Two rotors at height h over the CG, tilted together by d: m x'' = T (d + theta), J theta'' = T h d
with T = m g, theta positive nose down. From tilt to place that is

    x / d = g (s^2 + m g h / J) / s^4,

with zeros at +-j sqrt(m g h / J) for a CG below the rotors (an undamped notch) and at
+-sqrt(m g |h| / J) for a CG above them, one of them in the right half plane. m = 3 kg,
J = 0.05 kg m2 and h = 0.10 m give 7.670717 rad/s.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.linalg

from sim.analysis.linear_loop import continuous_roots
from sim.analysis.linearise import linearise
from sim.analysis.trim import find_trim
from sim.pack.flight import plain_flight
from sim.params.state_record import PITCH

MASS_KG, INERTIA_KG_M2, GRAVITY = 3.0, 0.05, 9.80665
ZERO_1_S = 7.670717
HEIGHT_M = 100.0
# The step is 1 ms long and of first order; at this slow motion that is 1e-4 or less.
CLOSE = 1e-3


@pytest.fixture(scope="module")
def model_of(shipped, flattened, standard_air):
    """Give a function from the rotors' height over the CG to the linear model of such a craft.

    The pitch loop is open: its demand moves the tilts alone, so that what lies between tilt and
    place is the craft and nothing else.
    """

    def of(height_m):
        craft = flattened(shipped("jellyfish_bicopter").record)
        record = craft[0]
        record.mass_kg = MASS_KG
        inertia = np.diag([0.2, INERTIA_KG_M2, 0.2])
        record.inertia_kg_m2[:], record.inertia_inverse[:] = inertia, np.linalg.inv(inertia)
        record.mixer.hover_thrust_n = MASS_KG * GRAVITY
        for rotor in record.rotor[:2]:
            rotor.pivot_m[0], rotor.pivot_m[2] = 0.0, -height_m
        record.control.loop_factor[PITCH] = 0.0
        trim = find_trim(record, plain_flight(standard_air, height_m=HEIGHT_M)[0], charge=1.0)
        return linearise(trim.crafts, trim.flights, trim.state, trim.chart)

    return of


def zeros_to_north(model):
    """Give the transmission zeros [1/s] from the pitch demand to the place north.

    z where [[A - z I, b], [c, 0]] has no full rank: a generalised eigenvalue problem.
    """
    size = len(model.a)
    inject, measure = model.b[:, [PITCH]], np.eye(1, size)
    system = np.block([[model.a, inject], [measure, np.zeros((1, 1))]])
    weight = np.zeros_like(system)
    weight[:size, :size] = np.eye(size)
    found = scipy.linalg.eigvals(system, weight)
    return continuous_roots(found[np.isfinite(found) & (np.abs(found) > 1e-3)], model.period_s)


def nearest(roots, value):
    return roots[np.argmin(np.abs(roots - value))]


def test_gravity_and_inertia_give_the_zero():
    """sqrt(m g h / J)."""
    assert math.sqrt(MASS_KG * GRAVITY * 0.1 / INERTIA_KG_M2) == pytest.approx(ZERO_1_S, rel=1e-6)


def test_a_low_centre_of_gravity_gives_an_undamped_notch(model_of):
    """Zeros at +-7.670717 j; servo, delay and sampling add none near them."""
    found = nearest(zeros_to_north(model_of(0.10)), 1j * ZERO_1_S)
    assert found.imag == pytest.approx(ZERO_1_S, rel=CLOSE)
    assert abs(found.real) < CLOSE * ZERO_1_S


def test_a_high_centre_of_gravity_gives_a_zero_in_the_right_half_plane(model_of):
    """Zeros at +-7.670717, and no notch."""
    zeros = zeros_to_north(model_of(-0.10))
    for side in (1.0, -1.0):
        found = nearest(zeros, side * ZERO_1_S)
        assert found.real == pytest.approx(side * ZERO_1_S, rel=CLOSE)
        assert abs(found.imag) < CLOSE * ZERO_1_S
    assert abs(nearest(zeros, 1j * ZERO_1_S) - 1j * ZERO_1_S) > 1.0


@pytest.mark.parametrize("height_m", [0.10, -0.10])
def test_tilting_the_rotors_pitches_the_craft_by_its_lever(model_of, height_m):
    """J q' = m g h d for a small tilt d that leans the thrust back: past delay and servo the pitch
    rate after a step of the demand is a straight line in time, and its sign turns with h.
    """
    model = model_of(height_m)
    x = np.zeros(len(model.a))
    rates, tilts = [], []
    tilt = int(np.flatnonzero(np.array(model.chart.groups) == "tilt servo")[2])
    for _ in range(200):
        x = model.a @ x + model.b[:, PITCH] * 1e-3
        rates.append(x[model.chart.attitude + 4])
        tilts.append(x[tilt])
    slope = (rates[-1] - rates[-51]) / (50 * model.period_s)
    lever_n_m = MASS_KG * GRAVITY * height_m
    assert slope == pytest.approx(lever_n_m / INERTIA_KG_M2 * tilts[-1], rel=CLOSE)
