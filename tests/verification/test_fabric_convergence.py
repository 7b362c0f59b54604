"""Twice the strips and twice the rows move what is told of a fabric by less than a twentieth.

The table that the test makes is in its output (`pytest -rP`, or `-s`). Only cloth with one way to
hang is compared: between two wakes, or at the edge of one, a skirt can hang in several, and a finer
grid may settle in another than a coarse one.
"""

from __future__ import annotations

import sys

import numpy as np
import pytest

from sim.analysis.drape_load import drape_loads, hung_fabric
from sim.analysis.drape_swing import fabric_swings
from sim.analysis.fabric_watch import steady_wind_flight, watch_fabric
from sim.analysis.trim import find_trim
from sim.pack.craft import pack_craft
from sim.spec import craft_from_bytes, load_craft, load_scenario
from sim.spec.fabric_change import with_drapes

GRIDS = ((8, 3), (16, 3), (8, 6), (16, 6))
WIND_M_S = 3.0
MOST = 0.05
SKIRT = """
drape:
  cut: skirt
  strips: 8
  rows: 3
  length: 40 cm
  rim: {radius: 10 cm, place: {right: 37 cm, up: -8 cm}}
  fabric: {cloth: organza}
"""
BANNER = """
drape:
  cut: banner
  strips: 8
  rows: 3
  length: 40 cm
  rim: {length: 28 cm, along: right, place: {right: 37 cm, up: -8 cm}}
  fabric: {cloth: muslin}
"""


@pytest.fixture(scope="module")
def breeze(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec


def gridded(craft, grid):
    strips, rows = grid
    size = {"strips": strips, "rows": rows}
    return with_drapes(craft, lambda drape: drape.model_copy(update=size))


def tabled(name, figures, rows):
    """Print a table and give the greatest change of each figure from the coarsest grid [-]."""
    lines = [f"{name}: {', '.join(figures)}"]
    lines += [
        f"  {strips:2d} strips of {count} rows  " + "  ".join(f"{value:8.4f}" for value in row)
        for (strips, count), row in zip(GRIDS, rows, strict=True)
    ]
    change = np.array(rows[-1]) / np.array(rows[0]) - 1.0
    lines.append("  both doubled          " + "  ".join(f"{100 * c:+7.1f}%" for c in change))
    sys.stdout.write("\n".join(lines) + "\n")
    return np.abs(change)


@pytest.mark.parametrize(("name", "drape"), [("skirt", SKIRT), ("banner", BANNER)])
def test_download_and_side_force(repository, standard_air, breeze, name, drape):
    """Of cloth hung in one rotor's wake, in still air and in wind from ahead, the body held."""
    bare = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")
    craft = craft_from_bytes((bare + drape).encode(), f"{name}.yaml").spec
    downwind = np.array([-1.0, 0.0, 0.0])
    rows = []
    for grid in GRIDS:
        spec = gridded(craft, grid)
        packed = pack_craft(spec, standard_air)
        still = watch_fabric(packed, steady_wind_flight(packed, breeze, 0.0), hold="compared")
        hung = hung_fabric(spec, packed, still)
        flight = steady_wind_flight(packed, breeze, WIND_M_S)
        flight.wind_from_rad = 0.0
        blown = watch_fabric(packed, flight, hold="compared")
        download = drape_loads(hung, still, downwind)[1].download_n
        side = drape_loads(hung, blown, downwind)[1].side_force_n
        rows.append((download, side))
    assert (tabled(f"{name} in a wake", ("download N", "side force N"), rows) < MOST).all()


def test_first_swing(repository, standard_air, breeze):
    """Of the jellyfish's skirt in hover."""
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec
    rows = []
    for grid in GRIDS:
        spec = gridded(craft, grid)
        packed = pack_craft(spec, standard_air)
        flight = steady_wind_flight(packed, breeze, 0.0)
        trim = find_trim(packed.record, flight, charge=packed.charge, swing_m_s=0.2)
        rows.append((fabric_swings(spec, trim)[0].mode.frequency_hz,))
    assert (tabled("skirt of the jellyfish", ("first swing Hz",), rows) < MOST).all()
