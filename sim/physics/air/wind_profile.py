"""Mean wind and turbulence intensity against height, by the logarithmic law over a terrain."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import final

from sim.numerics.compile import compiled

HIGHEST_HEIGHT_M = 200.0
REFERENCE_ROUGHNESS_M = 0.05


@compiled
def log_profile(height_m: float, roughness_m: float, minimum_height_m: float) -> float:
    """Give ln(max(z, z_min) / z0), to which the mean wind is proportional.

    Parameters
    ----------
    height_m : float
        [m] z, height above the ground; any value, also negative.
    roughness_m : float
        [m] z0, roughness length of the terrain, above 0.
    minimum_height_m : float
        [m] z_min, below which the value at z_min holds; above z0.

    Returns
    -------
    float
        [1] The logarithm, positive.

    References
    ----------
    EN 1991-1-4:2005, equation 4.4, without the terrain factor.
    """
    return math.log(max(height_m, minimum_height_m) / roughness_m)


@compiled
def mean_wind_ratio(
    height_m: float, known_height_m: float, roughness_m: float, minimum_height_m: float
) -> float:
    """Give the mean wind at a height over the mean wind at the height where it is known.

    Parameters
    ----------
    height_m : float
        [m] Height above the ground at which the wind is wanted.
    known_height_m : float
        [m] Height above the ground at which the wind is known, over the same terrain.
    roughness_m : float
        [m] Roughness length of the terrain.
    minimum_height_m : float
        [m] Height below which the wind is held.

    Returns
    -------
    float
        [1] U(z) / U(z known).
    """
    wanted = log_profile(height_m, roughness_m, minimum_height_m)
    return wanted / log_profile(known_height_m, roughness_m, minimum_height_m)


@compiled
def turbulence_intensity(height_m: float, roughness_m: float, minimum_height_m: float) -> float:
    """Give the intensity along the wind, Iv = 1 / ln(z / z0), over level ground.

    Times the mean wind of the same law this is the same standard deviation at every height.

    Parameters
    ----------
    height_m : float
        [m] Height above the ground.
    roughness_m : float
        [m] Roughness length of the terrain.
    minimum_height_m : float
        [m] Height below which the value is held.

    Returns
    -------
    float
        [1] Standard deviation of the speed along the wind over the mean speed at that height.

    References
    ----------
    EN 1991-1-4:2005, equation 4.7 with turbulence factor 1 and orography factor 1.
    """
    return 1.0 / log_profile(height_m, roughness_m, minimum_height_m)


@final
@dataclass(frozen=True)
class Terrain:
    """One terrain category of EN 1991-1-4:2005, table 4.1.

    Attributes
    ----------
    name : str
        Name in a scenario file.
    category : str
        Number of the category in the standard.
    looks_like : str
        What the builder sees there.
    roughness_m : float
        [m] z0, roughness length.
    standard_minimum_height_m : float
        [m] z_min of the standard: below it the standard holds the wind at z_min, on the safe
        side for a building.
    """

    name: str
    category: str
    looks_like: str
    roughness_m: float
    standard_minimum_height_m: float

    @property
    def low_flight_minimum_height_m(self) -> float:
        """[m] Height down to which the plain log law is used here, 2 z0 + 0.1 m.

        The standard's own z_min (2 m in open field, 10 m in a street) would give a craft at 2 m
        the wind and the low turbulence intensity of z_min. Going on with the log law gives less
        mean wind and more turbulence for it. This is an extension of this project, not
        of the standard: `profile_notes` says so wherever it is used.
        """
        return 2.0 * self.roughness_m + 0.1


TERRAINS: dict[str, Terrain] = {
    terrain.name: terrain
    for terrain in (
        Terrain("sea", "0", "open sea or coast", 0.003, 1.0),
        Terrain("lake_shore", "I", "lake shore or flat ground without obstacles", 0.01, 1.0),
        Terrain("open_field", "II", "low grass, single trees and houses", 0.05, 2.0),
        Terrain("garden", "III", "gardens, suburb, villages, wood", 0.3, 5.0),
        Terrain("street", "IV", "town with houses above 15 m", 1.0, 10.0),
    )
}


def terrain_factor(roughness_m: float) -> float:
    """Give the terrain factor kr = 0.19 (z0 / 0.05)^0.07.

    Parameters
    ----------
    roughness_m : float
        [m] z0, roughness length.

    Returns
    -------
    float
        [1] kr.

    References
    ----------
    EN 1991-1-4:2005, equation 4.5.
    """
    return float(0.19 * (roughness_m / REFERENCE_ROUGHNESS_M) ** 0.07)


def roughness_factor(height_m: float, terrain: Terrain) -> float:
    """Give cr = kr ln(z / z0): mean wind over that at 10 m in open field, as the standard has it.

    Parameters
    ----------
    height_m : float
        [m] Height above the ground; below the standard's z_min the value at z_min holds.
    terrain : Terrain
        Where.

    Returns
    -------
    float
        [1] cr.

    References
    ----------
    EN 1991-1-4:2005, equation 4.4.
    """
    minimum = terrain.standard_minimum_height_m
    return terrain_factor(terrain.roughness_m) * log_profile(height_m, terrain.roughness_m, minimum)


def exposure_factor(height_m: float, terrain: Terrain) -> float:
    """Give ce = (1 + 7 Iv) cr^2: peak over mean dynamic pressure at 10 m in open field.

    Parameters
    ----------
    height_m : float
        [m] Height above the ground; below the standard's z_min the value at z_min holds.
    terrain : Terrain
        Where.

    Returns
    -------
    float
        [1] ce.

    References
    ----------
    EN 1991-1-4:2005, equations 4.8 and 4.9.
    """
    minimum = terrain.standard_minimum_height_m
    intensity = turbulence_intensity(height_m, terrain.roughness_m, minimum)
    return float((1.0 + 7.0 * intensity) * roughness_factor(height_m, terrain) ** 2)


def profile_notes(height_m: float, terrain: Terrain) -> tuple[str, ...]:
    """Give a sentence for each way in which a height leaves the range of the standard.

    Parameters
    ----------
    height_m : float
        [m] Height above the ground at which a craft flies.
    terrain : Terrain
        Where.

    Returns
    -------
    tuple of str
        Empty when the height lies inside the range.
    """
    notes: list[str] = []
    low, standard = terrain.low_flight_minimum_height_m, terrain.standard_minimum_height_m
    if height_m > HIGHEST_HEIGHT_M:
        notes.append(f"at {height_m:g} m the log law is above its range, which ends at 200 m")
    elif height_m < low:
        notes.append(
            f"below {low:.2g} m over {terrain.name} the wind is held at its value at {low:.2g} m"
        )
    elif height_m < standard:
        notes.append(
            f"at {height_m:g} m over {terrain.name} the log law is used below the {standard:g} m "
            "at which EN 1991-1-4 stops: single obstacles decide the wind there"
        )
    return tuple(notes)
