"""Wanted thrust and moments to rotor thrusts, with the order in which things are given up.

Yaw goes first, then thrust; roll and pitch are kept as long as any combination of thrusts can give
them. What was given up is counted.
"""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.params.craft_record import MixerRecord
from sim.params.record import FloatArray
from sim.params.tally_record import Limit

THRUST_FULL = int(Limit.THRUST_FULL)
THRUST_LEAST = int(Limit.THRUST_LEAST)
THRUST_RESERVE = int(Limit.THRUST_RESERVE)


@compiled
def moment_share(mixer: MixerRecord, count: int, roll: float, pitch: float) -> float:
    """Give the share (0 to 1) of roll and pitch moments [N m] that some collective thrust allows.

    Rotor i is given T s_i + d_i with d_i from the moments; between its bounds a collective T exists
    for all rotors at once unless two of them ask for more than the whole range.
    """
    share = 1.0
    for i in range(count):
        di = mixer.thrust_per_roll[i] * roll + mixer.thrust_per_pitch[i] * pitch
        for j in range(count):
            dj = mixer.thrust_per_roll[j] * roll + mixer.thrust_per_pitch[j] * pitch
            need = di / mixer.thrust_share[i] - dj / mixer.thrust_share[j]
            room = (
                mixer.full_thrust_n[i] / mixer.thrust_share[i]
                - mixer.least_thrust_n / mixer.thrust_share[j]
            )
            if need > room:
                share = min(share, max(room, 0.0) / need)
    return share


@compiled
def mix_thrusts(
    mixer: MixerRecord,
    count: int,
    reserved: float,
    demand: tuple[float, float, float],
    thrusts: FloatArray,
    at_limit: FloatArray,
) -> None:
    """Write the thrust [N] of each rotor for a demand of thrust [N], roll and pitch moment [N m].

    `reserved` is the share of throttle that the collective leaves for levelling, so that its thrust
    ends where the throttle curve stands at 1 - reserved. `thrusts` (8,) is written, `at_limit`
    (LIMITS,) marked.
    """
    collective, roll, pitch = demand
    share = moment_share(mixer, count, roll, pitch)
    if share < 1.0:
        at_limit[THRUST_FULL] = 1.0
    lowest, highest, ceiling = -1e9, 1e9, 0.0
    for i in range(count):
        d = share * (mixer.thrust_per_roll[i] * roll + mixer.thrust_per_pitch[i] * pitch)
        lowest = max(lowest, (mixer.least_thrust_n - d) / mixer.thrust_share[i])
        highest = min(highest, (mixer.full_thrust_n[i] - d) / mixer.thrust_share[i])
        ceiling += mixer.full_thrust_n[i]
    ceiling *= (1.0 - reserved) ** mixer.thrust_exponent
    if collective > ceiling:
        collective = ceiling
        at_limit[THRUST_RESERVE] = 1.0
    if collective > highest:
        collective = highest
        at_limit[THRUST_FULL] = 1.0
    if collective < lowest:
        collective = lowest
        at_limit[THRUST_LEAST] = 1.0
    for i in range(count):
        d = share * (mixer.thrust_per_roll[i] * roll + mixer.thrust_per_pitch[i] * pitch)
        thrusts[i] = collective * mixer.thrust_share[i] + d
