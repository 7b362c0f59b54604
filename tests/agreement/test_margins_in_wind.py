"""Margins about fabric that flutters agree with flights in which it does.

In a steady wind light fabric never comes to rest: the margins are those of its mean shape with a
damping that stands for the limit cycle (see `sim.analysis.flutter`), which is a model. The flights
have the fabric as it is. The loops' gains are taken to 0.85 and 1.2 of the margin; beyond it the
motion of the axis must be clearly larger than what the flutter itself makes it.
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.condition import Condition
from sim.analysis.condition_margins import margins_at
from sim.analysis.flutter import damping_matrix, moved_masses_kg, with_flutter_damped
from sim.analysis.linear_loop import NEUTRAL_RATE_1_S, continuous_roots
from sim.analysis.linearise import linearise
from sim.analysis.loop_breaks import AXES
from sim.analysis.steady_conditions import steady_flight_of
from sim.analysis.trim import find_trim
from sim.flight.run import fly

WIND = Condition(2.0, 0.0, 1.0, "dry", 2.0, 0.5)
FLOWN_S = 80.0  # chaotic: over 10 s the same craft's deviation varies by a factor of two
SEEN = {"roll": "roll", "pitch": "pitch", "yaw": "heading", "east": "east"}


@pytest.fixture(scope="module")
def blown(packed, hover):
    """Give the jellyfish in a wind from ahead, with the wind's margins."""
    craft = packed("jellyfish_bicopter")
    still = hover("jellyfish_bicopter").trim
    flight = steady_flight_of(craft.air, WIND)
    trim = find_trim(craft.record, flight, charge=1.0, swing_m_s=WIND.swing_m_s, start=still)
    return trim, margins_at(trim, WIND, axes=SEEN, together=False)


def motion(trim, axis, factor):
    """Give the deviation of an axis in the last minute of a flight with its gain changed."""
    craft, flight = trim.crafts.copy(), trim.flights.copy()
    column = AXES[axis]
    craft["control"]["loop_factor"][0, column] = factor
    steady = float(trim.state["control"]["demand"][0, column])
    flight["injected"][0, column] = -(factor - 1.0) * steady
    flight["swing_m_s"] = 0.0
    flight["duration_s"] = FLOWN_S
    seen = fly(craft[0], flight[0], trim.state).channel(SEEN[axis])
    return float(np.std(seen[len(seen) // 4 :]))


def test_the_fabric_flutters_and_the_craft_is_stable_about_it(blown):
    trim, found = blown
    assert found.stable
    assert found.flutter.motions > 0
    assert found.flutter.growth_1_s > 0.5
    assert 0.3 < found.flutter.frequency_hz < 5.0
    bare = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    rates = continuous_roots(np.linalg.eigvals(bare.a).astype(complex), bare.period_s).real
    assert rates.max() > 0.5


@pytest.mark.parametrize("axis", list(SEEN))
def test_fluttering_flights_bear_what_the_margins_say(blown, axis):
    trim, found = blown
    margin = found.margins[axis].gain_up.value
    as_it_is = motion(trim, axis, 1.0)
    assert motion(trim, axis, 0.85 * margin) < 1.3 * as_it_is
    assert motion(trim, axis, 1.2 * margin) > 2.0 * as_it_is


def test_damping_between_fabric_and_craft_keeps_momentum(blown):
    """P = M V + sum m v and the angular momentum J w + sum r x m v about the CG stay."""
    trim, found = blown
    exchange = damping_matrix(found.model, trim)
    chart, craft, state = trim.chart, trim.crafts[0], trim.state[0]
    masses = moved_masses_kg(craft)
    first = chart.groups.index("drape")
    momentum = float(craft.mass_kg) * exchange[3:6]
    rotation = _rotation(state.body.attitude)
    turning = rotation @ craft.inertia_kg_m2 @ exchange[chart.attitude + 3 : chart.attitude + 6]
    for k, mass in enumerate(masses):
        speed = exchange[first + 6 * k + 3 : first + 6 * k + 6]
        arm = state.particle[k].position_m - state.body.position_m
        momentum = momentum + mass * speed
        turning = turning + mass * np.cross(arm, speed, axisb=0, axisc=0)
    assert np.abs(momentum).max() < 1e-12
    assert np.abs(turning).max() < 1e-12


def _rotation(quaternion):
    w, x, y, z = quaternion
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def test_fabric_that_hangs_still_is_left_alone(hover):
    case = hover("jellyfish_bicopter")
    model, flutter = with_flutter_damped(case.model, case.trim)
    assert flutter is None
    assert model is case.model


def test_the_damping_is_twice_what_stops_the_held_fabric(blown):
    """Half of it leaves the fabric, with the craft held, at the edge."""
    trim, found = blown
    bare = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    exchange = damping_matrix(bare, trim)
    fabric = np.array([group == "drape" for group in bare.chart.groups])
    for share, grows in ((0.45, True), (0.5, False)):
        decay = np.expm1(-share * found.flutter.damping_1_s * bare.period_s)
        held = (bare.a - decay * exchange @ bare.a)[np.ix_(fabric, fabric)]
        own = exchange[np.ix_(fabric, fabric)]
        held = bare.a[np.ix_(fabric, fabric)] - decay * own @ bare.a[np.ix_(fabric, fabric)]
        rates = continuous_roots(np.linalg.eigvals(held).astype(complex), bare.period_s).real
        assert (rates.max() > NEUTRAL_RATE_1_S) == grows
