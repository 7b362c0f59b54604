"""From cut and cloth to particles and threads."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.errors import InputFaults
from sim.pack.craft import pack_craft
from sim.pack.drape_cloth import entrained_share, loss_coefficient
from sim.params.drape_record import PITCH

SKIRT = """
drape:
  cut: skirt
  strips: 6
  rows: 4
  length: 40 cm
  rim: {radius: 15 cm, place: {up: -10 cm}}
  fullness: 1.5
  fabric: {areal_density: 30 g/m2, open_fraction: 40 %, damping: 0.1}
"""
RIBBONS = SKIRT.replace("cut: skirt", "cut: ribbons\n  width: 3 cm").replace(
    "  fullness: 1.5\n", ""
)


@pytest.fixture
def skirt(craft, air):
    return pack_craft(craft(more=SKIRT), air)


@pytest.fixture
def ribbons(craft, air):
    return pack_craft(craft(more=RIBBONS), air)


def threads_of(drape):
    """Give (first node, second node): rest length [m] of all threads."""
    rest = {}
    for kind, offset in enumerate((PITCH, 1, PITCH + 1, PITCH - 1)):
        for node in np.flatnonzero(drape.thread.stiffness_n_m[kind]):
            length = float(drape.thread.per_square_1_m2[kind, node]) ** -0.5
            rest[int(node), int(node) + offset] = length
    return rest


def copied(drape, node):
    """Give the node itself that a ghost copies."""
    at = np.flatnonzero(drape.ghost.node[: drape.ghost_count] == node)
    return int(drape.ghost.of[at[0]]) if at.size else int(node)


@pytest.mark.parametrize(("strips", "rows"), [(8, 48), (32, 12), (96, 4)])
def test_nets_of_384_panels_have_room(craft, air, strips, rows):
    text = SKIRT.replace("strips: 6", f"strips: {strips}").replace("rows: 4", f"rows: {rows}")
    assert int(pack_craft(craft(more=text), air).record.drape.panel_count) == 384


def test_a_net_too_wide_for_the_grid_is_refused_with_what_would_be_right(craft, air):
    text = SKIRT.replace("strips: 6", "strips: 384").replace("rows: 4", "rows: 1")
    with pytest.raises(InputFaults, match=r"384 strips of 1 rows .*; give fewer strips or rows"):
        pack_craft(craft(more=text), air)


def test_a_skirt_closes_round_and_ribbons_hang_alone(skirt, ribbons):
    closed, apart = skirt.record.drape, ribbons.record.drape
    assert int(closed.panel_count) == int(apart.panel_count) == 24
    first, last = int(closed.panel.node[0]), int(closed.panel.node[20])
    assert copied(closed, first - 1) == last  # first row of the first and of the last strip
    assert copied(closed, last + 1) == first
    assert int(apart.ghost_count) == 0
    assert not np.any(apart.node.is_woven)
    assert len(threads_of(apart)) == 24
    assert len(threads_of(closed)) == 4 * 24


def test_every_strip_hangs_from_its_rim_point(skirt):
    """Strip by strip, the first row from the rim, the others each from the one above."""
    drape = skirt.record.drape
    for k in range(24):
        strip, row = divmod(k, 4)
        above = int(drape.panel.node[k]) - PITCH
        expected = drape.rim[strip].node if row == 0 else drape.panel.node[k - 1]
        assert above == int(expected)
        assert int(drape.panel.above[k]) == (-1 - strip if row == 0 else k - 1)


def test_the_rim_is_round_about_its_place(skirt):
    places = np.array([point.place_m for point in skirt.record.drape.rim[:6]])
    middle = np.array([0.0, 0.0, 0.1]) - skirt.mass.centre_m
    assert np.linalg.norm(places - middle, axis=1) == pytest.approx(np.full(6, 0.15))


def test_threads_are_as_long_as_the_cloth(skirt):
    """Down: 40 cm in four; across: the width of a strip, 1.5 times its share of the rim."""
    drape = skirt.record.drape
    rest = threads_of(drape)
    width = 1.5 * 2.0 * math.pi * 0.15 / 6.0
    rim, high, low = (int(drape.rim[0].node), int(drape.panel.node[0]), int(drape.panel.node[1]))
    beside = int(drape.panel.node[4])
    assert rest[rim, high] == rest[high, low] == pytest.approx(0.1)
    assert rest[high, beside] == pytest.approx(width)
    assert rest[rim, beside] == pytest.approx(math.hypot(width, 0.1))
    assert rest[int(drape.rim[1].node), high] == pytest.approx(math.hypot(width, 0.1))


def test_no_particle_is_stiffer_than_the_step_bears(skirt, ribbons):
    """Semi-implicit Euler bears springs of k dt^2 / m up to 4 on one particle; two particles joined
    by a spring double that, so all on one must stay below 2.
    """
    for packed in (skirt, ribbons):
        drape = packed.record.drape
        on = np.zeros(len(drape.node.mass_kg))
        for kind, offset in enumerate((PITCH, 1, PITCH + 1, PITCH - 1)):
            for node in np.flatnonzero(drape.thread.stiffness_n_m[kind]):
                for end in (node, node + offset):
                    on[copied(drape, end)] += float(drape.thread.stiffness_n_m[kind, node])
        part_s = 1e-3 / int(drape.parts)
        assert (on * part_s**2 * drape.node.per_moved_mass_1_kg).max() < 2.0


def test_entrained_air_moves_but_does_not_weigh(skirt):
    drape = skirt.record.drape
    mass = drape.node.mass_kg[drape.panel.node[:24]]
    assert np.all(drape.panel.moved_mass_kg[:24] > mass)
    assert np.all(mass > 0.0)


def test_entrained_air_does_not_depend_on_the_panels(craft, air):
    """Twice the strips and rows drag along the same air."""
    finer = SKIRT.replace("strips: 6", "strips: 12").replace("rows: 4", "rows: 8")
    per_cloth = []
    for text in (SKIRT, finer):
        drape = pack_craft(craft(more=text), air).record.drape
        node = int(drape.panel.node[0])
        per_cloth.append(float(drape.panel.moved_mass_kg[0] / drape.node.mass_kg[node]))
    assert per_cloth[1] == pytest.approx(per_cloth[0], rel=1e-12)


def test_perforated_plates_drag_less_air_along():
    """DNV-RP-H103 (from memory): all of it up to 5 % open, 0.42 at 34 % by either formula."""
    assert entrained_share(0.0) == entrained_share(0.05) == 1.0
    assert entrained_share(0.34 - 1e-9) == pytest.approx(entrained_share(0.34), abs=0.02)
    shares = [entrained_share(0.01 * p) for p in range(96)]
    assert np.all(np.diff(shares) <= 0.02)
    assert shares[-1] > 0.0


def test_loss_coefficient_at_its_ends():
    """No cloth resists nothing, a closed cloth lets nothing through."""
    assert loss_coefficient(1.0) == 0.0
    assert loss_coefficient(0.0) == math.inf
    assert loss_coefficient(0.3) > loss_coefficient(0.5) > loss_coefficient(0.7) > 0.0
