"""Eigenvalues and eigenvectors of a Schur form, so that a response costs a sum over its roots.

Roots near zero (pure delays, filters that forget within a period) have no full set of eigenvectors.
They are split off first, as a block of their own whose powers soon vanish (block diagonal Schur
form: Bavely and Stewart, SIAM J. Numerical Analysis 16(2), 1979).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias, final

import numpy as np
import scipy.linalg
from numpy.typing import NDArray
from scipy.linalg.lapack import ztrsen

Complexes: TypeAlias = NDArray[np.complex128]
Reals: TypeAlias = NDArray[np.float64]

# Roots of this size at most may be counted among those near zero; smaller ones than the second are
# wherever a gap of the third factor sets them apart.
_NEAR_ZERO = 0.3
_SURELY_NEAR_ZERO = 1e-3
_GAP = 10.0
_FLOOR = 1e-12
_ROWS_AT_ONCE = 32
_MOST_POWERS = 500
_NOTHING = 1e-17


@final
@dataclass(frozen=True)
class ModalForm:
    """A Schur form T = P diag(U, V D V^-1) P^-1 with P = [[1, X], [0, 1]], and a unitary turn Q.

    Attributes
    ----------
    turn : (n, n) array
        Q, from the coordinates of the given form to those of the sorted one.
    near_zero : (k, k) array
        U, upper triangular, the roots near zero.
    mixed : (k, n - k) array
        X.
    roots : (n - k,) array
        Diagonal of D.
    vectors : (n - k, n - k) array
        V, upper triangular, columns of length 1.
    """

    turn: Complexes
    near_zero: Complexes
    mixed: Complexes
    roots: Complexes
    vectors: Complexes

    def right(self, columns: Complexes) -> tuple[Complexes, Complexes]:
        """Give columns (n, p) in the coordinates of U and D."""
        turned = self.turn.conj().T @ columns
        size = len(self.near_zero)
        first = turned[:size] - self.mixed @ turned[size:]
        second: Complexes = scipy.linalg.solve_triangular(
            self.vectors, turned[size:], check_finite=False
        )
        return first, second

    def left(self, rows: Complexes) -> tuple[Complexes, Complexes]:
        """Give rows (q, n) in the coordinates of U and D."""
        turned = rows @ self.turn
        size = len(self.near_zero)
        return turned[:, :size], (turned[:, :size] @ self.mixed + turned[:, size:]) @ self.vectors

    def transfer(self, rows: Complexes, columns: Complexes) -> ModalTransfer:
        """Give rows (z I - T)^-1 columns as a function of z."""
        right_near, right_far = self.right(columns)
        left_near, left_far = self.left(rows)
        residues = left_far.T[:, :, None] * right_far[:, None, :]
        powers: list[Complexes] = []
        largest, moved = 0.0, right_near
        while len(self.near_zero) and len(powers) < _MOST_POWERS:
            powers.append((left_near @ moved).ravel())
            largest = max(largest, float(np.abs(powers[-1]).max()))
            moved = self.near_zero @ moved
            if np.linalg.norm(left_near) * np.linalg.norm(moved) <= _NOTHING * largest:
                break
        return ModalTransfer(
            np.array(powers).reshape(len(powers), len(rows) * columns.shape[1]),
            self.roots,
            residues.reshape(len(residues), -1),
            (len(rows), columns.shape[1]),
        )


@final
@dataclass(frozen=True)
class ModalTransfer:
    """A transfer as a sum over roots, and over powers of 1/z for the roots near zero.

    Attributes
    ----------
    powers : (j, q p) array
        Factors of 1/z, 1/z^2 and so on: what comes out in the periods to come, and then no more.
    roots : (n - k,) array
        The other roots.
    residues : (n - k, q p) array
        Of each root, row after row.
    shape : tuple of int
        q and p.
    """

    powers: Complexes
    roots: Complexes
    residues: Complexes
    shape: tuple[int, int]

    def at(self, points: Complexes) -> Complexes:
        """Give the transfer at points z, shape (m, q, p)."""
        answer: Complexes = (1.0 / (points[:, None] - self.roots[None, :])) @ self.residues
        if len(self.powers):
            exponents = np.arange(1, len(self.powers) + 1)
            answer += (1.0 / points)[:, None] ** exponents[None, :] @ self.powers
        return answer.reshape(-1, *self.shape)


def modal_form(schur: Complexes) -> ModalForm:
    """Find the modal form of an upper triangular matrix."""
    roots = np.diagonal(schur)
    sizes = np.abs(roots)
    near = sizes < _edge(sizes)
    ordered, turn, _, size, _, _, _ = ztrsen(
        near, schur, np.eye(len(schur), dtype=np.complex128), job=b"N", lwork=1
    )
    first, coupling, second = ordered[:size, :size], ordered[:size, size:], ordered[size:, size:]
    mixed = scipy.linalg.solve_sylvester(first, -second, -coupling) if size else coupling
    return ModalForm(turn, first, mixed, np.diagonal(second).copy(), _triangle_vectors(second))


def _edge(sizes: Reals) -> float:
    """Give the size of root in the middle of a wide gap between those near zero and the rest.

    Rounding spreads m roots at zero, as m runs of delay have them, over a disc of 1e-16^(1/m), and
    leaves gaps among them as well. So the gap looked for is the last one below which all powers
    soon vanish; where there is none, the widest.
    """
    ascending = np.maximum(np.sort(sizes), _FLOOR)
    if not ascending[1:].size or ascending[0] >= _NEAR_ZERO:
        return 0.0
    steps = np.where(ascending[:-1] < _NEAR_ZERO, ascending[1:] / ascending[:-1], 0.0)
    sure = np.flatnonzero((ascending[:-1] < _SURELY_NEAR_ZERO) & (steps > _GAP))
    place = int(sure[-1]) if sure.size else int(np.argmax(steps))
    return float(np.sqrt(ascending[place] * ascending[place + 1]))


def _triangle_vectors(upper: Complexes) -> Complexes:
    """Give the eigenvectors of an upper triangular matrix, columns of length 1."""
    size = len(upper)
    roots = np.diagonal(upper)
    least = np.finfo(np.float64).eps * max(float(np.abs(upper).max(initial=0.0)), 1.0)
    vectors = np.eye(size, dtype=np.complex128)
    for row in range(size - 2, -1, -1):
        apart = roots[row + 1 :] - roots[row]
        apart = np.where(np.abs(apart) < least, least, apart)
        vectors[row, row + 1 :] = (upper[row, row + 1 :] @ vectors[row + 1 :, row + 1 :]) / apart
    found: Complexes = vectors / np.linalg.norm(vectors, axis=0)
    return found


def solve_triangle(upper: Complexes, points: Complexes, right: Complexes) -> Complexes:
    """Solve (z I - U) x = g for many z at once, by blocks of rows from the last one up."""
    size = upper.shape[0]
    solved = np.empty((size, points.size), dtype=np.complex128)
    for high in range(size, 0, -_ROWS_AT_ONCE):
        low = max(0, high - _ROWS_AT_ONCE)
        rest = right[low:high, None] + upper[low:high, high:] @ solved[high:]
        for row in range(high - 1, low - 1, -1):
            inner = upper[row, row + 1 : high] @ solved[row + 1 : high]
            solved[row] = (rest[row - low] + inner) / (points - upper[row, row])
    return solved
