"""What a margin is for: the wind, the pack, the fabric and the height of the steady flight."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, final

Fabric = Literal["dry", "wet", "none"]

STILL_SWING_M_S = 0.2
"""[m/s] Swing at which the drag of the fabric is made linear where no wind excites a larger one."""


@final
@dataclass(frozen=True)
class Condition:
    """The steady flight to which margins belong.

    Attributes
    ----------
    wind_m_s : float
        [m/s] Mean wind at the craft's height.
    from_rad : float
        [rad] Compass direction it blows from; the craft heads north.
    charge : float
        [-] Of the pack.
    fabric : "dry", "wet" or "none"
    height_m : float
        [m] Of the CG above the ground.
    swing_m_s : float
        [m/s] Amplitude of the fabric's own swing at which its drag is made linear.
    """

    wind_m_s: float
    from_rad: float
    charge: float
    fabric: Fabric
    height_m: float
    swing_m_s: float
