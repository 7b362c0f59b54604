"""Density of humid air against the national laboratories' equation and hand figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.physics.air.atmosphere import humid_air_density, saturation_pressure

# deg C, Pa, relative humidity, then kg/m3: CIPM-2007 (Picard, Davis, Glaeser and Fujii, Metrologia
# 45, 2008), CoolProp 8.0.0 humid air, and the ideal mixture worked out by hand.
DAYS = [
    (20.0, 101325.0, 0.5, 1.19931, 1.19936, 1.19886),
    (15.0, 101325.0, 0.0, 1.22552, 1.22557, 1.22500),
    (30.0, 101325.0, 0.6, 1.15368, 1.15372, 1.15332),
    (35.0, 95000.0, 0.5, 1.06223, 1.06227, 1.06196),
    (35.0, 100000.0, 0.8, 1.11162, 1.11166, 1.11126),
    (-5.0, 101325.0, 0.5, 1.31621, 1.31631, 1.31533),
    (40.0, 101325.0, 1.0, 1.09655, 1.09661, 1.09611),
]


def laboratory_saturation_pressure(kelvin):
    """Saturation pressure of CIPM-2007, Pa; coefficients from memory of Picard et al. (2008)."""
    return math.exp(
        1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin
    )


def laboratory_density(celsius, pascal, humidity):
    """Density by CIPM-2007, kg/m3: real gas, 400 ppm carbon dioxide; coefficients from memory."""
    kelvin = celsius + 273.15
    enhancement = 1.00062 + 3.14e-8 * pascal + 5.6e-7 * celsius**2
    vapour = humidity * enhancement * laboratory_saturation_pressure(kelvin) / pascal
    linear = (
        1.58123e-6
        - 2.9331e-8 * celsius
        + 1.1043e-10 * celsius**2
        + (5.707e-6 - 2.051e-8 * celsius) * vapour
        + (1.9898e-4 - 2.376e-6 * celsius) * vapour**2
    )
    ratio = pascal / kelvin
    compressibility = 1.0 - ratio * linear + ratio**2 * (1.83e-11 - 0.765e-8 * vapour**2)
    molar = 28.96546e-3 * (1.0 - 0.3780 * vapour)
    return pascal * molar / (compressibility * 8.314472 * kelvin)


@pytest.mark.parametrize(("celsius", "pascal", "humidity", "cipm", "coolprop", "ideal"), DAYS)
def test_humid_density(celsius, pascal, humidity, cipm, coolprop, ideal):
    """By rho = (p - e) / (Rd T) + e / (Rv T).

    The ideal mixture leaves out compressibility, worth 3e-4 to 7e-4 near the ground: hence 1e-3.
    """
    density = humid_air_density(celsius + 273.15, pascal, humidity)
    assert density == pytest.approx(ideal, abs=1e-5)
    assert density == pytest.approx(cipm, rel=1e-3)
    assert density == pytest.approx(coolprop, rel=1e-3)


@pytest.mark.parametrize(("celsius", "pascal", "humidity", "cipm", "coolprop", "ideal"), DAYS)
def test_the_laboratory_equation_gives_its_figures(
    celsius, pascal, humidity, cipm, coolprop, ideal
):
    """The equation coded above, against the figures it is said to give."""
    assert laboratory_density(celsius, pascal, humidity) == pytest.approx(cipm, abs=1.5e-5)


@given(
    celsius=st.floats(-20.0, 40.0),
    pascal=st.floats(80000.0, 104000.0),
    humidity=st.floats(0.0, 1.0),
)
def test_density_follows_the_laboratory_equation_on_any_day(celsius, pascal, humidity):
    """Within 1e-3 of CIPM-2007 on any day for flying."""
    laboratory = laboratory_density(celsius, pascal, humidity)
    assert humid_air_density(celsius + 273.15, pascal, humidity) == pytest.approx(
        laboratory, rel=1e-3
    )


@pytest.mark.parametrize(
    ("celsius", "pascal"), [(20.0, 2339.2), (30.0, 4246.8), (35.0, 5628.9), (40.0, 7384.8)]
)
def test_saturation_pressure(celsius, pascal):
    """Pressure es against CIPM-2007; Bolton states 0.3 % up to 35 deg C."""
    kelvin = celsius + 273.15
    assert laboratory_saturation_pressure(kelvin) == pytest.approx(pascal, abs=0.06)
    assert saturation_pressure(kelvin) == pytest.approx(pascal, rel=3e-3)


@given(celsius=st.floats(0.0, 40.0), humidity=st.floats(0.05, 1.0))
def test_humid_air_is_lighter_than_dry(celsius, humidity):
    """1 - rho / rho_dry = (1 - Rd / Rv) e / p."""
    kelvin = celsius + 273.15
    dry = humid_air_density(kelvin, 101325.0, 0.0)
    lighter = 1.0 - humid_air_density(kelvin, 101325.0, humidity) / dry
    share = humidity * saturation_pressure(kelvin) / 101325.0
    assert lighter == pytest.approx((1.0 - 287.05287 / 461.495) * share, rel=1e-9)


@pytest.mark.parametrize(
    ("kelvin", "pascal", "humidity", "words"),
    [
        (212.0, 101325.0, 0.5, "from 213.15 to 333.15 K"),
        (20.0, 101325.0, 0.5, "temperature is 20 K"),
        (293.15, 101325.0, 1.1, "humidity is 1.1"),
        (293.15, 101325.0, -0.1, "humidity is -0.1"),
        (293.15, 1013.25, 0.5, "must exceed the vapour's"),
        (293.15, float("nan"), 0.5, "must exceed the vapour's"),
    ],
)
def test_impossible_air_is_refused(kelvin, pascal, humidity, words):
    """Possible is e < p < infinity, 0 <= RH <= 1, and the message names value and limit."""
    with pytest.raises(ValueError, match=words):
        humid_air_density(kelvin, pascal, humidity)
