"""Solve a small symmetric positive system in place, without allocating."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.record import FloatArray


@compiled
def solve_in_place(matrix: FloatArray, right: FloatArray) -> None:
    """Overwrite `right` (n,) with the solution of matrix x = right.

    `matrix` (n, n) is symmetric and positive definite; its lower half becomes its Cholesky factor
    with the reciprocals of the diagonal.
    Where it is not positive definite, the answer is not finite.
    """
    size = right.shape[0]
    for i in range(size):
        for j in range(i):
            total = matrix[i, j]
            for k in range(j):
                total -= matrix[i, k] * matrix[j, k]
            matrix[i, j] = total * matrix[j, j]
        total, wanted = matrix[i, i], right[i]
        for k in range(i):
            total -= matrix[i, k] * matrix[i, k]
            wanted -= matrix[i, k] * right[k]
        matrix[i, i] = 1.0 / math.sqrt(total) if total > 0.0 else math.nan
        right[i] = wanted * matrix[i, i]
    for back in range(size):
        i = size - 1 - back
        wanted = right[i]
        for k in range(i + 1, size):
            wanted -= matrix[k, i] * right[k]
        right[i] = wanted * matrix[i, i]
