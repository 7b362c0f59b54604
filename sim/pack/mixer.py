"""From rotor places to the mixer record: which rotor takes what share of thrust and moments."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.params.craft_record import BICOPTER, TRICOPTER
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec

LEAST_PITCH_ARM_M = 0.03
LEAST_THRUST_SHARE = 0.04


def write_mixer(craft: CraftSpec, mixer: Any, pivots_m: FloatArray) -> None:
    """Fill in the geometry of the mixer record; thrust bounds follow from the test stand.

    Parameters
    ----------
    craft : CraftSpec
    mixer : record
        `MixerRecord` to fill in.
    pivots_m : ndarray, shape (rotors, 3)
        [m] Tilt pivots or hubs, body axes from the CG.

    Notes
    -----
    The flight controller believes that the rotors stand above the CG by at least 3 cm, as its owner
    set it up; a CG above the pivots turns the sign of its pitch answer, which the step then shows.
    """
    right = int(np.argmax(pivots_m[:, 1]))
    left = int(np.argmin(pivots_m[:, 1]))
    mixer.left, mixer.right = left, right
    if craft.layout == "bicopter":
        mixer.layout = BICOPTER
        span = pivots_m[right, 1] - pivots_m[left, 1]
        mixer.thrust_share[left] = pivots_m[right, 1] / span
        mixer.thrust_share[right] = -pivots_m[left, 1] / span
        mixer.thrust_per_roll[left] = 1.0 / span
        mixer.thrust_per_roll[right] = -1.0 / span
        mixer.pitch_arm_m = max(-float(np.mean(pivots_m[:, 2])), LEAST_PITCH_ARM_M)
        mixer.yaw_arm_m = 0.5 * span
        mixer.tail = left
        return
    mixer.layout = TRICOPTER
    tail = next(i for i, rotor in enumerate(craft.rotors) if rotor.tilt is not None)
    mixer.tail = tail
    effect = np.stack([np.ones(len(pivots_m)), -pivots_m[:, 1], pivots_m[:, 0]])
    share = np.linalg.inv(effect)
    for i in range(len(pivots_m)):
        mixer.thrust_share[i], mixer.thrust_per_roll[i], mixer.thrust_per_pitch[i] = share[i]
    mixer.pitch_arm_m = 1.0
    mixer.yaw_arm_m = -float(pivots_m[tail, 0])
