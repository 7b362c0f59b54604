"""Where flights start from."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.flight.start import (
    blank_works,
    hover_speed_rad_s,
    level_state,
    standing_height_m,
)
from sim.pack.flight import plain_flight
from sim.params.record import CACHE_LINE
from sim.params.tally_record import WORK_TYPE
from sim.step.batch import advance_each


def test_level_and_at_rest_over_the_first_place(bare):
    flight = plain_flight(bare.air, height_m=3.0)[0]
    flight.command[0].place_m[:] = (1.0, -2.0, -3.0)
    flight.command[0].heading_rad = 0.5
    state = level_state(bare.record, flight, height_m=3.0, hovers=True, charge=0.8)[0]
    assert state.body.position_m.tolist() == [1.0, -2.0, -3.0]
    assert state.body.attitude == pytest.approx([math.cos(0.25), 0.0, 0.0, math.sin(0.25)])
    assert not state.body.velocity_m_s.any()
    assert state.estimate.position_m.tolist() == [1.0, -2.0, -3.0]
    assert state.estimate.angle_rad == pytest.approx([0.0, 0.0, 0.5])
    assert float(state.charge) == 0.8
    assert float(state.armed) == 1.0


def test_rotors_hover_or_rest(bare):
    flight = plain_flight(bare.air)[0]
    resting = level_state(bare.record, flight, height_m=2.0, hovers=False, charge=1.0)
    assert not resting["rotor"]["speed_rad_s"].any()
    hovering = level_state(bare.record, flight, height_m=2.0, hovers=True, charge=1.0)
    speed = hovering["rotor"]["speed_rad_s"][0, :2]
    assert speed == pytest.approx([hover_speed_rad_s(bare.record, flight, i) for i in (0, 1)])


def test_hover_speed_carries_the_weight(bare):
    """One step from there, the rotors push with the weight: within 3 %, the change of the
    coefficient with rotor speed being left out of the guess.
    """
    flights = plain_flight(bare.air, height_m=50.0)
    state = level_state(bare.record, flights[0], height_m=50.0, hovers=True, charge=1.0)
    works = blank_works()
    advance_each(bare.records, flights, state, works, 1)
    lift = works["rotor"]["thrust_n"][0, :2].sum()
    assert lift == pytest.approx(bare.whole_mass_kg * 9.80665, rel=0.03)


def test_a_standing_craft_has_its_feet_on_the_ground(bare, draped):
    """The lowest foot is as deep below the CG as the CG is high."""
    for packed in (bare, draped):
        feet = packed.record["foot"]["place_m"][: int(packed.record.foot_count), 2]
        assert standing_height_m(packed.record) == pytest.approx(float(feet.max()))
    footless = bare.records.copy()
    footless["foot_count"] = 0
    assert standing_height_m(footless[0]) == 0.0


def test_fabric_hangs_straight_down_from_its_rim_at_rest_length(draped):
    flight = plain_flight(draped.air)[0]
    state = level_state(draped.record, flight, height_m=2.0, hovers=True, charge=1.0)[0]
    drape = draped.record.drape
    rows = int(drape.panel_count) // int(drape.rim_count)
    for k in range(int(drape.panel_count)):
        rim = drape.rim[k // rows].place_m
        place = state.particle[k].position_m
        assert place[:2] == pytest.approx(rim[:2], abs=1e-12)
        depth = place[2] - (rim[2] - 2.0)
        assert depth == pytest.approx(0.2 * (k % rows + 1), abs=1e-9)
    assert not np.any(state["particle"]["velocity_m_s"])


def test_scratch_begins_on_a_cache_line_and_so_do_its_arrays():
    works = blank_works()
    assert works.shape == (2,)
    assert not works.view(np.uint8).any()
    assert works.ctypes.data % CACHE_LINE == 0
    fields = WORK_TYPE.fields
    for name in ("point_m", "point_flow_m_s", "part_force_n", "fabric"):
        assert fields[name][1] % CACHE_LINE == 0
    for kind, start in fields["fabric"][0].fields.values():
        if kind.itemsize > CACHE_LINE:
            assert start % CACHE_LINE == 0
