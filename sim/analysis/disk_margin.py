"""Disk margin of one loop: how much its gain and phase may vary at the same time.

Source: P. Seiler, A. Packard, P. Gahinet, An Introduction to Disk Margins, IEEE Control Systems
Magazine 40(5), 2020.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.refined_grid import Response, Samples, highest

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]


@final
@dataclass(frozen=True)
class DiskMargin:
    r"""The largest disk of loop factors that leaves the closed loop stable.

    The loop is multiplied by any

    .. math:: f = \frac{1 + \tfrac{1 - \sigma}{2}\delta}{1 - \tfrac{1 + \sigma}{2}\delta},
        \quad |\delta| < \alpha.

    Attributes
    ----------
    alpha : float
        [-] Size of the disk, 1 / max |S + (sigma - 1) / 2|.
    frequency_rad_s : float
        [rad/s] Where the disk is used up.
    sigma : float
        [-] Skew; 0 treats gain rise and gain fall alike.
    """

    alpha: float
    frequency_rad_s: float
    sigma: float = 0.0

    @property
    def gain_low(self) -> float:
        """[-] Least real factor in the disk; negative when even a change of sign is borne."""
        return (2.0 - self.alpha * (1.0 - self.sigma)) / (2.0 + self.alpha * (1.0 + self.sigma))

    @property
    def gain_high(self) -> float:
        """[-] Greatest real factor in the disk, infinite when the disk is not bounded."""
        room = 2.0 - self.alpha * (1.0 + self.sigma)
        return (2.0 + self.alpha * (1.0 - self.sigma)) / room if room > 0.0 else float("inf")

    @property
    def phase_rad(self) -> float:
        """[rad] Turn to either side that the disk holds at unchanged gain.

        The edge of the disk has the real intercepts g1 and g2; it meets the unit circle where the
        cosine of the turn is (1 + g1 g2) / (g1 + g2), here written without infinite intercepts.
        """
        square = self.alpha**2
        cosine = (4.0 - square * (1.0 + self.sigma**2)) / (4.0 + square * (1.0 - self.sigma**2))
        return float(np.arccos(np.clip(cosine, -1.0, 1.0)))


def disk_margin_of(response: Response, samples: Samples, sigma: float = 0.0) -> DiskMargin:
    """Find the disk margin of a stable loop.

    Parameters
    ----------
    response : callable
        L at an array of frequencies [rad/s].
    samples : Samples
        L where it is known already, fine enough to show every peak of S.
    sigma : float
        [-] Skew of the disk, from -1 to 1.
    """

    def size(values: Complexes) -> Reals:
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.abs(1.0 / (1.0 + values) + 0.5 * (sigma - 1.0))

    place, worst = highest(response, size, samples)
    return DiskMargin(1.0 / worst, place, sigma)
