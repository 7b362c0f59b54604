"""Solve a small symmetric positive system in place, without allocating."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.record import FloatArray


@compiled
def solve_in_place(matrix: FloatArray, right: FloatArray) -> None:
    """Overwrite `right` (n,) with the solution of matrix x = right.

    `matrix` (n, n) is symmetric and positive definite; its lower half becomes its Cholesky factor.
    Where it is not positive definite, the answer is not finite.
    """
    size = right.shape[0]
    for i in range(size):
        for j in range(i):
            total = matrix[i, j]
            for k in range(j):
                total -= matrix[i, k] * matrix[j, k]
            matrix[i, j] = total / matrix[j, j]
        total = matrix[i, i]
        for k in range(i):
            total -= matrix[i, k] * matrix[i, k]
        matrix[i, i] = math.sqrt(total) if total > 0.0 else math.nan
        total = right[i]
        for k in range(i):
            total -= matrix[i, k] * right[k]
        right[i] = total / matrix[i, i]
    for back in range(size):
        i = size - 1 - back
        total = right[i]
        for k in range(i + 1, size):
            total -= matrix[k, i] * right[k]
        right[i] = total / matrix[i, i]
