"""Cloth that is stiff to bend, and cloth stretched on a frame, against closed forms."""

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp

from sim.params.drape_record import BESIDE, DOWN, DOWN_LEFT, DOWN_RIGHT, PITCH
from sim.physics.drape.fold import LEAST_BENT_M, fold_push
from sim.spec.drape import DrapeSpec
from tests.verification.craft_builder import (
    GRAVITY,
    Trial,
    add_particle,
    add_rim,
    add_thread,
    measured_frequency,
    stable_stiffness,
)
from tests.verification.fabric_builder import (
    AREAL_KG_M2,
    WIDTH_M,
    fabric,
    hung,
    moved_kg,
    places,
)

BENDING_LENGTH_M = 0.05
OVERHANG_M = 2.0 * BENDING_LENGTH_M
FINE = 20


def hold(trial, panels):
    """Let nothing move some particles."""
    node = trial.craft.drape.node
    at = trial.craft.drape.panel.node[panels]
    node.per_moved_mass_1_kg[at], node.is_free[at] = 0.0, 0.0


def held_strip(rows):
    """Give a strip that stands out level, its first row held, and the spacing of its rows [m].

    Half of the cell about the clamp is held with it, so its fold is twice as stiff.
    """
    row_m = OVERHANG_M / rows
    spec = fabric(rows=rows + 1, length_m=row_m * (rows + 1), bending_m=BENDING_LENGTH_M)
    trial = hung(spec, step_s=2e-5)
    hold(trial, [0])
    drape = trial.craft.drape
    drape.fold_stiffness_n_m[0, drape.panel.node[0]] *= 2.0
    places(trial)[:] = trial.state.body.position_m + drape.rim[0].place_m
    places(trial)[:, 0] += row_m * np.arange(1, rows + 2)
    stiffest = AREAL_KG_M2 * GRAVITY * BENDING_LENGTH_M**3 * WIDTH_M / row_m**3
    assert drape.fold_stiffness_n_m[0, drape.panel.node[1]] == pytest.approx(stiffest, rel=1e-9)
    return trial, row_m


def elastica_droop_rad(load):
    """Give the droop [rad] of the chord of a heavy strip, w l^3 / B = `load`, clamped level.

    theta'' = load (1 - s) cos(theta), theta(0) = 0, theta'(1) = 0.
    """

    def slope(s, y):
        return np.stack([y[1], load * (1.0 - s) * np.cos(y[0]), np.cos(y[0]), np.sin(y[0])], axis=0)

    def ends(start, end):
        return np.array([start[0], end[1], start[2], start[3]])

    s = np.linspace(0.0, 1.0, 101)
    found = solve_bvp(slope, ends, s, np.zeros((4, 101)), tol=1e-9, max_nodes=20_000)
    assert found.success
    return math.atan2(-found.y[3, -1], found.y[2, -1])


def test_strip_of_twice_the_bending_length_droops_as_the_cantilever_test_says():
    """41.5 degrees at an overhang of twice the bending length (Peirce 1930; ASTM D1388).

    That is what the exact curve of a heavy elastic strip gives too (boundary value problem, scipy).
    The model's droops further by less than a degree: its threads only pull, and beside the clamp,
    where bending presses the cloth together, it gives way by up to 4 % of its length.
    """
    trial, row_m = held_strip(FINE)
    trial.flight.settling_1_s = 30.0
    trial.run_s(1.5)
    tip = places(trial)[-1] - places(trial)[0]
    lengths = np.linalg.norm(np.diff(places(trial), axis=0), axis=1) / row_m
    assert lengths.min() > 0.96
    assert lengths.max() < 1.001
    droop = math.degrees(math.atan2(tip[2], tip[0]))
    exact = math.degrees(elastica_droop_rad(8.0))
    assert droop == pytest.approx(exact, abs=1.0)
    assert exact == pytest.approx(41.5, abs=0.05)


def test_strip_without_weight_swings_as_a_clamped_beam():
    """w = 3.516 sqrt(B / (m L^4)) for the first swing (Euler and Bernoulli)."""
    trial, row_m = held_strip(10)
    trial.flight.gravity_m_s2 = 0.0
    along = np.arange(11) * row_m / OVERHANG_M
    shape = along**2 * (6.0 - 4.0 * along + along**2) / 3.0
    rest = places(trial)[0, 2]
    places(trial)[:, 2] += 2e-4 * OVERHANG_M * shape
    exact = 3.5160153 * math.sqrt(GRAVITY * BENDING_LENGTH_M**3 / OVERHANG_M**4)
    ticks = int(4.0 * 2.0 * math.pi / exact / float(trial.flight.step_s))
    masses = moved_kg(trial)

    def amount(t):
        return (masses * shape) @ (places(t)[:, 2] - rest)

    trial.craft.drape.node.fold_lag_s[:] = 0.0
    trial.craft.drape.thread.stiffness_n_m[:] *= 0.1
    measured = measured_frequency(trial.times(ticks, 20), trial.follow(ticks, amount, every=20))
    # Ten rows: the error of differences goes as 1 / rows^2.
    assert measured == pytest.approx(exact, rel=0.01)


def test_stretched_cloth_swings_as_a_membrane():
    """w^2 = T/m (pi^2 / a^2 + pi^2 / b^2) on a rectangular frame (Rayleigh, Theory of Sound).

    Of the grid, with pulls k a metre of length between weights: w^2 = 4/m (k sin^2(pi / 2 across)
    + k sin^2(pi / 2 down)), to 1e-4; seven by eight cells bring it to 2 % of the cloth's.
    """
    strips, rows, strain = 8, 8, 0.01
    entry = {
        "cut": "banner",
        "strips": strips,
        "rows": rows,
        "length": "64 cm",
        "rim": {"length": "80 cm", "along": "right", "place": {"up": "0 cm"}},
        "fabric": {"areal_density": "0.1 kg/m2", "open_fraction": "0 %", "bending_length": "0 m"},
    }
    trial = hung(DrapeSpec.model_validate(entry), step_s=1e-4)
    trial.flight.gravity_m_s2 = 0.0
    drape = trial.craft.drape
    drape.thread.stiffness_n_m[[DOWN_RIGHT, DOWN_LEFT]] = 0.0
    drape.node.thread_lag_s[:] = 0.0
    strip, row = np.divmod(np.arange(strips * rows), rows)
    edge = (strip == 0) | (strip == strips - 1) | (row == rows - 1)
    hold(trial, np.flatnonzero(edge))
    rim = drape.rim[:strips]["place_m"]
    middle = rim[:, 1].mean()
    drape.rim["place_m"][:strips, 1] = middle + (1.0 + strain) * (rim[:, 1] - middle)
    start = trial.state.body.position_m
    places(trial)[:, 1] = start[1] + drape.rim["place_m"][strip, 1]
    row_m = float(drape.panel.height_m[0])
    places(trial)[:, 2] = start[2] + rim[0, 2] + (1.0 + strain) * row_m * (row + 1)
    shape = np.sin(math.pi * strip / (strips - 1)) * np.sin(math.pi * (row + 1) / rows)
    rest = places(trial)[0, 0]
    places(trial)[:, 0] += 1e-5 * shape
    inner = drape.panel.node[np.flatnonzero(~edge)[0]]
    # The hem, which is held here, is packed with threads half as stiff.
    drape.thread.stiffness_n_m[DOWN, drape.panel.node[: strips * rows] - PITCH] = (
        drape.thread.stiffness_n_m[DOWN, inner]
    )
    green = 0.5 * ((1.0 + strain) ** 2 - 1.0) - 0.5 * float(drape.ease)
    pulls = green * drape.thread.stiffness_n_m[[BESIDE, DOWN], inner]
    mass = float(moved_kg(trial)[np.flatnonzero(~edge)[0]])
    sines = np.sin(math.pi / 2.0 / np.array([strips - 1, rows])) ** 2
    grid = math.sqrt(4.0 / mass * float(pulls @ sines))
    cloth = math.sqrt(float(pulls @ (math.pi / np.array([strips - 1, rows])) ** 2) / mass)
    ticks = int(6.0 * 2.0 * math.pi / grid / 1e-4)

    def amount(t):
        return shape @ (places(t)[:, 0] - rest)

    measured = measured_frequency(trial.times(ticks, 2), trial.follow(ticks, amount, every=2))
    assert measured == pytest.approx(grid, rel=1e-3)
    assert measured == pytest.approx(cloth, rel=0.02)


def loss_of_a_fold(size_m, lag_s, swing_rad_s):
    """Give what a fold takes in a cycle over 2 pi times what it stores, for d = size cos(phase)."""
    stiffness = 2.0

    def power(phase):
        bent, bending = size_m * math.cos(phase), -size_m * math.sin(phase)
        push = fold_push((bent, 0.0, 0.0), (swing_rad_s * bending, 0.0, 0.0), stiffness, lag_s)
        return push[0] * bending

    ends = [0.5 * math.pi, 1.5 * math.pi]
    taken = quad(power, 0.0, 2.0 * math.pi, points=ends, limit=400)[0]
    return taken / (math.pi * stiffness * size_m**2)


def test_folds_take_what_the_loss_factor_says_at_the_first_swing():
    """Loss factor: energy lost in a radian over energy stored (ISO 6721-1); 1.2024 sqrt(g / L) is
    the first swing of hanging cloth (zero of Bessel's J0).

    Packed from a loss factor of 0.1, the lag takes as much of folds of 5 cm to 5 %; a bend of less
    than LEAST_BENT_M meets less, since it has no direction left.
    """
    length_m = 0.6
    trial = hung(fabric("skirt", strips=8, rows=3, length_m=length_m, bending_m=0.1))
    drape = trial.craft.drape
    lag = float(drape.node.fold_lag_s[drape.panel.node[1]])
    swing = 1.2024 * math.sqrt(GRAVITY / length_m)
    assert loss_of_a_fold(0.05, lag, swing) == pytest.approx(0.1, rel=0.05)
    assert loss_of_a_fold(0.05, lag, 2.0 * swing) == pytest.approx(0.2, rel=0.05)
    assert loss_of_a_fold(0.3 * LEAST_BENT_M, lag, swing) < 0.01


def test_a_weight_bounces_on_its_thread_with_half_the_loss_factor_as_damping_ratio():
    """c = loss sqrt(k m) is z = loss / 2, so a bounce fades by exp(-pi loss) (damped oscillator).

    Packed threads have that damper: with the mass of a whole panel, c / sqrt(k m) is the fabric's
    loss factor.
    """
    trial, loss, mass, step_s = Trial(), 0.1, 0.2, 1e-4
    trial.flight.is_held = 1
    trial.flight.step_s = step_s
    stiffness = stable_stiffness(mass, step_s, 1e-3)
    rest = mass * GRAVITY / stiffness
    rim = add_rim(trial.craft, (0.0, 0.0, 0.0))
    k = add_particle(trial, rim, mass, (0.0, 0.0, 0.5 + 1.5 * rest))
    add_thread(trial.craft, rim, k, 0.5, stiffness, loss * math.sqrt(stiffness * mass))

    def stretched(t):
        return t.state.particle[0].position_m[2] - t.state.body.position_m[2] - 0.5 - rest

    period = 2.0 * math.pi * math.sqrt(mass / stiffness)
    seen = trial.follow(round(1.2 * period / step_s), stretched)
    again = seen[round(0.7 * period / step_s) :].max()
    # The thread stiffens over a strain of 1e-6, a twentieth of what hangs on it.
    assert again / seen[0] == pytest.approx(math.exp(-math.pi * loss), rel=0.03)
    packed = hung(fabric("skirt", strips=8, rows=3, length_m=0.5))
    drape = packed.craft.drape
    at = int(drape.panel.node[0])
    taut = float(drape.thread.stiffness_n_m[DOWN, at])
    damper = taut * float(drape.node.thread_lag_s[at])
    assert damper / math.sqrt(taut * float(moved_kg(packed)[0])) == pytest.approx(loss, rel=1e-9)
