"""Eigenvalues of the linearised step, named and described by what moves in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias, final

import numpy as np
import scipy.linalg
from numpy.typing import NDArray

from sim.analysis.chart import CONTROL
from sim.analysis.linear_loop import NEUTRAL_RATE_1_S, continuous_roots

Reals: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]

# From this damping ratio on, an oscillation is spoken of as a return without swinging: each further
# swing is below a hundredth of the one before (exp(-2 pi 0.6 / 0.8) = 0.009).
_SWINGS_BELOW = 0.6
# A root whose motion falls below this share of itself within one period is a pure delay.
_GONE_IN_ONE_STEP = 1e-4
# A group is named beside the first one if it moves at least this share.
_NAMED_SHARE = 0.25
# So many motions are told.
_TOLD = 60
# Smaller shares are not told one by one.
_TOLD_SHARE = 0.05


@final
@dataclass(frozen=True)
class Mode:
    """One natural motion of the craft about trim, growing or dying away as exp(s t).

    Attributes
    ----------
    rate_1_s : float
        [1/s] Real part of s; negative dies away.
    frequency_hz : float
        [Hz] Imaginary part of s over 2 pi; zero does not swing.
    damping_ratio : float
        [-] -Re(s) / |s|; 1 dies away without swinging, -1 grows without swinging, 0 does neither.
    shares : tuple of (str, float)
        What moves: groups of states and their shares, the largest first, in sum 1.
    """

    rate_1_s: float
    frequency_hz: float
    damping_ratio: float
    shares: tuple[tuple[str, float], ...]

    @property
    def swings(self) -> bool:
        """Whether the motion is seen as an oscillation."""
        return self.frequency_hz > 0.0 and self.damping_ratio < _SWINGS_BELOW

    @property
    def neutral(self) -> bool:
        """Whether the motion neither grows nor dies away in the time of a flight."""
        return abs(self.rate_1_s) <= NEUTRAL_RATE_1_S

    @property
    def grows(self) -> bool:
        """Whether the motion grows: the craft is unstable in it."""
        return self.rate_1_s > NEUTRAL_RATE_1_S

    @property
    def time_constant_s(self) -> float:
        """[s] Time to change by the factor e, positive; infinite for a constant motion."""
        return 1.0 / abs(self.rate_1_s) if self.rate_1_s else float("inf")

    @property
    def time_to_half_or_double_s(self) -> float:
        """[s] Time to halve if it dies away, to double if it grows."""
        return float(np.log(2.0)) * self.time_constant_s

    @property
    def moves(self) -> str:
        """The groups that move most, in words."""
        named = [group for group, share in self.shares if share >= _NAMED_SHARE]
        named = named or [self.shares[0][0]]
        return named[0] if len(named) == 1 else f"{', '.join(named[:-1])} and {named[-1]}"

    @property
    def who_moves(self) -> str:
        """The groups that take part, with their shares, as `drape 71 %, roll 20 %`."""
        named = [(group, share) for group, share in self.shares if share >= _TOLD_SHARE]
        return ", ".join(f"{group} {100.0 * share:.0f} %" for group, share in named)

    @property
    def sentence(self) -> str:
        """The motion in words, as `drape swings at 0.6 Hz and takes 9 s to halve`."""
        several = sum(share >= _NAMED_SHARE for _, share in self.shares) > 1
        s = "" if several else "s"
        change = f"double{s} every" if self.grows else f"take{s}"
        time = f"{change} {_two_digits(self.time_to_half_or_double_s)} s"
        time = time if self.grows else f"{time} to halve"
        if self.swings:
            start = f"{self.moves} swing{s} at {_two_digits(self.frequency_hz)} Hz and"
            return f"{start} neither grow{s} nor die{s} away" if self.neutral else f"{start} {time}"
        if self.neutral:
            return f"{self.moves} stay{s} where a push leaves {'them' if several else 'it'}"
        return (
            f"{self.moves} {'run' if self.grows else 'settle'}{s}{' away' * self.grows} and {time}"
        )


def modes(transition: Reals, period_s: float, groups: Sequence[str]) -> tuple[Mode, ...]:
    """Find all natural motions of the linearised step, the slowest to die away first.

    The share of state i in a motion is its participation factor |y_i x_i|, from the left and right
    eigenvectors y and x; it does not depend on the units of the states (Perez-Arriaga, Verghese and
    Schweppe, Selective Modal Analysis, IEEE Trans. Power Apparatus and Systems 101(9), 1982).

    Parameters
    ----------
    transition : (n, n) array
        [-] A, the derivative of the next state by the state.
    period_s : float
        [s] T, time between two states.
    groups : sequence of n str
        What each state belongs to, as `drape` or `attitude`.

    Returns
    -------
    tuple of Mode
        One for each real root and each pair of conjugate roots. Roots that vanish within one period
        (pure delays) are left out.
    """
    matrix = np.asarray(transition, dtype=np.float64)
    if matrix.ndim != 2 or matrix.shape != (len(groups), len(groups)):  # noqa: PLR2004
        message = f"the matrix is {matrix.shape}, yet there are {len(groups)} group names"
        raise ValueError(message)
    balanced, _ = scipy.linalg.matrix_balance(matrix, permute=False)
    roots, left, right = scipy.linalg.eig(balanced, left=True, right=True)
    taking_part = np.abs(left * right)
    continuous = continuous_roots(roots, period_s)
    kept = np.flatnonzero((continuous.imag >= 0.0) & (np.abs(roots) > _GONE_IN_ONE_STEP))
    found = [mode_of_root(complex(continuous[k]), groups, taking_part[:, k]) for k in kept]
    return tuple(sorted(found, key=lambda mode: (-mode.rate_1_s, mode.frequency_hz)))


@lru_cache(maxsize=8)
def _membership(groups: tuple[str, ...]) -> tuple[tuple[str, ...], Reals]:
    """Give the names of groups, and a row of zeros and ones for each: who belongs to it."""
    names = tuple(dict.fromkeys(groups))
    return names, np.array([[group == name for group in groups] for name in names], np.float64)


def mode_of_root(root: complex, groups: Sequence[str], taking_part: Reals) -> Mode:
    """Describe one root.

    Parameters
    ----------
    root : complex
        [1/s] s.
    groups : sequence of n str
        What each state belongs to.
    taking_part : (n,) array
        [-] |y_i x_i| of each state, in any common scale.
    """
    size = abs(root)
    names, member = _membership(tuple(groups))
    shares = member @ taking_part
    shares /= max(float(shares.sum()), np.finfo(np.float64).tiny)
    ranked = sorted(
        zip(names, shares.tolist(), strict=True), key=lambda pair: pair[1], reverse=True
    )
    return Mode(
        rate_1_s=root.real,
        frequency_hz=root.imag / (2.0 * np.pi),
        damping_ratio=-root.real / size if size > 0.0 else 0.0,
        shares=tuple(ranked),
    )


def _two_digits(value: float) -> str:
    """Write a positive number with two significant digits, without an exponent."""
    if not (np.isfinite(value) and value > 0.0):
        return f"{value:.0f}"
    rounded = float(f"{value:.1e}")
    return f"{rounded:.{max(0, 1 - int(np.floor(np.log10(rounded))))}f}"


def telling_modes(transition: Reals, period_s: float, groups: Sequence[str]) -> tuple[Mode, ...]:
    """Give the motions worth telling, those that grow or last longest first.

    Parameters
    ----------
    transition, period_s, groups
        See `modes`.

    Returns
    -------
    tuple of Mode
        Without integrals that nothing feeds.
    """
    found = modes(transition, period_s, groups)
    return tuple(m for m in found if not (m.neutral and m.moves == CONTROL))[:_TOLD]
