"""The small symmetric solver of the hinge against a general one, and where there is no answer."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.numerics.cholesky import solve_in_place

NUMBERS = st.floats(-2.0, 2.0)


@given(
    entries=st.lists(NUMBERS, min_size=25, max_size=25),
    right=st.lists(NUMBERS, min_size=5, max_size=5),
)
def test_it_solves_what_a_general_solver_solves(entries, right):
    """B B^T + 1 is positive definite with a condition below 101 for such entries."""
    half = np.array(entries).reshape(5, 5)
    matrix = half @ half.T + np.eye(5)
    answer = np.array(right)
    solve_in_place(matrix.copy(), answer)
    assert answer == pytest.approx(np.linalg.solve(matrix, right), abs=1e-12)


def test_where_there_is_no_answer_it_is_not_finite():
    answer = np.array([1.0, 1.0])
    solve_in_place(np.array([[1.0, 2.0], [2.0, 1.0]]), answer)
    assert not np.isfinite(answer).any()
