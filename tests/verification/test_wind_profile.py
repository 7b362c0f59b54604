"""Mean wind and turbulence intensity against height, by EN 1991-1-4 and the plain log law."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.air.direction import wind_to_earth
from sim.physics.air.wind_profile import (
    TERRAINS,
    exposure_factor,
    log_profile,
    mean_wind_ratio,
    profile_notes,
    roughness_factor,
    terrain_factor,
    turbulence_intensity,
)

# EN 1991-1-4:2005, table 4.1 and equations 4.4 to 4.9 at 10 m, from memory of the standard, worked
# out by hand: name, z0 m, z_min m, kr, cr, Iv, ce.
AT_TEN_METRES = [
    ("sea", 0.003, 1.0, 0.1560, 1.2657, 0.1233, 2.9845),
    ("lake_shore", 0.01, 1.0, 0.1698, 1.1726, 0.1448, 2.7685),
    ("open_field", 0.05, 2.0, 0.1900, 1.0067, 0.1887, 2.3523),
    ("garden", 0.3, 5.0, 0.2154, 0.7553, 0.2852, 1.7092),
    ("street", 1.0, 10.0, 0.2343, 0.5396, 0.4343, 1.1762),
]
NO_MINIMUM_M = 1e-3


def standard_intensity(height, terrain):
    minimum = terrain.standard_minimum_height_m
    return turbulence_intensity(height, terrain.roughness_m, minimum)


@pytest.mark.parametrize(
    ("name", "roughness", "minimum", "factor", "mean", "intensity", "exposure"), AT_TEN_METRES
)
def test_terrains_at_ten_metres(name, roughness, minimum, factor, mean, intensity, exposure):
    """By kr = 0.19 (z0 / 0.05)^0.07, cr = kr ln(z/z0), Iv = 1 / ln(z/z0), ce = (1 + 7 Iv) cr^2."""
    terrain = TERRAINS[name]
    assert terrain.roughness_m == roughness
    assert terrain.standard_minimum_height_m == minimum
    assert terrain_factor(roughness) == pytest.approx(factor, abs=5e-5)
    assert roughness_factor(10.0, terrain) == pytest.approx(mean, abs=5e-5)
    assert standard_intensity(10.0, terrain) == pytest.approx(intensity, abs=5e-5)
    assert exposure_factor(10.0, terrain) == pytest.approx(exposure, abs=5e-5)


def test_open_field_at_two_metres():
    """Factors cr 0.7009, Iv 0.2711, ce 1.4234 by the same equations."""
    terrain = TERRAINS["open_field"]
    assert roughness_factor(2.0, terrain) == pytest.approx(0.7009, abs=5e-5)
    assert standard_intensity(2.0, terrain) == pytest.approx(0.2711, abs=5e-5)
    assert exposure_factor(2.0, terrain) == pytest.approx(1.4234, abs=5e-5)
    assert standard_intensity(2.0, terrain) > standard_intensity(10.0, terrain)


@pytest.mark.parametrize(
    ("roughness", "ratio"),
    [(0.0002, 0.851250), (0.003, 0.801591), (0.03, 0.722947), (0.1, 0.650515), (0.3, 0.541021)],
)
def test_wind_at_two_metres_over_wind_at_ten(roughness, ratio):
    """U(2) / U(10) = ln(2 / z0) / ln(10 / z0)."""
    assert mean_wind_ratio(2.0, 10.0, roughness, NO_MINIMUM_M) == pytest.approx(ratio, abs=5e-7)


@pytest.mark.parametrize("terrain", TERRAINS.values(), ids=lambda terrain: terrain.name)
def test_the_standard_holds_its_value_below_its_minimum(terrain):
    """cr(z) = cr(z_min) and Iv(z) = Iv(z_min) for z <= z_min (EN 1991-1-4, 4.3.2 and 4.4)."""
    minimum = terrain.standard_minimum_height_m
    for height in (0.0, 0.5 * minimum, minimum):
        assert roughness_factor(height, terrain) == roughness_factor(minimum, terrain)
        assert standard_intensity(height, terrain) == standard_intensity(minimum, terrain)
    assert roughness_factor(1.01 * minimum, terrain) > roughness_factor(minimum, terrain)


@given(
    terrain=st.sampled_from(list(TERRAINS.values())),
    low=st.floats(-1.0, 200.0),
    high=st.floats(-1.0, 200.0),
)
def test_low_flight_has_less_wind_and_the_same_fluctuation(terrain, low, high):
    """U falls and Iv rises towards the ground, while Iv U stays: sigma = U(known) / ln(known / z0).

    Holds down to 2 z0 + 0.1 m, where ln(z / z0) is above ln 2, so nothing is ever infinite.
    """
    low, high = min(low, high), max(low, high)
    z0, minimum = terrain.roughness_m, terrain.low_flight_minimum_height_m
    slow, fast = (mean_wind_ratio(height, 10.0, z0, minimum) for height in (low, high))
    assert 0.0 < slow <= fast
    assert log_profile(low, z0, minimum) > math.log(2.0)
    for height, ratio in ((low, slow), (high, fast)):
        fluctuation = ratio * turbulence_intensity(height, z0, minimum)
        assert fluctuation == pytest.approx(1.0 / math.log(10.0 / z0), rel=1e-12)


def test_low_flight_uses_the_log_law_below_the_minimum_of_the_standard():
    """In a garden at 2 m: ln(2 / 0.3) / ln(10 / 0.3), not the value at 5 m; and it is flagged."""
    terrain = TERRAINS["garden"]
    ratio = mean_wind_ratio(2.0, 10.0, 0.3, terrain.low_flight_minimum_height_m)
    assert ratio == pytest.approx(math.log(2.0 / 0.3) / math.log(10.0 / 0.3), rel=1e-12)
    assert ratio < roughness_factor(2.0, terrain) / roughness_factor(10.0, terrain)
    (note,) = profile_notes(2.0, terrain)
    assert "below the 5 m at which EN 1991-1-4 stops" in note


@pytest.mark.parametrize(
    ("name", "height", "words"),
    [
        ("open_field", 2.0, None),
        ("open_field", 10.0, None),
        ("open_field", 0.1, "held at its value at 0.2 m"),
        ("street", 2.0, "held at its value at 2.1 m"),
        ("street", 5.0, "below the 10 m"),
        ("sea", 250.0, "above its range"),
    ],
)
def test_leaving_the_range_is_said(name, height, words):
    """z_min <= z <= 200 m is the range of the standard."""
    notes = profile_notes(height, TERRAINS[name])
    assert len(notes) == (0 if words is None else 1)
    assert words is None or words in notes[0]


@pytest.mark.parametrize(
    ("from_degrees", "along", "right"),
    [
        (0.0, (-1.0, 0.0), (0.0, -1.0)),
        (90.0, (0.0, -1.0), (1.0, 0.0)),
        (180.0, (1.0, 0.0), (0.0, 1.0)),
        (270.0, (0.0, 1.0), (-1.0, 0.0)),
    ],
)
def test_wind_blows_from_its_direction(from_degrees, along, right):
    """A north wind blows south, and west lies to the right of it; right = down x along."""
    direction = math.radians(from_degrees)
    assert wind_to_earth((1.0, 0.0, 0.0), direction) == pytest.approx((*along, 0.0), abs=1e-12)
    assert wind_to_earth((0.0, 1.0, 0.0), direction) == pytest.approx((*right, 0.0), abs=1e-12)
    assert wind_to_earth((0.0, 0.0, 1.0), direction) == (0.0, 0.0, 1.0)
