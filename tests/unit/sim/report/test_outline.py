"""Outlines of parts have the sizes and the centre that their shapes have."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.report.figure_craft import spread_levels
from sim.report.outline import LOOKING, part_outline, reach_m
from sim.spec.structure import PartSpec


def part(shape, **sizes):
    place = {"forward": "10 cm", "right": "-20 cm", "up": "30 cm"}
    return PartSpec.model_validate(
        {"name": "part", "shape": shape, "mass": "100 g", "place": place, **sizes}
    )


def size_of(outline):
    return outline.max(axis=0) - outline.min(axis=0)


def test_a_box_shows_the_right_sides_in_each_view():
    box = part("box", size={"forward": "40 cm", "right": "20 cm", "up": "10 cm"})
    assert size_of(part_outline(box, LOOKING["side"])) == pytest.approx([0.4, 0.1])
    assert size_of(part_outline(box, LOOKING["behind"])) == pytest.approx([0.2, 0.1])
    assert size_of(part_outline(box, LOOKING["top"])) == pytest.approx([0.2, 0.4])
    centre = part_outline(box, LOOKING["side"]).mean(axis=0)
    assert centre == pytest.approx([0.1, 0.3])


def test_a_rod_is_a_bar_from_the_side_and_a_disc_along_its_axis():
    rod = part("rod", along="right", length="94 cm", radius="13 mm")
    assert size_of(part_outline(rod, LOOKING["behind"])) == pytest.approx([0.94, 0.026])
    assert size_of(part_outline(rod, LOOKING["side"])) == pytest.approx([0.026, 0.026], rel=0.01)


def test_the_centre_of_mass_of_a_bowl_stands_half_a_radius_from_its_rim():
    bowl = part("hemispherical_shell", along="up", radius="20 cm")
    outline = part_outline(bowl, LOOKING["side"])
    assert outline[:, 1].min() == pytest.approx(0.3 - 0.1)
    assert outline[:, 1].max() == pytest.approx(0.3 + 0.1, abs=0.001)
    assert size_of(part_outline(bowl, LOOKING["top"])) == pytest.approx([0.4, 0.4], rel=0.01)


def test_a_panel_runs_its_length_along_the_first_direction_that_is_not_its_normal():
    fin = part("panel", along="right", length="20 cm", width="10 cm")
    assert size_of(part_outline(fin, LOOKING["side"])) == pytest.approx([0.2, 0.1])
    assert size_of(part_outline(fin, LOOKING["behind"]))[0] < 0.01


def test_a_ball_is_round_and_a_point_has_no_outline():
    ball = part("sphere", radius="5 cm")
    outline = part_outline(ball, LOOKING["side"])
    distance = np.linalg.norm(outline - [0.1, 0.3], axis=1)
    assert distance == pytest.approx(np.full(len(outline), 0.05))
    assert len(part_outline(part("point"), LOOKING["side"])) == 0


def test_the_box_around_a_craft_holds_rotors_feet_and_hem(result):
    low, high = reach_m(result.craft.spec)
    # Rotors of 15 in at 45 cm; feet 82 cm down; head 17 cm up with half of its 21 cm above that.
    assert high[1] == pytest.approx(0.45 + 0.5 * 15 * 0.0254)
    assert low[1] == pytest.approx(-high[1])
    assert low[2] == pytest.approx(-0.82)
    assert high[2] == pytest.approx(0.17 + 0.105, abs=0.001)


@given(
    st.lists(st.floats(-1.0, 11.0), max_size=12).map(sorted),
    st.floats(0.01, 2.0),
)
def test_labels_keep_their_order_and_distance_and_stay_inside(wanted, gap):
    levels = spread_levels(wanted, gap, 0.0, 10.0)
    assert len(levels) == len(wanted)
    room = 10.0 / max(len(wanted) - 1, 1)
    for before, after in pairwise(levels):
        assert after - before >= min(gap, room) - 1e-9
    assert all(-1e-9 <= level <= 10.0 + 1e-9 for level in levels)


def test_labels_with_room_stay_where_they_are():
    assert spread_levels([1.0, 5.0, 9.0], 1.0, 0.0, 10.0) == [1.0, 5.0, 9.0]
    assert math.isclose(spread_levels([5.0, 5.0], 1.0, 0.0, 10.0)[1], 6.0)
