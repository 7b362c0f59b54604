"""Fewer states for the fabric, balanced between what moves it and what it moves while loops run.

Square-root balancing (M. G. Safonov, R. Y. Chiang, A Schur Method for Balanced-Truncation Model
Reduction, IEEE Trans. Automatic Control 34(7), 1989) of one part of a system that stays closed
around it: the Gramians are those of the whole, and the part's own blocks are balanced (A.
Vandendorpe, P. Van Dooren, Model Reduction of Interconnected Systems, in Model Order Reduction,
Springer 2008). For a part there is no bound ahead; the error is found afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import final

import numpy as np
import scipy.linalg
from numpy.typing import NDArray

from sim.params.record import FloatArray

_NOTHING = 1e-10
_FORGETTING = 1e-4


@final
@dataclass(frozen=True)
class Truncation:
    """States x of a part and the few y that stand for them: x = right y, y = left x.

    Attributes
    ----------
    left : ndarray, shape (kept, n)
    right : ndarray, shape (n, kept)
        left right = I.
    values : ndarray, shape (n,)
        [-] Hankel singular values of the part, largest first.
    """

    left: FloatArray
    right: FloatArray
    values: FloatArray

    @property
    def kept(self) -> int:
        """Number of states kept."""
        return int(self.left.shape[0])

    @property
    def left_out(self) -> float:
        """[-] Hankel singular values left out, together, over all of them."""
        return float(self.values[self.kept :].sum() / self.values.sum())


def truncated(
    a: FloatArray, b: FloatArray, seen: NDArray[np.int64], part: int, most_kept: int
) -> Truncation:
    """Balance the last states of a system and keep the most important ones.

    Parameters
    ----------
    a, b : ndarray, shapes (n, n), (n, p)
        x(k+1) = a x(k) + b u(k), u of about the size that it has in flight.
    seen : ndarray of int
        States that something else reads; each counts by how much the inputs move it.
    part : int
        How many of the last states are the part.
    most_kept : int
        States to keep, fewer where no more have a share in anything.

    A motion that does not die away is given a decay for this, so that Gramians exist.
    """
    size = float(np.abs(np.linalg.eigvals(a)).max())
    calm = a * min(1.0, (1.0 - _FORGETTING) / size)
    reach = scipy.linalg.solve_discrete_lyapunov(calm, b @ b.T)
    moved = np.sqrt(np.maximum(np.diag(reach)[seen], 0.0))
    c = np.zeros((len(seen), len(a)))
    c[np.arange(len(seen)), seen] = 1.0 / np.where(moved > _NOTHING * moved.max(), moved, np.inf)
    show = scipy.linalg.solve_discrete_lyapunov(calm.T, c.T @ c)
    reached, shown = _factor(reach[-part:, -part:]), _factor(show[-part:, -part:])
    u, values, vt = np.linalg.svd(shown.T @ reached)
    kept = min(int(np.count_nonzero(values > _NOTHING * values[0])), most_kept)
    root = 1.0 / np.sqrt(values[:kept])
    left = (shown @ (u[:, :kept] * root)).T
    right = reached @ (vt[:kept].T * root)
    return Truncation(left, right, values)


def _factor(gramian: FloatArray) -> FloatArray:
    """Give F with F F' = a gramian that rounding may have left a little indefinite."""
    sizes, turns = np.linalg.eigh(0.5 * (gramian + gramian.T))
    factor: FloatArray = turns * np.sqrt(np.maximum(sizes, 0.0))
    return factor
