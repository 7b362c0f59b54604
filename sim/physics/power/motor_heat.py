"""Winding and housing of a motor as two lumps of heat, with a winding that resists more when hot.

The winding takes the copper loss, the housing the loss of the free-running motor; heat flows from
winding to housing to air. With a held current the copper loss is linear in the winding's
temperature, so the model is linear and has closed forms (two-node lumped network, textbook).
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from scipy.linalg import expm

COPPER_RISE_1_K: Final = 0.00393
"""[1/K] Resistance rise of copper at 20 degC (IEC 60028, standard annealed copper; from memory)."""
COPPER_REFERENCE_K: Final = 293.15
"""[K] Temperature that a winding's resistance is given at."""
LONGEST_S: Final = 1e5
_HALVINGS: Final = 60


class HeatPath(NamedTuple):
    """What a motor's warming depends on.

    Attributes
    ----------
    winding_j_k, housing_j_k : float
        [J/K] Heat capacities.
    winding_to_housing_k_w, housing_to_air_k_w : float
        [K/W] Thermal resistances.
    """

    winding_j_k: float
    housing_j_k: float
    winding_to_housing_k_w: float
    housing_to_air_k_w: float


class HeatLoad(NamedTuple):
    """What warms a motor.

    Attributes
    ----------
    copper_w : float
        [W] Winding loss at the current held, with the winding at 20 degC.
    housing_w : float
        [W] Iron and friction loss.
    air_k : float
        [K] Temperature of the air.
    """

    copper_w: float
    housing_w: float
    air_k: float


def _winding_loss(load: HeatLoad) -> tuple[float, float]:
    """Give winding loss at the temperature of the air [W], and its rise per kelvin [W/K]."""
    rise = load.copper_w * COPPER_RISE_1_K
    return load.copper_w + rise * (load.air_k - COPPER_REFERENCE_K), rise


def steady_temperatures(path: HeatPath, load: HeatLoad) -> tuple[float, float]:
    r"""Give winding and housing temperature after a long time.

    .. math:: T_w - T_a = \frac{R_2 P_h + (R_1 + R_2) P_w}{1 - g (R_1 + R_2)}

    with P_w the winding loss at air temperature and g its rise per kelvin. From g (R_1 + R_2) = 1
    on there is no steady state: the winding runs away.

    Parameters
    ----------
    path : HeatPath
    load : HeatLoad

    Returns
    -------
    winding_k, housing_k : float
        [K] Both inf when the winding runs away.
    """
    loss, rise = _winding_loss(load)
    through = path.winding_to_housing_k_w + path.housing_to_air_k_w
    left = 1.0 - rise * through
    if left <= 0.0:
        return math.inf, math.inf
    winding = (path.housing_to_air_k_w * load.housing_w + through * loss) / left
    housing = path.housing_to_air_k_w * (load.housing_w + loss + rise * winding)
    return load.air_k + winding, load.air_k + housing


def temperatures_after(path: HeatPath, load: HeatLoad, seconds: float) -> tuple[float, float]:
    """Give winding and housing temperature after a time from air temperature.

    Parameters
    ----------
    path : HeatPath
    load : HeatLoad
        Held all the time.
    seconds : float
        [s] Zero or more.

    Returns
    -------
    winding_k, housing_k : float
        [K] Exact solution of the linear model (matrix exponential).
    """
    loss, rise = _winding_loss(load)
    inner, outer = 1.0 / path.winding_to_housing_k_w, 1.0 / path.housing_to_air_k_w
    system = np.zeros((3, 3))
    system[0] = np.array([rise - inner, inner, loss]) / path.winding_j_k
    system[1] = np.array([inner, -inner - outer, load.housing_w]) / path.housing_j_k
    with np.errstate(over="ignore", invalid="ignore"):
        warmer = expm(system * seconds)[:2, 2]
    winding, housing = (float(value) for value in warmer)
    if not (math.isfinite(winding) and math.isfinite(housing)):
        return math.inf, math.inf
    return load.air_k + winding, load.air_k + housing


def seconds_to_reach(path: HeatPath, load: HeatLoad, winding_k: float) -> float:
    """Give the time from air temperature until the winding reaches a temperature.

    Under a held load the winding only ever gets warmer (a network whose nodes warm each other), so
    halving an interval finds the time.

    Parameters
    ----------
    path : HeatPath
    load : HeatLoad
    winding_k : float
        [K] Temperature to reach.

    Returns
    -------
    float
        [s] 0 when the air is that hot, inf when it is not reached within a day.
    """
    if load.air_k >= winding_k:
        return 0.0
    if temperatures_after(path, load, LONGEST_S)[0] < winding_k:
        return math.inf
    low, high = 0.0, LONGEST_S
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if temperatures_after(path, load, middle)[0] < winding_k:
            low = middle
        else:
            high = middle
    return high
