"""Natural motions: the craft's own are not hidden behind those of its fabric, which are drawn."""

from __future__ import annotations

import pytest

from sim.analysis.margin_study import margin_study
from sim.report.margins_files import _swings
from sim.report.modes_table import modes_table
from sim.spec import load_craft, load_scenario


@pytest.fixture(scope="module")
def study(repository):
    return margin_study(
        load_craft(repository / "airframes" / "jellyfish_bicopter.yaml"),
        load_scenario(repository / "scenarios" / "lake_breeze.yaml"),
        everywhere=False,
    )


def test_fabric_leaves_room_for_what_the_craft_does(study):
    rows = modes_table(study.still.modes, "still air").rows
    movers = [row.cells[0].split()[0] for row in rows]
    assert max(movers.count(mover) for mover in movers) <= len(rows) // 2
    assert {"Drape", "Yaw"} <= set(movers)
    assert sum(mode.moves == "drape" for mode in study.still.modes) > len(rows)


def test_motions_come_slowest_to_die_away_first(study):
    rates = [mode.rate_1_s for mode in study.still.modes if not mode.neutral]
    assert rates == sorted(rates, reverse=True)
    assert all(rate < 0.0 for rate in rates)


def test_swings_of_the_fabric_are_drawn_and_told(study):
    ((picture, _),) = _swings(study)
    assert picture.key == "fabric_swings"
    slowest = next(mode for mode in study.still.modes if mode.moves == "drape")
    assert f"{slowest.frequency_hz:.1f} Hz" in picture.finding
