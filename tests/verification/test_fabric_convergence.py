"""Twice the strips and twice the rows move what is told of a fabric by less than a twentieth.

The tables that the tests make are in their output (`pytest -rP`, or `-s`). Cloth in wind flutters,
so means of half a minute or more are compared, with their standard errors from the means of ten
stretches. Nets start from panels of 12 cm by 10 cm or less; how far off the coarser one of a craft
file is, is told in the tables too.

Only cloth with one way to hang is compared: where the craft catches it, or a wake draws it in, a
skirt can hang in several, and a finer net may settle in another than a coarse one.
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

COARSE, FINE, DOUBLED = (8, 3), (16, 6), (32, 12)
MOST = 0.05
MOST_OF_COARSE = 0.125
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


def blown(craft, grid, air, breeze, wind_m_s, seconds):
    """Give download and side force [N] of all fabric in wind from ahead, the body held.

    Means and their standard errors, shape (2, 2).
    """
    packed = pack_craft(gridded(craft, grid), air)
    flight = steady_wind_flight(packed, breeze, wind_m_s)
    flight.wind_from_rad = 0.0
    watch = watch_fabric(packed, flight, hold="compared", seconds=seconds)
    force = watch.air_n.sum(axis=1)[:, (2, 0)] * (1.0, -1.0)
    means = np.array([part.mean(axis=0) for part in np.array_split(force, STRETCHES)])
    return np.stack([means.mean(axis=0), means.std(axis=0, ddof=1) / STRETCHES**0.5], axis=1)


def tabled(name, figures, by_grid):
    """Print a table and give how far each coarser net is off the finest, by net and figure [-]."""
    values = {grid: np.array(row) for grid, row in by_grid.items()}
    finest = values[DOUBLED][:, 0]
    off = {grid: finest / value[:, 0] - 1.0 for grid, value in values.items()}
    lines = [f"{name}: {', '.join(figures)}, each with its standard error, and what doubling did"]
    for (strips, rows), value in values.items():
        cells = [f"{mean:8.4f} ({doubt:.4f})" for mean, doubt in value]
        lines.append(f"  {strips:2d} strips of {rows:2d} rows  " + "  ".join(cells))
    change = "  ".join(f"{100 * part:+15.1f}%" for part in off[FINE])
    lines.append(f"  both doubled at last  {change}")
    sys.stdout.write("\n".join(lines) + "\n")
    errors = np.array([value[:, 1] for value in values.values()]).max(axis=0)
    assert (2.0 * errors < MOST * np.abs(finest)).all(), "the means are not known well enough"
    return off


@pytest.mark.parametrize(
    ("name", "drape", "seconds"), [("skirt", SKIRT, 20.0), ("banner", BANNER, 80.0)]
)
def test_cloth_in_a_wake(repository, standard_air, breeze, name, drape, seconds):
    """Download in still air and side force in 3 m/s, of cloth that hangs in one rotor's wake."""
    bare = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")
    craft = craft_from_bytes((bare + drape).encode(), f"{name}.yaml").spec
    rows = {}
    for grid in (COARSE, FINE, DOUBLED):
        still = blown(craft, grid, standard_air, breeze, 0.0, 20.0)
        side = blown(craft, grid, standard_air, breeze, 3.0, seconds)
        rows[grid] = (still[0], side[1])
    off = tabled(f"{name} in a wake", ("download in still air N", "side force N"), rows)
    assert (np.abs(off[FINE]) < MOST).all()
    assert (np.abs(off[COARSE]) < MOST_OF_COARSE).all()


@pytest.mark.parametrize("wind_m_s", [2.0, 3.0, 4.0])
def test_skirt_that_wind_lays_on_a_keel_and_between_legs(
    repository, standard_air, breeze, wind_m_s
):
    """Of the jellyfish: its keel stops the cloth ahead, the legs behind let it stream between them.

    Its own net of 8 strips of 3 rows is up to an eighth off. In 5 m/s its side force moves by less
    than a twentieth too, the lift of the streaming cloth by a little more.
    """
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec
    rows = {
        grid: blown(craft, grid, standard_air, breeze, wind_m_s, 30.0)
        for grid in (COARSE, FINE, DOUBLED)
    }
    name = f"skirt of the jellyfish in {wind_m_s:g} m/s"
    off = tabled(name, ("download N", "side force N"), rows)
    assert (np.abs(off[FINE]) < MOST).all()
    assert (np.abs(off[COARSE]) < MOST_OF_COARSE).all()


def test_first_swing(repository, standard_air, breeze):
    """Of the jellyfish's skirt in hover, from the net of its file on."""
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec
    found = []
    sys.stdout.write("skirt of the jellyfish: first swing Hz\n")
    for grid in (COARSE, (16, 3), (8, 6), FINE):
        spec = gridded(craft, grid)
        packed = pack_craft(spec, standard_air)
        flight = steady_wind_flight(packed, breeze, 0.0)
        trim = find_trim(packed.record, flight, charge=packed.charge, swing_m_s=0.2)
        found.append(fabric_swings(spec, trim)[0].mode.frequency_hz)
        sys.stdout.write(f"  {grid[0]:2d} strips of {grid[1]:2d} rows  {found[-1]:8.4f}\n")
    assert (np.abs(np.array(found) / found[0] - 1.0) < MOST).all()
