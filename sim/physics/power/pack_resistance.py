"""How cold and age raise the resistance of a pack, and what that leaves of its volts.

The factors stand on a number that the builder measured or estimated for a new pack at 25 degC.
"""

from __future__ import annotations

import math
from typing import Final

REFERENCE_TEMPERATURE_K: Final = 298.15
"""[K] Temperature that a pack's resistance is given at."""
FREEZING_K: Final = 273.15
FREEZING_FACTOR: Final = 2.0
"""[-] Resistance at 0 degC over that at 25 degC: at least doubled, from memory, no source."""

_RISE_K: Final = math.log(FREEZING_FACTOR) / (1.0 / FREEZING_K - 1.0 / REFERENCE_TEMPERATURE_K)


def cold_factor(temperature_k: float) -> float:
    r"""Give resistance at a temperature over resistance at 25 degC.

    .. math:: f = \exp\left(B \left(1/T - 1/T_0\right)\right), \quad f(0\,^\circ C) = 2

    the form of a thermally activated process (Arrhenius 1889); that it doubles by freezing is a
    careful guess from memory of hobby packs, no source. A warm pack gets no bonus.

    Parameters
    ----------
    temperature_k : float
        [K] Of the cells, above zero.

    Returns
    -------
    float
        [-] 1 from 25 degC upwards, 2 at 0 degC, more below.
    """
    if temperature_k >= REFERENCE_TEMPERATURE_K:
        return 1.0
    return math.exp(_RISE_K * (1.0 / temperature_k - 1.0 / REFERENCE_TEMPERATURE_K))


def resistance_factor(temperature_k: float, age_factor: float) -> float:
    """Give resistance over that of a new pack at 25 degC, cold and age multiplied.

    Parameters
    ----------
    temperature_k : float
        [K] Of the cells.
    age_factor : float
        [-] Resistance over that when new, both at 25 degC; 1 or more.

    Returns
    -------
    float
        [-] 1 or more; exactly 1 for a new pack at 25 degC.
    """
    return age_factor * cold_factor(temperature_k)
