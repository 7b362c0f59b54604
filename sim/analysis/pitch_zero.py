"""What the height of the rotors over the CG does to steering in pitch: a notch, or a wrong start.

A rotor that tilts by d pushes with T d at its pivot, h above the CG, and pitches the craft by
T h d / J. The place then follows as d (T / m) (s^2 + T h / J) / s^4: a notch at sqrt(T h / J) with
the CG below, and with the CG above a zero in the right half-plane, of which the craft first moves
the wrong way for about one over its size (Hoagg and Bernstein, Nonminimum-phase zeros, IEEE Control
Systems 27(3), 2007, on initial undershoot; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.pack.craft import PackedCraft
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.airframe import CraftSpec

EXAMPLE_LEVER_M: Final = 0.05


@final
@dataclass(frozen=True)
class PitchZero:
    """Steering in pitch by tilting rotors.

    Attributes
    ----------
    by_tilt : bool
        Whether tilting rotors pitch the craft; the rest means something only then.
    lever_m : float
        [m] Pivots above the CG of the solid craft; negative when the CG is above.
    notch_hz : float or None
        [Hz] At which tilting moves the craft in vain; None with the CG above.
    wrong_way_s : float or None
        [s] For about which it first moves the wrong way; None with the CG below.
    example_s : float
        [s] The same with the CG `EXAMPLE_LEVER_M` above the pivots.
    """

    by_tilt: bool
    lever_m: float
    notch_hz: float | None
    wrong_way_s: float | None
    example_s: float


def pitch_zero(craft: CraftSpec, packed: PackedCraft) -> PitchZero:
    """Find the zero of steering in pitch for a craft; the fabric counts with its weight alone."""
    record = packed.record
    thrust = packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    inertia = float(packed.mass.inertia_kg_m2[1, 1])
    pivots = record["rotor"]["pivot_m"][: int(record.rotor_count)]
    lever = -float(np.mean(pivots[:, 2]))
    size = math.sqrt(thrust * abs(lever) / inertia)
    below = lever > 0.0
    return PitchZero(
        by_tilt=craft.layout == "bicopter",
        lever_m=lever,
        notch_hz=size / (2.0 * math.pi) if below else None,
        wrong_way_s=None if below or size == 0.0 else 1.0 / size,
        example_s=math.sqrt(inertia / (thrust * EXAMPLE_LEVER_M)),
    )
