"""What fabric may not do: make momentum or energy."""

import numpy as np
import pytest

from sim.pack.drape import write_drapes
from sim.params.craft_record import CRAFT_TYPE
from tests.verification.craft_builder import set_inertia
from tests.verification.fabric_builder import (
    fabric,
    fabric_energy_j,
    hung,
    moved_kg,
    places,
    velocities,
)


def thrown():
    """Give a craft with a skirt in empty space, both in motion, the fabric in disorder."""
    spec = fabric("skirt", strips=8, rows=3, length_m=0.5, bending_m=0.1)
    trial = hung(spec)
    trial.flight.is_held = 0
    trial.flight.gravity_m_s2 = 0.0
    trial.state.body.position_m[2] += 1e5 - 100.0
    places(trial)[:, 2] += 1e5 - 100.0
    trial.craft.mass_kg = 0.4
    set_inertia(trial.craft, [[0.02, 0.002, 0.001], [0.002, 0.03, 0.0], [0.001, 0.0, 0.04]])
    trial.state.body.velocity_m_s[:] = (1.0, -2.0, 0.5)
    trial.state.body.rate_rad_s[:] = (1.0, 2.0, -1.5)
    disorder = np.sin(np.arange(24 * 3)).reshape(24, 3)
    velocities(trial)[:] = trial.state.body.velocity_m_s + 1.5 * disorder
    return trial


def linear_momentum(trial):
    masses = moved_kg(trial)
    return trial.craft.mass_kg * trial.state.body.velocity_m_s + masses @ velocities(trial)


def angular_momentum(trial):
    """Give the angular momentum [kg m2/s] about the origin of the earth axes."""
    body, masses = trial.state.body, moved_kg(trial)
    spin = trial.rotation @ (trial.craft.inertia_kg_m2 @ body.rate_rad_s)
    orbit = trial.craft.mass_kg * np.cross(body.position_m, body.velocity_m_s)
    return spin + orbit + (masses[:, None] * np.cross(places(trial), velocities(trial))).sum(axis=0)


def pull_in(drape, parts):
    """Let threads pull in so many parts of a step, and be as stiff as these bear."""
    ratio = parts / int(drape.parts)
    drape.thread.stiffness_n_m *= ratio**2
    drape.node.thread_lag_s /= ratio
    drape.parts = parts


@pytest.mark.parametrize("parts", [1, 3])
def test_fabric_conserves_linear_and_angular_momentum(parts):
    """Newton's third law: with nothing from outside, craft and cloth keep both to 1e-10.

    Threads pull along the line between their ends, folds push along their bend, so neither turns
    anything; and the body's rate is read from its angular momentum. Also where the threads pull in
    several parts of a step.
    """
    trial = thrown()
    pull_in(trial.craft.drape, parts)
    linear, angular = linear_momentum(trial), angular_momentum(trial)
    cloth = velocities(trial).copy()
    trial.run_s(2.0)
    assert np.abs(velocities(trial) - cloth).max() > 0.1, "the cloth must have been pulled about"
    assert linear_momentum(trial) == pytest.approx(linear, abs=1e-10 * np.linalg.norm(linear))
    assert angular_momentum(trial) == pytest.approx(angular, abs=1e-10 * np.linalg.norm(angular))


def pulled_aside(density):
    trial = hung(fabric("skirt", strips=8, rows=3, length_m=0.5), density=density)
    trial.run(3000)
    rest = fabric_energy_j(trial)
    velocities(trial)[:, 0] += 1.5 * np.linspace(0.3, 1.0, 3)[np.arange(24) % 3]
    return trial, rest


@pytest.mark.parametrize("density", [0.0, 1.225])
def test_swinging_cloth_never_gains_energy(density):
    """Threads with dampers and air only take: from swing to swing the energy above rest falls.

    Semi-implicit steps let it ripple within a swing; the greatest of each half second counts.
    """
    trial, rest = pulled_aside(density)
    energy = trial.follow(10_000, fabric_energy_j, every=5)[1:] - rest
    highest = energy.reshape(-1, 100).max(axis=1)
    assert energy[0] > 0.01
    assert np.all(np.diff(highest) < 0.0)
    assert energy.min() > -1e-6


@pytest.mark.parametrize(("strips", "rows"), [(24, 4), (96, 1), (8, 12), (3, 32), (2, 24)])
def test_record_has_room_for_the_largest_drape(strips, rows):
    """96 panels of a skirt: warp and weft each, and two diagonals."""
    spec = fabric("skirt" if strips > 2 else "ribbons", strips=strips, rows=rows)
    record = np.zeros(1, dtype=CRAFT_TYPE)[0]
    write_drapes((spec,), record.drape, np.zeros(3), 1.225, 1e-3)
    threads = np.count_nonzero(record.drape.thread.stiffness_n_m)
    assert threads == (4 if strips > 2 else 1) * strips * rows
