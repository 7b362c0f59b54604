"""Fabric that meets a rod of its craft stays out of it, and nothing comes of nothing."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from sim.params.drape_record import PITCH
from sim.physics.drape.contact import nearest_shares
from tests.verification.craft_builder import blow, set_inertia
from tests.verification.fabric_builder import (
    columns,
    fabric,
    fabric_energy_j,
    hung,
    node_places,
    places,
    velocities,
)
from tests.verification.hinged_craft import hinged_trial
from tests.verification.test_fabric_balance import angular_momentum, linear_momentum

RADIUS_M = 0.015
COORDINATES = st.floats(-1.0, 1.0)
POINTS = st.tuples(COORDINATES, COORDINATES, COORDINATES)


def add_rod(trial, start_m, along_m, friction=0.3):
    """Give the craft a rounded rod, body axes [m], which fabric may meet anywhere."""
    drape = trial.craft.drape
    rod = drape.capsule[int(drape.capsule_count)]
    rod.place_m[:], rod.along_m[:], rod.radius_m = start_m, along_m, RADIUS_M
    square = float(np.dot(along_m, along_m))
    rod.per_square_1_m2 = 1.0 / square if square > 0.0 else 0.0
    drape.capsule_count += 1
    drape.capsule_friction = friction


def thrown_skirt(*, friction=0.3, is_held=1):
    """Give a skirt in empty space that flies at three rods within it."""
    trial = hung(fabric("skirt", strips=8, rows=3, length_m=0.5, bending_m=0.1))
    trial.flight.gravity_m_s2 = 0.0
    trial.flight.is_held = is_held
    trial.state.body.position_m[2] += 1e5 - 100.0
    places(trial)[:, 2] += 1e5 - 100.0
    add_rod(trial, (0.0, 0.0, -0.05), (0.0, 0.0, 0.5), friction)
    add_rod(trial, (-0.1, -0.3, 0.45), (0.0, 0.6, 0.0), friction)
    add_rod(trial, (0.25, 0.1, 0.0), (0.0, 0.0, 0.6), friction)
    disorder = np.sin(np.arange(24 * 3)).reshape(24, 3)
    velocities(trial)[:] = np.array([2.0, 0.7, 0.0]) + 0.5 * disorder
    return trial


def lines(trial):
    """Give start and way [m] of all threads down and across, body axes of a level craft."""
    node = node_places(trial) - trial.state.body.position_m
    drape = trial.craft.drape
    found = []
    for kind, offset in ((0, PITCH), (1, 1)):
        at = np.flatnonzero(drape.thread.stiffness_n_m[kind] > 0.0)
        found.append((node[at], node[at + offset] - node[at]))
    starts, ways = zip(*found, strict=True)
    return np.concatenate(starts), np.concatenate(ways)


def least_gap_m(trial):
    """Give how near a line of the grid is to a rod's axis, of a level craft at rest."""
    drape, gaps = trial.craft.drape, []
    for rod in drape.capsule[: drape.capsule_count]:
        start, along = tuple(rod.place_m), tuple(rod.along_m)
        for one, way in zip(*lines(trial), strict=True):
            share, its_share = nearest_shares(tuple(one), tuple(way), start, along)
            apart = one + share * way - np.array(start) - its_share * np.array(along)
            gaps.append(float(np.linalg.norm(apart)))
    return min(gaps)


@given(POINTS, POINTS, POINTS, POINTS)
def test_nearest_points_of_two_lines_are_those_that_a_search_finds(start, way, rod, rod_way):
    """No point of either line is nearer (bounded search of the squared distance, scipy)."""
    one, along, other, its_along = (np.array(v) for v in (start, way, rod, rod_way))

    def square(shares):
        apart = one + shares[0] * along - other - shares[1] * its_along
        return float(apart @ apart)

    found = nearest_shares(start, way, rod, rod_way)
    assert 0.0 <= found[0] <= 1.0
    assert 0.0 <= found[1] <= 1.0
    least = min(
        minimize(square, x0, bounds=((0.0, 1.0), (0.0, 1.0)), method="L-BFGS-B").fun
        for x0 in ((0.5, 0.5), (0.0, 1.0))
    )
    assert square(found) <= least + 1e-6


def test_contact_conserves_momentum_and_angular_momentum():
    """Newton's third law: cloth and free craft keep both to 1e-10 while cloth beats on rods."""
    trial = thrown_skirt(is_held=0)
    trial.craft.mass_kg = 0.4
    set_inertia(trial.craft, [[0.02, 0.002, 0.001], [0.002, 0.03, 0.0], [0.001, 0.0, 0.04]])
    trial.state.body.rate_rad_s[:] = (0.5, 1.0, -0.7)
    linear, angular = linear_momentum(trial), angular_momentum(trial)
    bare = thrown_skirt(is_held=0)
    bare.states[:], bare.crafts[:] = trial.states, trial.crafts
    bare.craft.drape.capsule_count = 0
    trial.run_s(1.0)
    assert linear_momentum(trial) == pytest.approx(linear, abs=1e-10 * np.linalg.norm(linear))
    assert angular_momentum(trial) == pytest.approx(angular, abs=1e-10 * np.linalg.norm(angular))
    apart = places(bare.run_s(1.0)) - places(trial)
    assert np.abs(apart).max() > 0.05, "the cloth must have met the rods"


@pytest.mark.parametrize("friction", [0.0, 0.3])
def test_contact_never_makes_energy(friction):
    """Cloth that beats on rods has less and less, and less than without them.

    Semi-implicit steps let it ripple; the greatest of each quarter of a second counts.
    """
    ends = []
    for rods in (0, 3):
        trial = thrown_skirt(friction=friction)
        trial.craft.drape.capsule_count = rods
        start = fabric_energy_j(trial)
        energy = trial.follow(2000, fabric_energy_j, every=5)[1:] / start
        assert energy.max() < 1.005
        assert np.all(np.diff(energy.reshape(-1, 50).max(axis=1)) < 0.0)
        ends.append(energy[-50:].max())
    assert ends[1] < 0.7 * ends[0]


def test_cloth_stays_out_of_a_rod_that_the_wind_blows_it_on():
    """In 4 m/s it lies on a rod to leeward and is pressed in by less than half of its radius."""
    spec = fabric("skirt", strips=12, rows=4, length_m=0.5, areal_kg_m2=0.05)
    trial = hung(spec, density=1.225)
    blow(trial.flight, 4.0)
    add_rod(trial, (-0.3, 0.05, -0.1), (0.0, 0.0, 0.6))
    add_rod(trial, (0.3, 0.05, -0.1), (0.0, 0.0, 0.6))
    add_rod(trial, (0.05, -0.3, 0.3), (0.0, 0.6, 0.0))
    gaps = trial.follow(3000, least_gap_m, every=10)
    assert gaps.min() < RADIUS_M, "the cloth must have met a rod"
    assert gaps.min() > 0.5 * RADIUS_M
    trial.craft.drape.capsule_count, count = 0, int(trial.craft.drape.capsule_count)
    free = []
    for _ in range(50):
        trial.run(20)
        trial.craft.drape.capsule_count = count
        free.append(least_gap_m(trial))
        trial.craft.drape.capsule_count = 0
    assert min(free) < 0.1 * RADIUS_M, "without rods the cloth goes where they would be"


def test_cloth_at_rest_on_a_rod_presses_with_what_bears_on_it():
    """A ribbon that a rod holds aside: rod and rim together bear its weight, where it hangs."""
    trial = hung(fabric(rows=10, length_m=0.5), density=1.225)
    trial.flight.settling_1_s = 2.0
    rim = trial.craft.drape.rim[0].place_m
    add_rod(trial, (rim[0] - 0.05, -0.5, 0.3), (0.0, 1.0, 0.0), friction=0.0)
    lean = np.where(np.arange(10) < 4, math.asin(0.08 / 0.2), 0.0)
    places(trial)[:, 0] -= 0.05 * np.cumsum(np.sin(lean))
    places(trial)[:, 2] -= 0.05 * np.cumsum(1.0 - np.cos(lean))
    trial.run(20_000)
    masses = columns(trial, "mass_kg")
    weight = 9.80665 * float(masses.sum())
    assert trial.work.drape_force_n[2] == pytest.approx(weight, rel=1e-3)
    assert math.hypot(*trial.work.drape_force_n[:2]) < 1e-3 * weight
    middle = masses @ (places(trial) - trial.state.body.position_m) / masses.sum()
    moment = np.cross(middle, (0.0, 0.0, weight))
    assert trial.work.fabric.moment_n_m == pytest.approx(moment, abs=1e-3 * np.abs(moment).max())
    rim_alone = trial.work.fabric.rim_force_n[:, 0]
    assert rim_alone[0] < -0.1 * weight, "the rod must hold it off from under its rim"


def assert_listing_changes_nothing(trial_of, ticks):
    """Compare steps in one go with steps alone, before each of which the near lines are unknown."""
    kept, anew = trial_of(), trial_of()
    for _ in range(ticks // 100):
        kept.run(100)
        for _ in range(100):
            anew.run(1)
        assert kept.states.tobytes() == anew.states.tobytes()
    bare = trial_of()
    bare.craft.drape.capsule_count = 0
    bare.run(ticks)
    assert np.abs(places(bare) - places(kept)).max() > 0.01, "the cloth must have met the rods"


def test_a_kept_list_of_near_lines_changes_not_one_bit():
    """Cloth that flies at rods ends alike whether near lines are listed now and then or always."""
    assert_listing_changes_nothing(thrown_skirt, 600)


def test_a_kept_list_counts_how_far_a_nodding_head_has_moved():
    """Cloth at rest, and a rod on a head that swings until it beats on it."""

    def trial():
        skirt = hung(fabric("skirt", strips=8, rows=3, length_m=0.5))
        skirt.crafts["neck"] = hinged_trial().crafts["neck"]
        skirt.state.neck.rate_rad_s[:] = (3.0, 0.0)
        pivot = skirt.craft.neck.pivot_m
        add_rod(skirt, tuple(pivot), (0.0, 0.0, 0.45))
        skirt.craft.drape.capsule[0].on_head = 1
        return skirt

    assert_listing_changes_nothing(trial, 500)
