"""Authority of shipped crafts: what their hovers carry, and in how short a time it is told."""

from __future__ import annotations

import pytest

from sim.analysis.authority import authority_answer
from sim.analysis.operating_point import commanded, observed
from sim.analysis.rotor_set import rotor_set, setting_of

NAMES = ("left", "right")


@pytest.mark.parametrize("name", ["jellyfish_bicopter", "jellyfish_unstable_gains"])
def test_rotors_of_a_hover_carry_what_the_step_says(hover, name):
    """The set's own settings give what the step's rotors give at the trim, also where the search
    for the trim began far off.
    """
    case = hover(name)
    state = commanded(case.trim)
    rotors = rotor_set(case.packed.record, case.trim.flights[0], state)
    thrust = rotors.wrenches(setting_of(state, rotors))[0][0]
    work = observed(case.trim)
    assert thrust == pytest.approx(sum(spot.thrust_n for spot in work.rotor[:2]), rel=1e-4)
    assert thrust == pytest.approx(9.80665 * case.packed.whole_mass_kg, rel=0.05)


def test_each_way_ends_where_something_stops(hover):
    """At the end of every way an actuator is on a bound, and pitch of two rotors ends at a tilt."""
    case = hover("jellyfish_bicopter")
    answer = authority_answer(case.packed, case.trim, NAMES)
    assert all(way.stops for way in answer.ways)
    for way in answer.ways:
        if way.axis == "pitch":
            assert {what for _, what in way.stops} == {"tilt"}
    assert answer.backwards == ()
    assert answer.overstated < 0.05


def test_a_head_too_high_works_backwards(hover):
    case = hover("jellyfish_head_too_high")
    answer = authority_answer(case.packed, case.trim, NAMES)
    assert answer.backwards == ("pitch",)
    assert not answer.passes


def test_the_same_again_is_the_same(hover):
    """Nothing is left over from one answer to the next."""
    case = hover("jellyfish_bicopter")
    first, second = (authority_answer(case.packed, case.trim, NAMES) for _ in range(2))
    assert [way.left for way in first.ways] == [way.left for way in second.ways]
    assert first.volume == second.volume
