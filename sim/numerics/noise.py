"""Random numbers as a function of (seed, flight, tick, channel), with no state to carry.

The generator is Philox 4x32-10: ten rounds that mix a 128-bit counter under a 64-bit key. The same
flight draws the same numbers alone, in a batch of any size, and on any number of threads. The bits
are equal everywhere; the normals made from them may differ in the last digit between machines
whose logarithm and sine round differently.
"""

from __future__ import annotations

import math

import numpy as np

from sim.numerics.compile import compiled

Word = int | np.uint64
Block = tuple[np.uint64, np.uint64, np.uint64, np.uint64]
FourNormals = tuple[float, float, float, float]

_LOW_32 = np.uint64(0xFFFFFFFF)
_SHIFT_32 = np.uint64(32)
_MULTIPLIER_0 = np.uint64(0xD2511F53)
_MULTIPLIER_1 = np.uint64(0xCD9E8D57)
_KEY_STEP_0 = np.uint64(0x9E3779B9)
_KEY_STEP_1 = np.uint64(0xBB67AE85)
_ROUNDS = 10
_UNIT = 2.0**-32
_HALF_UNIT = 2.0**-33
_ANGLE_UNIT = 2.0 * math.pi * _UNIT


@compiled
def philox_4x32(
    counter_0: Word, counter_1: Word, counter_2: Word, counter_3: Word, key_0: Word, key_1: Word
) -> Block:
    """Give the four 32-bit words of Philox 4x32-10 for a counter and a key.

    Parameters
    ----------
    counter_0, counter_1, counter_2, counter_3 : Word
        [-] Words of the counter, least significant first, each 0 to 2^32 - 1.
    key_0, key_1 : Word
        [-] Words of the key, each 0 to 2^32 - 1.

    Returns
    -------
    Block
        [-] Four words, each uniform in 0 to 2^32 - 1.

    References
    ----------
    Salmon, J. K., Moraes, M. A., Dror, R. O. and Shaw, D. E. (2011), Parallel random numbers: as
    easy as 1, 2, 3, Proc. SC11, section 4.3.
    """
    word_0, word_1 = np.uint64(counter_0), np.uint64(counter_1)
    word_2, word_3 = np.uint64(counter_2), np.uint64(counter_3)
    left, right = np.uint64(key_0), np.uint64(key_1)
    for _ in range(_ROUNDS):
        product_0 = _MULTIPLIER_0 * word_0
        product_1 = _MULTIPLIER_1 * word_2
        word_0 = (product_1 >> _SHIFT_32) ^ word_1 ^ left
        word_1 = product_1 & _LOW_32
        word_2 = (product_0 >> _SHIFT_32) ^ word_3 ^ right
        word_3 = product_0 & _LOW_32
        left = (left + _KEY_STEP_0) & _LOW_32
        right = (right + _KEY_STEP_1) & _LOW_32
    return (word_0, word_1, word_2, word_3)


@compiled
def four_normals(seed: int, flight: int, tick: int, channel: int) -> FourNormals:
    """Give four independent standard normal numbers, by the transform of Box and Muller.

    Parameters
    ----------
    seed : int
        [-] Seed of the study, 0 to 2^63 - 1.
    flight : int
        [-] Number of the flight in the study, 0 to 2^63 - 1.
    tick : int
        [-] Number of the step in the flight, 0 to 2^32 - 1.
    channel : int
        [-] What the numbers are for, 0 to 2^32 - 1; each use has its own.

    Returns
    -------
    FourNormals
        [1] Four numbers, each within 6.8 of zero.

    References
    ----------
    Box, G. E. P. and Muller, M. E. (1958), A note on the generation of random normal deviates,
    Annals of Mathematical Statistics 29.
    """
    wide_seed, wide_flight = np.uint64(seed), np.uint64(flight)
    word_0, word_1, word_2, word_3 = philox_4x32(
        np.uint64(tick),
        np.uint64(channel),
        wide_flight & _LOW_32,
        wide_flight >> _SHIFT_32,
        wide_seed & _LOW_32,
        wide_seed >> _SHIFT_32,
    )
    length_0 = math.sqrt(-2.0 * math.log(float(word_0) * _UNIT + _HALF_UNIT))
    length_1 = math.sqrt(-2.0 * math.log(float(word_2) * _UNIT + _HALF_UNIT))
    angle_0 = float(word_1) * _ANGLE_UNIT
    angle_1 = float(word_3) * _ANGLE_UNIT
    return (
        length_0 * math.cos(angle_0),
        length_0 * math.sin(angle_0),
        length_1 * math.cos(angle_1),
        length_1 * math.sin(angle_1),
    )
