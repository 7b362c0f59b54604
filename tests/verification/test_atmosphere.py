"""Standard atmosphere against printed tables and two independent libraries."""

from __future__ import annotations

import fluids.atmosphere
import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.air.atmosphere import (
    air_of_the_day,
    density_altitude,
    geopotential_height,
    humid_air_density,
    pressure_altitude,
    speed_of_sound,
    standard_density,
    standard_pressure,
    standard_temperature,
    viscosity,
)

# Mechanical Engineers' Handbook, vol. 4, p. 12, table 6, thermophysical properties of the U.S.
# Standard Atmosphere: geometric height m, T K, p bar, rho kg/m3, a m/s; half a printed digit.
HANDBOOK = [
    (0.0, 288.15, 1.0133, 1.2250, 340.3),
    (1000.0, 281.65, 0.8988, 1.1117, 336.4),
    (2000.0, 275.15, 0.7950, 1.0066, 332.5),
    (3000.0, 268.66, 0.7012, 0.9093, 328.6),
]
# Geopotential height m, T K, p Pa, rho kg/m3, a m/s: T = 288.15 - 0.0065 H,
# p = 101325 (T / 288.15)^5.25588, worked out by hand from the definition (ICAO Doc 7488).
BY_DEFINITION = [
    (500.0, 284.900, 95460.84, 1.167269, 338.36948),
    (1000.0, 281.650, 89874.56, 1.111643, 336.43397),
    (2000.0, 275.150, 79495.20, 1.006490, 332.52915),
    (3000.0, 268.650, 70108.53, 0.909122, 328.57793),
]


@pytest.mark.parametrize(("height", "kelvin", "bar", "density", "sound"), HANDBOOK)
def test_handbook_table_is_met_at_geometric_heights(height, kelvin, bar, density, sound):
    """T, p, rho, a at Z, with H = r Z / (r + Z)."""
    geopotential = geopotential_height(height)
    assert standard_temperature(geopotential) == pytest.approx(kelvin, abs=0.005 + 1e-9)
    assert standard_pressure(geopotential) / 1e5 == pytest.approx(bar, abs=0.00005 + 1e-9)
    assert standard_density(geopotential) == pytest.approx(density, abs=0.00005 + 1e-9)
    temperature = standard_temperature(geopotential)
    assert speed_of_sound(temperature) == pytest.approx(sound, abs=0.05 + 1e-9)


@pytest.mark.parametrize(("height", "kelvin", "pascal", "density", "sound"), BY_DEFINITION)
def test_definition_is_met_at_geopotential_heights(height, kelvin, pascal, density, sound):
    """T = 288.15 - 0.0065 H; p = 101325 (T / 288.15)^5.25588; rho = p / (R T)."""
    assert standard_temperature(height) == pytest.approx(kelvin, abs=1e-9)
    assert standard_pressure(height) == pytest.approx(pascal, abs=0.01)
    assert standard_density(height) == pytest.approx(density, abs=1e-6)
    assert speed_of_sound(standard_temperature(height)) == pytest.approx(sound, abs=1e-5)


@pytest.mark.parametrize("height", [0.0, 250.0, 500.0, 1000.0, 1500.0, 2000.0, 3000.0, 8000.0])
def test_two_libraries_agree_at_geometric_heights(height):
    """T, p, rho, a, mu of ambiance (ICAO 1993) and fluids (U.S. 1976)."""
    geopotential = geopotential_height(height)
    kelvin = standard_temperature(geopotential)
    theirs = Atmosphere(height)
    other = fluids.atmosphere.ATMOSPHERE_1976(height)
    for library in (
        (
            theirs.temperature[0],
            theirs.pressure[0],
            theirs.density[0],
            theirs.speed_of_sound[0],
            theirs.dynamic_viscosity[0],
        ),
        (other.T, other.P, other.rho, other.v_sonic, other.mu),
    ):
        assert kelvin == pytest.approx(library[0], abs=0.001)
        assert standard_pressure(geopotential) == pytest.approx(library[1], rel=1e-5)
        assert standard_density(geopotential) == pytest.approx(library[2], rel=1e-5)
        assert speed_of_sound(kelvin) == pytest.approx(library[3], abs=0.01)
        assert viscosity(kelvin) == pytest.approx(library[4], rel=1e-4)


def test_geometric_and_geopotential_heights_are_not_mixed_up():
    """At 3000 m the mix-up is worth 1.3e-4 in density, above the tolerances used here."""
    mixed_up = standard_density(3000.0) / standard_density(geopotential_height(3000.0)) - 1.0
    assert mixed_up == pytest.approx(-1.45e-4, abs=2e-5)
    for law in (standard_temperature, standard_pressure, standard_density):
        assert "geopotential (not geometric) height" in (law.__doc__ or "")


@given(st.floats(-5000.0, 11000.0))
def test_altitudes_invert_the_atmosphere(height):
    """density_altitude(rho(H)) = H and pressure_altitude(p(H)) = H."""
    assert density_altitude(standard_density(height)) == pytest.approx(height, abs=1e-6)
    assert pressure_altitude(standard_pressure(height)) == pytest.approx(height, abs=1e-6)


def test_hot_day_has_a_high_density_altitude():
    """20 K above standard at 1000 m pressure altitude: rho 1.037938 kg/m3, 1693 m.

    Worked out by hand: p(1000 m) / (R (281.65 + 20)), then the inverse of rho(H).
    """
    density = humid_air_density(standard_temperature(1000.0) + 20.0, standard_pressure(1000.0), 0.0)
    assert density == pytest.approx(1.037938, abs=1e-6)
    assert density_altitude(density) == pytest.approx(1693.0, abs=0.5)


@pytest.mark.parametrize("law", [standard_temperature, standard_pressure, standard_density])
@pytest.mark.parametrize("height", [-5001.0, 11001.0, float("nan")])
def test_heights_outside_the_troposphere_are_refused(law, height):
    """-5000 m <= H <= 11 000 m, and the message gives the range."""
    with pytest.raises(ValueError, match="from -5000 to 11000 m"):
        law(height)


def test_day_without_data_is_the_standard_one_at_sea_level_and_says_so():
    """rho0 = 101325 / (287.05287 x 288.15) = 1.225 kg/m3."""
    air = air_of_the_day(None, None, None, 0.0)
    assert air.density_kg_m3 == pytest.approx(1.225, rel=1e-6)
    assert air.density_altitude_m == pytest.approx(0.0, abs=1e-6)
    assert len(air.assumed) == 3
    assert all("not given" in sentence for sentence in air.assumed)


def test_day_with_everything_given_assumes_nothing():
    """By rho = p / (R T) for dry air; the elevation then has no say."""
    air = air_of_the_day(293.15, 95000.0, 540.0, 0.0)
    assert air.assumed == ()
    assert air.density_kg_m3 == pytest.approx(95000.0 / (287.05287 * 293.15), rel=1e-12)


def test_elevation_is_geometric_and_pressure_gives_the_height_without_it():
    """T(H(Z)) and p(H(Z)); T at the pressure altitude when there is only a pressure."""
    by_elevation = air_of_the_day(None, None, 2000.0, 0.0)
    height = geopotential_height(2000.0)
    assert by_elevation.density_altitude_m == pytest.approx(height, abs=1e-6)
    by_pressure = air_of_the_day(None, standard_pressure(1500.0), None, 0.0)
    assert by_pressure.temperature_k == pytest.approx(standard_temperature(1500.0), abs=1e-9)


def test_pressure_reduced_to_sea_level_is_noticed():
    """1013 hPa at 900 m is a sea-level pressure: the air there has about 910 hPa."""
    odd = air_of_the_day(288.15, 101300.0, 900.0, 0.0).assumed
    assert len(odd) == 1
    assert "reduced to sea level" in odd[0]
    assert air_of_the_day(288.15, 91000.0, 900.0, 0.0).assumed == ()
    assert air_of_the_day(288.15, 103000.0, 10.0, 0.0).assumed == ()
