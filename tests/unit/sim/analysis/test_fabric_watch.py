"""A craft is watched with its fabric as it flies, or held where it cannot, and its loads add up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.analysis.drape_load import WHOLE, HungFabric, drape_loads, hung_fabric
from sim.analysis.fabric_watch import FabricWatch, steady_wind_flight, watch_fabric
from sim.flight.run import fly
from sim.flight.start import blank_works
from sim.pack.craft import pack_craft
from sim.physics.rotor.wash import distance_from_disc
from sim.spec import load_scenario
from sim.step.batch import advance_each

GRAVITY = 9.80665
NORTH = np.array([1.0, 0.0, 0.0])


@pytest.fixture(scope="module")
def breeze(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec


@pytest.fixture(scope="module")
def blown(hover, breeze):
    """Give a packed jellyfish, its steady flight, and the watch of it, in 4 m/s."""
    packed = hover("jellyfish_bicopter").packed
    flight = steady_wind_flight(packed, breeze, 4.0)
    return packed, flight, watch_fabric(packed, flight)


def test_air_on_the_panels_and_their_weight_are_what_the_rim_hands_on(blown):
    """Momentum, step by step: what air and weight put in moves the cloth or comes out at the rim,
    which another part of the step counts; and the watch's mean is of that order.
    """
    packed, flight, watch = blown
    assert not watch.held
    drape, state, works = packed.record.drape, watch.last.copy(), blank_works()
    panels = slice(int(drape.panel_count))
    moved, hanging = drape.panel.moved_mass_kg[panels], float(drape.panel.mass_kg.sum()) * GRAVITY
    flights = np.array([flight], dtype=flight.dtype)
    for _ in range(50):
        before = moved @ state["particle"]["velocity_m_s"][0, panels]
        advance_each(packed.records, flights, state, works, 1)
        gained = moved @ state["particle"]["velocity_m_s"][0, panels] - before
        air = works[0].fabric.air_n[:, drape.panel.node[panels]].sum(axis=1)
        put_in = air + np.array([0.0, 0.0, hanging])
        rim = put_in - gained / float(flight.step_s)
        assert works[0].drape_force_n == pytest.approx(rim, abs=1e-9)
    flown = fly(packed.record, flight, watch.last)
    rows = [flown.channel(f"fabric_force_{way}").mean() for way in ("north", "east", "down")]
    mean = watch.air_n.sum(axis=1).mean(axis=0)
    # Two stretches of a flutter are alike to a tenth.
    assert rows == pytest.approx(
        [mean[0], mean[1], mean[2] + hanging], abs=0.1 * float(np.abs(mean).max())
    )


def test_clearance_is_that_of_the_step(blown):
    """Vectorised here, one point at a time there: of ends, middles, and halfway to the ends beside.

    Of a skirt of eight strips of three rows the next strip's end is three panels on, round about.
    """
    _, _, watch = blown
    panels, samples = range(3, 7), range(0, len(watch.body_m), 40)
    near = []
    for i in range(2):
        points = [
            (n, place)
            for n in samples
            for k in panels
            for place in (
                watch.particle_m[n, k],
                watch.middle_m[n, k],
                0.5 * (watch.particle_m[n, k] + watch.particle_m[n, (k + 3) % 24]),
            )
        ]
        near.append(
            min(
                distance_from_disc(
                    tuple(place - watch.hub_m[n, i]),
                    tuple(watch.axis[n, i]),
                    float(watch.radius_m[i]),
                )
                for n, place in points
            )
        )
    few = replace(
        watch,
        particle_m=watch.particle_m[::40],
        middle_m=watch.middle_m[::40],
        hub_m=watch.hub_m[::40],
        axis=watch.axis[::40],
        body_m=watch.body_m[::40],
    )
    assert few.clearance_m(slice(3, 7)) == pytest.approx(near, abs=1e-12)


def test_rim_points_move_with_the_body(blown):
    packed, _, watch = blown
    places = packed.record["drape"]["rim"]["place_m"][: watch.rim_m.shape[1]]
    apart = np.linalg.norm(watch.rim_m - watch.body_m[:, None, :], axis=2)
    assert apart == pytest.approx(np.tile(np.linalg.norm(places, axis=1), (len(apart), 1)))


def test_a_craft_that_cannot_hold_is_held_and_that_is_said(spec_of, air, breeze):
    packed = pack_craft(spec_of("jellyfish_too_heavy"), air)
    watch = watch_fabric(packed, steady_wind_flight(packed, breeze, 0.0))
    assert watch.held
    assert watch.why_held == "lost its height"
    assert np.ptp(watch.body_m, axis=0) == pytest.approx(np.zeros(3), abs=1e-9)
    assert watch.air_n.shape == (400, 24, 3)


def watch_of(air, middle, particle, body=(0.0, 0.0, -2.0)):
    """Give a watch of one sample without rotors."""
    none = np.zeros((1, 0, 3))
    at = np.array([body])
    return FabricWatch(
        held=False,
        beside=np.arange(len(middle)),
        why_held="",
        air_n=np.array([air]),
        middle_m=np.array([middle]) + at[:, None],
        particle_m=np.array([particle]) + at[:, None],
        rim_m=none,
        body_m=at,
        hub_m=none,
        axis=none,
        radius_m=np.zeros(0),
        thrust_n=np.zeros((1, 0)),
        throttle=np.zeros((1, 0)),
        last=None,
    )


def hung_of(masses, rest, centre=(0.0, 0.0, 0.0)):
    return HungFabric(
        ("cape", "veil"),
        (slice(0, 1), slice(1, 2)),
        np.array(masses),
        np.array(rest),
        np.array(centre),
    )


def test_side_force_acts_at_the_mean_height_of_its_parts_above_the_centre():
    """3 N at 0.2 m below and 1 N at 0.6 m above the body's CG, whose fabric lowers it by 0.1 m:
    at (3 x -0.1 + 1 x 0.7) / 4 = 0.1 m above, tipping the top downwind with 0.4 N m.
    """
    middle = [(0.0, 0.0, 0.2), (0.0, 0.0, -0.6)]
    watch = watch_of([(3.0, 0.0, 0.0), (1.0, 0.0, 0.0)], middle, middle)
    hung = hung_of((0.1, 0.1), middle, (0.0, 0.0, 0.1))
    (cape, veil), whole = drape_loads(hung, watch, NORTH)
    assert (cape.name, veil.name, whole.name) == ("cape", "veil", WHOLE)
    assert (cape.side_force_n, veil.side_force_n) == pytest.approx((3.0, 1.0))
    assert (cape.height_m, veil.height_m) == pytest.approx((-0.1, 0.7))
    assert whole.height_m == pytest.approx(0.1)
    assert whole.moment_n_m == pytest.approx(0.4)


def test_fabric_that_swings_downwind_tips_the_top_after_it():
    """20 g carried 0.5 m downwind: 0.02 x 9.80665 x 0.5 N m; air 2 N down at 0.5 m adds 1 N m."""
    rest = [(0.0, 0.0, 0.3), (0.0, 0.0, 0.3)]
    moved = [(0.5, 0.0, 0.3), (0.0, 0.0, 0.3)]
    nothing = [(0.0, 0.0, 0.0)] * 2
    hung = hung_of((0.02, 0.03), rest)
    whole = drape_loads(hung, watch_of(nothing, moved, moved), NORTH)[1]
    assert whole.moment_n_m == pytest.approx(0.02 * GRAVITY * 0.5)
    assert whole.height_m is None
    pressed = [(0.0, 0.0, 2.0), (0.0, 0.0, 0.0)]
    load = drape_loads(hung, watch_of(pressed, moved, moved), NORTH)[1]
    assert load.download_n == pytest.approx(2.0)
    assert load.moment_n_m == pytest.approx(0.02 * GRAVITY * 0.5 + 1.0)


def test_across_is_to_the_right_of_where_the_wind_goes():
    middle = [(0.0, 0.0, 0.0)] * 2
    watch = watch_of([(0.0, 1.0, 0.0), (0.0, 0.5, 0.0)], middle, middle)
    whole = drape_loads(hung_of((0.1, 0.1), middle), watch, NORTH)[1]
    assert whole.across_n == pytest.approx(1.5)
    assert whole.side_force_n == 0.0


def test_drapes_share_the_whole(hover, breeze, blown):
    """Of two drapes with the panels of one, loads add up and the least room is the smaller."""
    spec = hover("jellyfish_bicopter").spec
    packed, _, watch = blown
    hung = hung_fabric(spec, packed, watch)
    split = replace(hung, names=("front", "back"), panels=(slice(0, 9), slice(9, 24)))
    each, whole = drape_loads(split, watch, NORTH)
    for name in ("download_n", "side_force_n", "across_n", "moment_n_m"):
        parts = sum(getattr(load, name) for load in each)
        assert parts == pytest.approx(getattr(whole, name), abs=1e-9)
    nearest = np.min([load.clearance_m for load in each], axis=0)
    assert nearest == pytest.approx(whole.clearance_m)


def test_rotors_over_a_held_body_stay_upright_and_bear_the_craft(hover, breeze):
    """No loop tilts them against a body that cannot move, however long the wind pushes."""
    packed = hover("jellyfish_bicopter").packed
    flight = steady_wind_flight(packed, breeze, 3.0)
    watch = watch_fabric(packed, flight, hold="compared", seconds=20.0)
    assert len(watch.air_n) == 1000
    assert np.abs(watch.axis - (0.0, 0.0, -1.0)).max() < 1e-9
    assert np.ptp(watch.throttle, axis=0).max() < 1e-3
    assert watch.throttle[:, 0] == pytest.approx(watch.throttle[:, 1], abs=1e-9)
    hover_n = float(packed.record.mixer.hover_thrust_n)
    assert watch.whole_thrust_n == pytest.approx(hover_n, rel=0.05)
