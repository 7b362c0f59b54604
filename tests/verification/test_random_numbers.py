"""Counter-based random numbers: published bits, then the law of the normals made from them."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, kstest, norm

from sim.numerics.compile import compiled
from sim.numerics.noise import four_normals, philox_4x32

WORDS = st.integers(0, 2**32 - 1)
WIDE = st.integers(0, 2**63 - 1)
DRAWS = 20000

# The file kat_vectors of the Random123 library that accompanies Salmon et al. (2011), Parallel
# random numbers: as easy as 1, 2, 3 (from memory of it): counter, key, answer of philox4x32-10.
# The third counter and key are the digits of pi.
KNOWN_ANSWERS = [
    (
        (0x00000000, 0x00000000, 0x00000000, 0x00000000),
        (0x00000000, 0x00000000),
        (0x6627E8D5, 0xE169C58D, 0xBC57AC4C, 0x9B00DBD8),
    ),
    (
        (0xFFFFFFFF, 0xFFFFFFFF, 0xFFFFFFFF, 0xFFFFFFFF),
        (0xFFFFFFFF, 0xFFFFFFFF),
        (0x408F276D, 0x41C83B0E, 0xA20BC7C6, 0x6D5451FD),
    ),
    (
        (0x243F6A88, 0x85A308D3, 0x13198A2E, 0x03707344),
        (0xA4093822, 0x299F31D0),
        (0xD16CFE09, 0x94FDCCEB, 0x5001E420, 0x24126EA1),
    ),
]


def plain_philox(counter, key):
    """Philox 4x32-10 in whole numbers, as the paper writes it."""
    c0, c1, c2, c3 = counter
    k0, k1 = key
    for _ in range(10):
        high_0, low_0 = divmod(0xD2511F53 * c0, 2**32)
        high_1, low_1 = divmod(0xCD9E8D57 * c2, 2**32)
        c0, c1, c2, c3 = high_1 ^ c1 ^ k0, low_1, high_0 ^ c3 ^ k1, low_0
        k0, k1 = (k0 + 0x9E3779B9) % 2**32, (k1 + 0xBB67AE85) % 2**32
    return c0, c1, c2, c3


def plain_normals(seed, flight, tick, channel):
    """z = sqrt(-2 ln u) (cos 2 pi v, sin 2 pi v) with u = (w + 1/2) / 2^32, v = w' / 2^32."""
    counter = (tick, channel, flight % 2**32, flight // 2**32)
    words = plain_philox(counter, (seed % 2**32, seed // 2**32))
    normals = []
    for word_u, word_v in (words[:2], words[2:]):
        length = math.sqrt(-2.0 * math.log((word_u + 0.5) / 2**32))
        angle = 2.0 * math.pi * word_v / 2**32
        normals += [length * math.cos(angle), length * math.sin(angle)]
    return tuple(normals)


@compiled
def fill(numbers, seed, flight, channel):
    """Fill an array of shape (n, 4) with the numbers of n ticks."""
    for tick in range(numbers.shape[0]):
        numbers[tick] = four_normals(seed, flight, tick, channel)


def draw(seed=20260114, flight=7, channel=3):
    numbers = np.empty((DRAWS, 4))
    fill(numbers, seed, flight, channel)
    return numbers


@pytest.mark.parametrize(("counter", "key", "answer"), KNOWN_ANSWERS)
def test_known_answers(counter, key, answer):
    """Philox 4x32-10 bit by bit, compiled, not compiled and written out anew."""
    assert tuple(int(word) for word in philox_4x32(*counter, *key)) == answer
    assert tuple(int(word) for word in philox_4x32.py_func(*counter, *key)) == answer
    assert plain_philox(counter, key) == answer


@given(counter=st.tuples(WORDS, WORDS, WORDS, WORDS), key=st.tuples(WORDS, WORDS))
def test_compiled_bits_are_those_of_whole_numbers(counter, key):
    """No product of two words overflows or passes through a float."""
    words = philox_4x32(*counter, *key)
    assert tuple(int(word) for word in words) == plain_philox(counter, key)


@given(seed=WIDE, flight=WIDE, tick=WORDS, channel=WORDS)
def test_compiled_normals_are_those_of_the_formula(seed, flight, tick, channel):
    """Box and Muller's transform of the words; rounding of angle and logarithm only."""
    found = four_normals(seed, flight, tick, channel)
    assert found == pytest.approx(plain_normals(seed, flight, tick, channel), abs=1e-14)
    assert max(abs(number) for number in found) <= math.sqrt(66.0 * math.log(2.0))


def test_normals_follow_the_normal_law():
    """Kolmogorov and Smirnov's distance, fixed seed; 0.1 % would be refused by chance."""
    for column in draw().T:
        assert kstest(column, norm.cdf).pvalue > 1e-3


def test_moments():
    """Mean 0, variance 1, skewness 0, kurtosis 3, each within four of its own standard deviations.

    These are sqrt(1/n), sqrt(2/n), sqrt(15/n), sqrt(96/n) for the first four raw moments.
    """
    numbers = draw().ravel()
    for power, expected, variance in ((1, 0.0, 1.0), (2, 1.0, 2.0), (3, 0.0, 15.0), (4, 3.0, 96.0)):
        allowed = 4.0 * math.sqrt(variance / numbers.size)
        assert np.mean(numbers**power) == pytest.approx(expected, abs=allowed)


def test_tails_are_there():
    """P(|z| > 3.5) = 4.65e-4: the count is Poisson, within four standard deviations."""
    numbers = draw().ravel()
    expected = numbers.size * 2.0 * norm.sf(3.5)
    seen = int(np.sum(np.abs(numbers) > 3.5))
    assert seen == pytest.approx(expected, abs=4.0 * math.sqrt(expected))


def test_numbers_do_not_depend_on_each_other():
    """Correlations vanish as 1 / sqrt(n): between the four, ticks, channels, flights and seeds.

    Of the values and of their squares, within four standard deviations.
    """
    first = draw()
    others = [draw(channel=4), draw(flight=8), draw(seed=20260115), np.roll(first, 1, axis=0)]
    pairs = list(itertools.combinations(first.T, 2))
    pairs += [pair for other in others for pair in itertools.product(first.T, other.T)]
    allowed = 4.0 / math.sqrt(DRAWS)
    for one, other in pairs:
        assert abs(np.mean(one * other)) < allowed
        assert abs(np.mean((one**2 - 1.0) * (other**2 - 1.0))) < 2.0 * allowed


def test_four_together_fill_space_evenly():
    """The sum of four squares follows chi-squared with 4 degrees of freedom."""
    sums = np.sum(draw() ** 2, axis=1)
    assert kstest(sums, chi2(4).cdf).pvalue > 1e-3


def test_same_address_same_numbers_and_every_part_of_it_counts():
    """f(seed, flight, tick, channel) is a function, of all 64 bits of seed and flight."""
    home = (5, 6, 7, 8)
    assert four_normals(*home) == four_normals(*home)
    neighbours = [
        (6, 6, 7, 8),
        (5 + 2**32, 6, 7, 8),
        (5, 7, 7, 8),
        (5, 6 + 2**32, 7, 8),
        (5, 6, 8, 8),
        (5, 6, 7, 9),
        (6, 5, 7, 8),
        (5, 6, 8, 7),
    ]
    assert len({four_normals(*home), *(four_normals(*other) for other in neighbours)}) == 9
