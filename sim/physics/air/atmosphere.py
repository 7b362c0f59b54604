"""Density of the day's air, from temperature, pressure or elevation, and humidity.

Heights in the standard atmosphere are geopotential heights H; a height above sea level as a map
gives it is a geometric height Z. `geopotential_height` converts, and every function here says
which of the two it takes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import final

STANDARD_GRAVITY_M_S2 = 9.80665
DRY_AIR_GAS_CONSTANT_J_KG_K = 287.05287
WATER_VAPOUR_GAS_CONSTANT_J_KG_K = 461.495
RATIO_OF_SPECIFIC_HEATS = 1.4
SEA_LEVEL_TEMPERATURE_K = 288.15
SEA_LEVEL_PRESSURE_PA = 101325.0
SEA_LEVEL_DENSITY_KG_M3 = SEA_LEVEL_PRESSURE_PA / (
    DRY_AIR_GAS_CONSTANT_J_KG_K * SEA_LEVEL_TEMPERATURE_K
)
LAPSE_RATE_K_M = 0.0065
NOMINAL_EARTH_RADIUS_M = 6356766.0
ZERO_CELSIUS_K = 273.15

LOWEST_HEIGHT_M = -5000.0
HIGHEST_HEIGHT_M = 11000.0
LOWEST_TEMPERATURE_K = 213.15
HIGHEST_TEMPERATURE_K = 333.15

_PRESSURE_EXPONENT = STANDARD_GRAVITY_M_S2 / (DRY_AIR_GAS_CONSTANT_J_KG_K * LAPSE_RATE_K_M)
_DENSITY_EXPONENT = _PRESSURE_EXPONENT - 1.0
_NOTICED_ELEVATION_M = 300.0


@final
@dataclass(frozen=True)
class AirOfTheDay:
    """The air a craft flies in.

    Attributes
    ----------
    density_kg_m3 : float
        [kg/m3] Density of the humid air.
    temperature_k, pressure_pa : float
        [K], [Pa] Temperature and pressure at the place itself, not reduced to sea level.
    density_altitude_m : float
        [m] Geopotential height at which the standard atmosphere has this density.
    viscosity_pa_s : float
        [Pa s] Dynamic viscosity, of dry air.
    speed_of_sound_m_s : float
        [m/s] Speed of sound, of dry air.
    assumed : tuple of str
        A sentence for each thing that was not given, or that looks odd.
    """

    density_kg_m3: float
    temperature_k: float
    pressure_pa: float
    density_altitude_m: float
    viscosity_pa_s: float
    speed_of_sound_m_s: float
    assumed: tuple[str, ...]


def _within(name: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        message = f"{name} is {value:g} {unit}, it must lie from {low:g} to {high:g} {unit}"
        raise ValueError(message)


def geopotential_height(geometric_height_m: float) -> float:
    """Turn a geometric height Z into a geopotential height, H = r Z / (r + Z).

    Parameters
    ----------
    geometric_height_m : float
        [m] Z, height above mean sea level.

    Returns
    -------
    float
        [m] H, the height the standard atmosphere is a function of.

    References
    ----------
    U.S. Standard Atmosphere, 1976, equation 18, with r = 6 356 766 m.
    """
    return (
        NOMINAL_EARTH_RADIUS_M * geometric_height_m / (NOMINAL_EARTH_RADIUS_M + geometric_height_m)
    )


def standard_temperature(geopotential_height_m: float) -> float:
    """Give the temperature of the standard atmosphere, T = 288.15 - 0.0065 H.

    Parameters
    ----------
    geopotential_height_m : float
        [m] H, geopotential (not geometric) height, -5000 to 11 000 m (troposphere).

    Returns
    -------
    float
        [K] Temperature.

    References
    ----------
    ICAO Doc 7488 (1993), the same below 32 km as the U.S. Standard Atmosphere, 1976.
    """
    _within("height", geopotential_height_m, LOWEST_HEIGHT_M, HIGHEST_HEIGHT_M, "m")
    return SEA_LEVEL_TEMPERATURE_K - LAPSE_RATE_K_M * geopotential_height_m


def standard_pressure(geopotential_height_m: float) -> float:
    """Give the pressure of the standard atmosphere, p = 101325 (T / 288.15)^(g / (R L)).

    Parameters
    ----------
    geopotential_height_m : float
        [m] H, geopotential (not geometric) height, -5000 to 11 000 m (troposphere).

    Returns
    -------
    float
        [Pa] Pressure.

    References
    ----------
    ICAO Doc 7488 (1993); U.S. Standard Atmosphere, 1976, equation 33a.
    """
    ratio = standard_temperature(geopotential_height_m) / SEA_LEVEL_TEMPERATURE_K
    return float(SEA_LEVEL_PRESSURE_PA * ratio**_PRESSURE_EXPONENT)


def standard_density(geopotential_height_m: float) -> float:
    """Give the density of the standard atmosphere, rho = p / (R T).

    Parameters
    ----------
    geopotential_height_m : float
        [m] H, geopotential (not geometric) height, -5000 to 11 000 m (troposphere).

    Returns
    -------
    float
        [kg/m3] Density.
    """
    return standard_pressure(geopotential_height_m) / (
        DRY_AIR_GAS_CONSTANT_J_KG_K * standard_temperature(geopotential_height_m)
    )


def pressure_altitude(pressure_pa: float) -> float:
    """Give the geopotential height at which the standard atmosphere has this pressure.

    Parameters
    ----------
    pressure_pa : float
        [Pa] Pressure at the place, 22 632 to 177 700 Pa (the troposphere).

    Returns
    -------
    float
        [m] Geopotential height.
    """
    low, high = standard_pressure(HIGHEST_HEIGHT_M), standard_pressure(LOWEST_HEIGHT_M)
    _within("pressure", pressure_pa, low, high, "Pa")
    ratio = (pressure_pa / SEA_LEVEL_PRESSURE_PA) ** (1.0 / _PRESSURE_EXPONENT)
    return float(SEA_LEVEL_TEMPERATURE_K / LAPSE_RATE_K_M * (1.0 - ratio))


def density_altitude(density_kg_m3: float) -> float:
    """Give the geopotential height at which the standard atmosphere has this density.

    Parameters
    ----------
    density_kg_m3 : float
        [kg/m3] Density, 0.3639 to 1.931 kg/m3 (the troposphere).

    Returns
    -------
    float
        [m] Geopotential height; negative for air denser than standard sea-level air.
    """
    low, high = standard_density(HIGHEST_HEIGHT_M), standard_density(LOWEST_HEIGHT_M)
    _within("density", density_kg_m3, low, high, "kg/m3")
    ratio = (density_kg_m3 / SEA_LEVEL_DENSITY_KG_M3) ** (1.0 / _DENSITY_EXPONENT)
    return float(SEA_LEVEL_TEMPERATURE_K / LAPSE_RATE_K_M * (1.0 - ratio))


def saturation_pressure(temperature_k: float) -> float:
    """Give the vapour pressure over water, es = 611.2 exp(17.67 t / (t + 243.5)), t in deg C.

    Fitted for -35 to 35 deg C (0.3 %); accepted here from -60 to 60 deg C, where the error stays
    far below what it can do to the density.

    Parameters
    ----------
    temperature_k : float
        [K] Air temperature, 213.15 to 333.15 K.

    Returns
    -------
    float
        [Pa] Saturation vapour pressure.

    References
    ----------
    Bolton, D. (1980), The computation of equivalent potential temperature, Monthly Weather
    Review 108, equation 10.
    """
    _within("temperature", temperature_k, LOWEST_TEMPERATURE_K, HIGHEST_TEMPERATURE_K, "K")
    celsius = temperature_k - ZERO_CELSIUS_K
    return 611.2 * math.exp(17.67 * celsius / (celsius + 243.5))


def humid_air_density(temperature_k: float, pressure_pa: float, humidity: float) -> float:
    """Give the density of an ideal mixture of dry air and vapour.

    rho = (p - e) / (Rd T) + e / (Rv T), e = humidity times the saturation pressure. The ideal
    mixture is 0.3 to 0.7 parts in a thousand below real air near the ground.

    Parameters
    ----------
    temperature_k : float
        [K] Air temperature, 213.15 to 333.15 K.
    pressure_pa : float
        [Pa] Pressure at the place; must exceed the vapour pressure.
    humidity : float
        [1] Relative humidity, 0 to 1.

    Returns
    -------
    float
        [kg/m3] Density.
    """
    _within("humidity", humidity, 0.0, 1.0, "(share)")
    vapour_pa = humidity * saturation_pressure(temperature_k)
    if not vapour_pa < pressure_pa < math.inf:
        message = f"pressure is {pressure_pa:g} Pa, it must exceed the vapour's {vapour_pa:g} Pa"
        raise ValueError(message)
    dry = (pressure_pa - vapour_pa) / (DRY_AIR_GAS_CONSTANT_J_KG_K * temperature_k)
    vapour = vapour_pa / (WATER_VAPOUR_GAS_CONSTANT_J_KG_K * temperature_k)
    return dry + vapour


def viscosity(temperature_k: float) -> float:
    """Give the dynamic viscosity of dry air, mu = 1.458e-6 T^1.5 / (T + 110.4).

    Parameters
    ----------
    temperature_k : float
        [K] Air temperature.

    Returns
    -------
    float
        [Pa s] Dynamic viscosity.

    References
    ----------
    Sutherland's law with the constants of the U.S. Standard Atmosphere, 1976, equation 51.
    """
    return float(1.458e-6 * temperature_k**1.5 / (temperature_k + 110.4))


def speed_of_sound(temperature_k: float) -> float:
    """Give the speed of sound in dry air, a = sqrt(gamma R T).

    Parameters
    ----------
    temperature_k : float
        [K] Air temperature.

    Returns
    -------
    float
        [m/s] Speed of sound; humid air is faster by up to half a percent.
    """
    return math.sqrt(RATIO_OF_SPECIFIC_HEATS * DRY_AIR_GAS_CONSTANT_J_KG_K * temperature_k)


def air_of_the_day(
    temperature_k: float | None,
    pressure_pa: float | None,
    elevation_m: float | None,
    humidity: float,
) -> AirOfTheDay:
    """Give the air at the place of flight; what is not given comes from the standard atmosphere.

    Parameters
    ----------
    temperature_k : float or None
        [K] Air temperature; if absent, the standard one at the elevation or, without an
        elevation, at the pressure altitude.
    pressure_pa : float or None
        [Pa] Pressure at the place itself, not reduced to sea level; if absent, the standard one
        at the elevation.
    elevation_m : float or None
        [m] Geometric height above mean sea level; if it and the pressure are absent, 0 m.
    humidity : float
        [1] Relative humidity, 0 to 1.

    Returns
    -------
    AirOfTheDay
        Density, what it came from, and what was assumed.
    """
    assumed: list[str] = []
    if elevation_m is not None:
        height = geopotential_height(elevation_m)
    elif pressure_pa is not None:
        height = pressure_altitude(pressure_pa)
    else:
        height = 0.0
        assumed.append("elevation not given: sea level taken")

    if pressure_pa is None:
        pressure_pa = standard_pressure(height)
        assumed.append(f"pressure not given: standard {pressure_pa / 100.0:.1f} hPa taken")
    elif elevation_m is not None and _looks_reduced_to_sea_level(pressure_pa, height):
        assumed.append(
            f"pressure {pressure_pa / 100.0:.1f} hPa is taken as that of the place itself, but at "
            f"{elevation_m:.0f} m it looks like one reduced to sea level"
        )
    if temperature_k is None:
        temperature_k = standard_temperature(height)
        celsius = temperature_k - ZERO_CELSIUS_K
        assumed.append(f"temperature not given: standard {celsius:.1f} deg C taken")

    density = humid_air_density(temperature_k, pressure_pa, humidity)
    return AirOfTheDay(
        density_kg_m3=density,
        temperature_k=temperature_k,
        pressure_pa=pressure_pa,
        density_altitude_m=density_altitude(density),
        viscosity_pa_s=viscosity(temperature_k),
        speed_of_sound_m_s=speed_of_sound(temperature_k),
        assumed=tuple(assumed),
    )


def _looks_reduced_to_sea_level(pressure_pa: float, geopotential_height_m: float) -> bool:
    """Tell whether a pressure is nearer to the sea-level value than to the one of the height."""
    if geopotential_height_m < _NOTICED_ELEVATION_M:
        return False
    from_place = abs(pressure_pa - standard_pressure(geopotential_height_m))
    return abs(pressure_pa - SEA_LEVEL_PRESSURE_PA) < from_place
