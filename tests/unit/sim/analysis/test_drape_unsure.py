"""What is not known of a fabric is moved to the ends of ranges that say where they come from."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from sim.analysis import drape_band
from sim.analysis.drape_band import load_bands
from sim.analysis.drape_unsure import unsure_things
from sim.pack.craft import pack_craft
from sim.spec import Uncertain, craft_from_bytes
from sim.spec.cloth_table import cloth_table

DRAPE = """
drape:
  cut: skirt
  strips: 6
  rows: 2
  length: {value: 40 cm, plus_minus: 4 cm}
  rim: {radius: 15 cm, place: {up: -10 cm}}
  fabric: {cloth: organza}
"""
CLOSED = DRAPE.replace(
    "{cloth: organza}", "{areal_density: 40 g/m2, open_fraction: 0 %, bending_length: 0 cm}"
).replace("{value: 40 cm, plus_minus: 4 cm}", "40 cm")


@pytest.fixture(scope="module")
def case_of(repository, air):
    bare = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")

    def of(drape):
        spec = craft_from_bytes((bare + drape).encode(), "craft.yaml").spec
        return spec, pack_craft(spec, air)

    return of


def things(case):
    return {thing.what: thing for thing in unsure_things(case[0])}


def ends(case, what):
    """Give the fabrics and the node coefficients of both ends."""
    found = [end(*case) for end in things(case)[what].ends]
    return [(craft.drapes[0], packed.record.drape) for craft, packed in found]


def test_every_range_says_where_it_comes_from(case_of):
    found = things(case_of(DRAPE))
    assert len(found) == 9
    assert all(thing.range_words and thing.source for thing in found.values())
    table = cloth_table()["organza"]
    assert table["open_fraction"].source in found["open fraction of the cloth"].source
    assert "no published measurement" in found["force of the wash on the cloth"].source


def test_figures_of_the_table_go_to_the_ends_of_its_ranges(case_of):
    case, table = case_of(DRAPE), cloth_table()["organza"]
    openings = [drape.fabric.open_fraction for drape, _ in ends(case, "open fraction of the cloth")]
    assert openings == [table["open_fraction"].least, table["open_fraction"].most]
    bending = [d.fabric.bending_length_m for d, _ in ends(case, "bending length of the cloth")]
    assert bending == [table["bending_length"].least, table["bending_length"].most]
    areal = [d.fabric.areal_density_kg_m2 for d, _ in ends(case, "areal density of the cloth")]
    middle, half = table["areal_density"].value, 0.0115
    assert areal == [Uncertain(middle - half), Uncertain(middle + half)]
    lengths = [drape.length_m.value for drape, _ in ends(case, "length of the drape")]
    assert lengths == pytest.approx([0.36, 0.44])


def test_coefficients_are_scaled_in_the_records(case_of):
    case = case_of(DRAPE)
    (_, low), (_, high) = ends(case, "force on cloth that stands across the air")
    before = case[1].record.drape.node.normal_coefficient.copy()
    assert low.node.normal_coefficient == pytest.approx(0.92 * before)
    assert high.node.normal_coefficient == pytest.approx(1.07 * before)
    (_, low), (_, high) = ends(case, "drag of cloth that streams along the air")
    assert high.node.tangent_coefficient == pytest.approx(2.5 * low.node.tangent_coefficient)
    assert low.node.tangent_coefficient.max() > 0.0
    assert case[1].record.drape.node.normal_coefficient == pytest.approx(before, abs=0.0)


def test_wash_acts_by_its_square(case_of):
    """The factor is on the force; the speed of the wash goes by its root."""
    case = case_of(DRAPE)
    (_, low), (_, high) = ends(case, "force of the wash on the cloth")
    used = slice(0, 12)
    assert low.panel.wash_factor[used] == pytest.approx(math.sqrt(0.6))
    assert high.panel.wash_factor[used] == pytest.approx(math.sqrt(1.5))


def test_a_calibrated_wash_is_moved_by_its_own_spread(case_of):
    case = case_of(DRAPE.replace("organza}", "organza, air_factor: {value: 2, plus_minus: 0.5}}"))
    thing = things(case)["force of the wash on the cloth"]
    assert "calibration" in thing.source
    factors = [drape.fabric.air_factor.value for drape, _ in ends(case, thing.what)]
    assert factors == pytest.approx([1.5, 2.5])


def test_closed_stiffless_cloth_has_neither_openings_nor_bending_to_move(case_of):
    assert set(things(case_of(CLOSED))) == {
        "force of the wash on the cloth",
        "force on cloth that stands across the air",
        "drag of cloth that streams along the air",
        "how finely the fabric is divided",
    }


def test_the_grid_is_doubled_while_there_is_room(case_of):
    case = case_of(DRAPE)
    (more_strips, _), (more_rows, _) = ends(case, "how finely the fabric is divided")
    assert (more_strips.strips, more_strips.rows) == (12, 2)
    assert (more_rows.strips, more_rows.rows) == (6, 4)
    large = case_of(DRAPE.replace("strips: 6", "strips: 40").replace("rows: 2", "rows: 5"))
    assert "how finely the fabric is divided" not in things(large)


def test_a_measured_loss_is_trusted_more_than_an_open_fraction(case_of):
    case = case_of(DRAPE.replace("organza}", "organza, loss_coefficient: 2}"))
    assert "open fraction of the cloth" not in things(case)
    losses = [d.fabric.loss_coefficient for d, _ in ends(case, "pressure loss through the cloth")]
    assert losses == pytest.approx([1.7, 2.3])


def test_bands_are_roots_of_sums_of_squares(case_of, monkeypatch):
    """Changes of 3 and -4 one way, of 12 and 5 the other: 1 N becomes -4 to 14."""
    planted = iter([(0.0, 0.0, 0.0), (-3.0, 0.0, 0.0), (12.0, 0.0, 0.0), (-4.0, 1.0, 0.0)])
    rest = (5.0, 0.0, 0.0)
    monkeypatch.setattr(drape_band, "_held_loads", lambda *_: next(planted, rest))
    two = [
        SimpleNamespace(what=w, range_words="", source="", ends=(lambda *c: c,) * 2) for w in "ab"
    ]
    monkeypatch.setattr(drape_band, "unsure_things", lambda _: two)
    bands = load_bands(case_of(CLOSED), None, np.zeros(3), (1.0, 2.0, 3.0))
    assert (bands.download.low, bands.download.high) == pytest.approx((-4.0, 14.0))
    assert (bands.day_download.low, bands.day_download.high) == pytest.approx((2.0, 3.0))
    assert (bands.day_side_force.low, bands.day_side_force.value) == (3.0, 3.0)
    assert [move.what for move in bands.moves] == ["a", "b"]
