"""Twice the strips and twice the rows move what is told of a fabric by less than a twentieth.

The tables that the tests make are in their output (`pytest -rP`, or `-s`). Cloth in wind flutters:
half a minute is watched, and tables give the standard error of each mean, from the means of
stretches of three seconds; a twentieth must be more than two of them. Strips and rows are doubled
in turn, since both at once would be more panels than there is room for; the tables add the two up.
Eight strips round a skirt are too few for this: their side force is up to a tenth off.

Only cloth with one way to hang is compared: where the craft catches it, or a wake draws it in, a
skirt can hang in several, and a finer grid may settle in another than a coarse one. Nor is cloth
compared whose strips are about as wide as the wake that they hang in: the wash is taken at one
point of each.
"""

from __future__ import annotations

import sys

import numpy as np
import pytest

from sim.analysis.drape_swing import fabric_swings
from sim.analysis.fabric_watch import steady_wind_flight, watch_fabric
from sim.analysis.trim import find_trim
from sim.pack.craft import pack_craft
from sim.spec import craft_from_bytes, load_craft, load_scenario
from sim.spec.fabric_change import with_drapes

GRIDS = ((16, 3), (32, 3), (16, 6))
JELLYFISH_GRIDS = ((12, 4), (24, 4), (12, 8))
SWING_GRIDS = ((8, 3), (16, 3), (8, 6), (16, 6))
WIND_M_S = 3.0
MOST = 0.05
WATCH_S = 30.0
STRETCHES = 10
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


def mean_and_error(samples):
    """Give the mean of evenly spaced samples, and its standard error."""
    means = np.mean(np.array_split(samples, STRETCHES), axis=1)
    return float(means.mean()), float(np.std(means, ddof=1)) / STRETCHES**0.5


def assert_grid_matters_little(name, figures, rows, grids=GRIDS):
    """Print a table of (mean, standard error) by grid and figure, and judge the changes."""
    values = np.array(rows)
    base, error = values[0, :, 0], values[:, :, 1].max(axis=0)
    changes = values[1:, :, 0] / base - 1.0
    lines = [f"{name}: {', '.join(figures)}, each with its standard error"]
    lines += [
        f"  {strips:2d} strips of {count} rows  "
        + "  ".join(f"{mean:8.4f} ({doubt:.4f})" for mean, doubt in row)
        for (strips, count), row in zip(grids, rows, strict=True)
    ]
    for what, row in (
        ("strips doubled", changes[0]),
        ("rows doubled", changes[1]),
        ("both", changes.sum(axis=0)),
    ):
        lines.append(f"  {what:20s}  " + "  ".join(f"{100 * c:+7.1f}%         " for c in row))
    sys.stdout.write("\n".join(lines) + "\n")
    assert (2.0 * error < MOST * np.abs(base)).all()
    assert (np.abs(changes) < MOST).all()


def blown(packed, breeze, wind_m_s):
    """Give the air's force [N] on all fabric, sample by sample, in wind from ahead."""
    flight = steady_wind_flight(packed, breeze, wind_m_s)
    flight.wind_from_rad = 0.0
    return watch_fabric(packed, flight, hold="compared", seconds=WATCH_S).air_n.sum(axis=1)


@pytest.mark.parametrize(("name", "drape"), [("skirt", SKIRT), ("banner", BANNER)])
def test_download_and_side_force(repository, standard_air, breeze, name, drape):
    """Of cloth hung in one rotor's wake, in still air and in wind from ahead, the body held."""
    bare = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")
    craft = craft_from_bytes((bare + drape).encode(), f"{name}.yaml").spec
    rows = []
    for grid in GRIDS:
        packed = pack_craft(gridded(craft, grid), standard_air)
        download = mean_and_error(blown(packed, breeze, 0.0)[:, 2])
        rows.append((download, mean_and_error(-blown(packed, breeze, WIND_M_S)[:, 0])))
    names = ("download in still air N", "side force N")
    assert_grid_matters_little(f"{name} in a wake", names, rows)


def test_a_skirt_that_wind_lays_on_keel_and_legs(repository, standard_air, breeze):
    """Of the jellyfish, in wind from ahead, the body held.

    The coarsest cells are 16 cm by 15 cm. At 4 m/s or with narrow, high cells (32 strips of 3 rows)
    it can catch on a leg in ways that differ from grid to grid; 3 m/s lies below that.
    """
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec
    rows = []
    for grid in JELLYFISH_GRIDS:
        air = blown(pack_craft(gridded(craft, grid), standard_air), breeze, WIND_M_S)
        rows.append((mean_and_error(air[:, 2]), mean_and_error(-air[:, 0])))
    names = ("download N", "side force N")
    assert_grid_matters_little("skirt of the jellyfish", names, rows, JELLYFISH_GRIDS)


def test_first_swing(repository, standard_air, breeze):
    """Of the jellyfish's skirt in hover, the grid of the file and both doubled."""
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec
    found = []
    sys.stdout.write("skirt of the jellyfish: first swing Hz\n")
    for grid in SWING_GRIDS:
        spec = gridded(craft, grid)
        packed = pack_craft(spec, standard_air)
        flight = steady_wind_flight(packed, breeze, 0.0)
        trim = find_trim(packed.record, flight, charge=packed.charge, swing_m_s=0.2)
        found.append(fabric_swings(spec, trim)[0].mode.frequency_hz)
        sys.stdout.write(f"  {grid[0]:2d} strips of {grid[1]} rows  {found[-1]:8.4f}\n")
    assert (np.abs(np.array(found) / found[0] - 1.0) < MOST).all()
