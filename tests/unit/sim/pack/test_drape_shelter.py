"""Which cloth the air meets first, and what it loses there."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.pack.craft import pack_craft
from sim.physics.drape.panel_air import speed_behind

DRAPE = """
  - name: {name}
    cut: {cut}
    strips: {strips}
    rows: 2
    length: 40 cm
    rim: {{{rim}, place: {{up: -10 cm}}}}{width}
    fabric: {{areal_density: 30 g/m2, open_fraction: 40 %, loss_coefficient: {loss}}}
"""


def drape(name="one", cut="skirt", strips=8, rim="radius: 30 cm", width=None, loss=0.8):
    given = "" if width is None else f"\n    width: {width}"
    return DRAPE.format(name=name, cut=cut, strips=strips, rim=rim, width=given, loss=loss)


@pytest.fixture
def lost(craft, air):
    """Give a function that hangs drapes and gives (outside, inside) of each, shape (panels,)."""

    def of(*drapes):
        packed = pack_craft(craft(more="drape:" + "".join(drapes)), air)
        record = packed.record.drape
        found = []
        for panels in packed.panels:
            node = record.panel.node[panels.first : panels.first + panels.count]
            found.append((record.node.lost_outside[node], record.node.lost_inside[node]))
        return found

    return of


def test_skirt_shelters_its_lee_from_within(lost):
    """Air comes at the outer face as it is, and at the inner one through the other side.

    Rays within 45 degrees pass cloth at the angle at which they come: near a loss of K/2 cos^2.
    """
    [(outside, inside)] = lost(drape(strips=24))
    assert outside == pytest.approx(np.zeros(48), abs=1e-12)
    straight = 1.0 - speed_behind(0.8)
    steepest = 1.0 - speed_behind(0.8, math.cos(math.pi / 4.0))
    assert np.all(inside < straight)
    assert np.all(inside > steepest)
    # Rays leave the short skirt at no height here: they are level.
    assert np.ptp(inside) < 0.05


def test_closed_cloth_stops_the_air(lost):
    [(_, inside)] = lost(drape(strips=24, loss=1e4))
    assert np.all(inside > 0.97)


def test_no_loss_no_shelter(lost):
    [(outside, inside)] = lost(drape(loss=1e-9))
    assert np.abs(np.concatenate([outside, inside])).max() < 1e-6


def test_ribbons_shelter_by_how_much_of_the_ring_they_fill(lost):
    """Twelve ribbons of 3 cm on a ring of 30 cm fill 19 % of it: about so much of a skirt's."""
    [(_, whole)] = lost(drape(strips=24))
    [(outside, inside)] = lost(drape(cut="ribbons", strips=12, width="3 cm"))
    filled = 12 * 0.03 / (2.0 * math.pi * 0.3)
    assert inside.mean() == pytest.approx(filled * whole.mean(), rel=0.35)
    assert outside == pytest.approx(np.zeros(24), abs=1e-12)


def test_open_arc_gives_no_shelter_where_it_is_open(lost):
    """A cape behind: nothing stands before its inner face."""
    arc = "radius: 30 cm, faces: 180 deg, spread: 90 deg"
    [(outside, inside)] = lost(drape(cut="cape", strips=6, rim=arc))
    assert np.concatenate([outside, inside]) == pytest.approx(np.zeros(24), abs=1e-12)


def test_cape_round_a_skirt_shelters_it_from_behind(lost):
    """Drapes count together: the skirt's back is behind the cape, its front is not."""
    arc = "radius: 40 cm, faces: 180 deg, spread: 120 deg"
    skirt, cape = lost(drape(), drape("two", "cape", 6, arc))
    front, back = skirt[0][0], skirt[0][8]  # strips 0 and 4, two rows each
    assert front == pytest.approx(0.0, abs=1e-12)
    assert back > 0.25
    assert np.all(cape[1] > 0.2), "air from the front passes the skirt twice"
    assert cape[0] == pytest.approx(np.zeros(12), abs=1e-12)


def test_banner_alone_is_in_the_open(lost):
    [(outside, inside)] = lost(drape(cut="banner", strips=4, rim="length: 60 cm, along: right"))
    assert np.concatenate([outside, inside]) == pytest.approx(np.zeros(16), abs=1e-12)
