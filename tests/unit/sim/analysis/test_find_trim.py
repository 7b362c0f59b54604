"""Where a steady flight is sought, and what is said when there is none."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.head import pivots_above_centre_m
from sim.analysis.mass_guard import with_shifted_centre
from sim.analysis.trim import CONVERGED, find_trim, steady_craft, steady_flight
from sim.analysis.trim_newton import size_of
from sim.errors import NoTrim
from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight


def test_a_craft_too_weak_to_hover_has_no_trim(hover):
    """Twice the mass with the same rotors."""
    packed = hover("bare_bicopter").packed
    heavy = packed.records.copy()
    heavy["mass_kg"] *= 4.0
    with pytest.raises(NoTrim) as refused:
        find_trim(heavy[0], plain_flight(packed.air)[0], charge=1.0)
    assert "no steady" in str(refused.value)


def test_a_trim_is_where_it_was_asked_for(hover):
    packed = hover("bare_bicopter").packed
    flight = plain_flight(packed.air, height_m=7.0)[0]
    flight.command[0].place_m[:] = (2.0, -1.0, -7.0)
    flight.command[0].heading_rad = 0.7
    trim = find_trim(packed.record, flight, charge=1.0)
    assert trim.state["body"]["position_m"][0] == pytest.approx([2.0, -1.0, -7.0], abs=1e-5)
    assert trim.state["estimate"]["angle_rad"][0, 2] == pytest.approx(0.7, abs=1e-6)
    assert trim.residual < CONVERGED
    assert trim.state["tick"][0] == 0


def test_starting_from_a_trim_finds_it_again_at_once(hover):
    case = hover("jellyfish_bicopter")
    again = find_trim(
        case.packed.record,
        plain_flight(case.packed.air)[0],
        charge=1.0,
        swing_m_s=0.2,
        start=case.trim.state,
    )
    assert again.rounds == 1
    assert again.state.tobytes() == case.trim.state.tobytes()


def test_nothing_given_is_changed(hover):
    packed = hover("bare_bicopter").packed
    flights = plain_flight(packed.air)
    before = packed.records.tobytes(), flights.tobytes()
    find_trim(packed.record, flights[0], charge=1.0)
    assert (packed.records.tobytes(), flights.tobytes()) == before


def test_play_noise_and_gusts_are_left_out(hover):
    packed = hover("bare_bicopter").packed
    crafts = steady_craft(packed.record)
    assert not crafts["rotor"]["servo_slop_rad"].any()
    assert not crafts["rotor"]["servo_deadband_rad"].any()
    assert packed.records["rotor"]["servo_slop_rad"].any()
    flight = plain_flight(packed.air)[0]
    flight.noise_factor, flight.turbulence_ticks, flight.gust_count = 1.0, 10, 1
    steady = steady_flight(flight, swing_m_s=0.2)[0]
    assert float(steady.noise_factor) == 0.0
    assert int(steady.turbulence_ticks) == 0
    assert int(steady.gust_count) == 0
    assert float(steady.swing_m_s) == 0.2
    assert int(steady.keeps_charge) == 1


@pytest.mark.parametrize("name", ["jellyfish_unstable_gains", "jellyfish_head_too_high"])
def test_unstable_hovers_are_found_as_well(hover, name):
    """Newton's method does not need the craft to stay by itself."""
    trim = hover(name).trim
    assert trim.residual < CONVERGED
    assert np.isfinite(trim.state.view(np.float64)).all()


def test_a_hover_that_leans_is_found_from_a_level_one(hover):
    """Two rotors on one line hold a craft like a nail: its CG hangs below their pivots.

    So it leans by the arc tangent of the shift over the height of the pivots; fabric that hangs
    from a leaning rim, and drag of the wash on it, change that by a few per cent.
    """
    case = hover("jellyfish_bicopter")
    shift_m = 0.016
    craft = with_shifted_centre(case.spec, np.array([shift_m, 0.0, 0.0]))
    lever_m = pivots_above_centre_m(craft, mass_properties(craft, with_drape=True))
    packed = pack_craft(craft, case.packed.air)
    trim = find_trim(
        packed.record,
        plain_flight(packed.air)[0],
        charge=1.0,
        swing_m_s=0.2,
        start=case.trim,
        is_patient=False,
    )
    assert trim.residual < CONVERGED
    w, _, y, _ = trim.state[0].body.attitude
    assert -2.0 * np.arctan2(y, w) == pytest.approx(np.arctan(shift_m / lever_m), rel=0.05)


def test_a_step_that_ran_away_warns_nobody():
    """Its residual may be larger than a number's square can be; users saw a warning of that."""
    with np.errstate(all="raise"):
        assert size_of(np.array([1e200, 1.0])) == np.inf
    assert size_of(np.array([3.0, 4.0])) == 5.0
