"""How much margin is asked of a loop, and how far a loop is from having it.

MIL-DTL-9490E and its successor SAE AS94900 ask 6 dB and 45 degrees of a flight control loop between
0.06 Hz and the first structural mode, measured with one loop broken and all others closed (from
memory of MIL-F-9490D, table III, as two notes on it cite it).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import final

from sim.analysis.loop_margins import LoopMargins, decibel
from sim.spec.scenario import LimitsSpec

_FLOOR = 1e-9


@final
@dataclass(frozen=True)
class RequiredMargins:
    """What a loop must bear before its closed loop turns unstable.

    Attributes
    ----------
    gain_db : float
        [dB] More and less gain.
    phase_rad : float
        [rad] Lag and lead.
    """

    gain_db: float = 6.0
    phase_rad: float = math.radians(45.0)

    def shortfall(self, margins: LoopMargins) -> float:
        """Give how far a loop is from what is asked: below 1 it is met, inf if unstable.

        The largest of required over found gain margin (either way, in decibels) and phase margin.
        """
        if margins.gain_up is None or margins.gain_down is None or margins.phase_rad is None:
            return math.inf
        up = decibel(margins.gain_up.value)
        down = -decibel(margins.gain_down.value)
        phase = abs(margins.phase_rad.value)
        return max(
            self.gain_db / max(up, _FLOOR),
            self.gain_db / max(down, _FLOOR),
            self.phase_rad / max(phase, _FLOOR),
        )


STANDARD = RequiredMargins()


def required_margins(limits: LimitsSpec) -> RequiredMargins:
    """Give what a scenario asks."""
    return RequiredMargins(limits.gain_margin_db, limits.phase_margin_rad)
