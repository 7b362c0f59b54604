"""From cut and cloth to particles and threads."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.pack.craft import pack_craft
from sim.pack.drape import loss_coefficient

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


def links_of(drape):
    return [
        (int(link.first), int(link.second), float(link.rest_m))
        for link in drape.link[: int(drape.link_count)]
    ]


def test_a_skirt_closes_round_and_ribbons_hang_alone(skirt, ribbons):
    closed, apart = skirt.record.drape, ribbons.record.drape
    assert int(closed.panel_count) == int(apart.panel_count) == 24
    assert int(closed.panel[0].left) == 20  # first row of the last strip
    assert int(closed.panel[20].right) == 0
    assert all(int(panel.left) == int(panel.right) for panel in apart.panel[:24])
    assert int(apart.link_count) == 24
    assert int(closed.link_count) == 4 * 24


def test_every_strip_hangs_from_its_rim_point(skirt):
    """Rim points are counted from -1 down; the first row hangs from them, the others from above."""
    drape = skirt.record.drape
    for k in range(24):
        strip, row = divmod(k, 4)
        assert int(drape.panel[k].above) == (-1 - strip if row == 0 else k - 1)
        assert int(drape.panel[k].rim) == strip


def test_the_rim_is_round_about_its_place(skirt):
    rim = skirt.record.drape.rim[:6]
    places = np.array([point.place_m for point in rim])
    middle = np.array([0.0, 0.0, 0.1]) - skirt.mass.centre_m
    assert np.linalg.norm(places - middle, axis=1) == pytest.approx(np.full(6, 0.15))
    for point, place in zip(rim, places, strict=True):
        assert float(point.tangent @ (place - middle)) == pytest.approx(0.0, abs=1e-15)


def test_threads_are_as_long_as_the_cloth(skirt):
    """Down: 40 cm in four; across: the width of a strip, 1.5 times its share of the rim."""
    rests = {(first, second): rest for first, second, rest in links_of(skirt.record.drape)}
    width = 1.5 * 2.0 * math.pi * 0.15 / 6.0
    assert rests[-1, 0] == pytest.approx(0.1)
    assert rests[0, 1] == pytest.approx(0.1)
    assert rests[0, 4] == pytest.approx(width)
    assert rests[-1, 4] == pytest.approx(math.hypot(width, 0.1))


def test_no_particle_is_stiffer_than_the_step_bears(skirt, ribbons):
    """Semi-implicit Euler bears springs of k dt^2 / m up to 4 on one particle; two particles joined
    by a spring double that, so all on one must stay below 2.
    """
    for packed in (skirt, ribbons):
        drape = packed.record.drape
        on = np.zeros(24)
        for link in drape.link[: int(drape.link_count)]:
            for end in (int(link.first), int(link.second)):
                if end >= 0:
                    on[end] += float(link.stiffness_n_m)
        part_s = 1e-3 / int(drape.parts)
        moved = np.array([float(panel.moved_mass_kg) for panel in drape.panel[:24]])
        assert (on * part_s**2 / moved).max() < 2.0


def test_entrained_air_moves_but_does_not_weigh(skirt):
    for panel in skirt.record.drape.panel[:24]:
        assert float(panel.moved_mass_kg) > float(panel.mass_kg) > 0.0


def test_loss_coefficient_at_its_ends():
    """No cloth resists nothing, a closed cloth lets nothing through."""
    assert loss_coefficient(1.0) == 0.0
    assert loss_coefficient(0.0) == math.inf
    assert loss_coefficient(0.3) > loss_coefficient(0.5) > loss_coefficient(0.7) > 0.0
