"""The solver of graph-shaped systems gives what a dense solver gives."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.network.eliminate import Eliminator


@given(st.integers(1, 60), st.floats(0.0, 3.0), st.integers(0, 10_000), st.sampled_from([0, 3, 20, 200]))
def test_same_as_dense(n: int, more: float, seed: int, dense: int) -> None:
    r = np.random.default_rng(seed)
    tree = [(i, int(r.integers(0, i))) for i in range(1, n)]
    extra = [(int(r.integers(0, n)), int(r.integers(0, n))) for _ in range(int(more * n))]
    a, b = np.array([*tree, *extra, (0, 0)], dtype=np.intp).T
    upper, lower = -r.random(a.size), -r.random(a.size)
    rhs = r.normal(size=n)
    matrix = np.zeros((n, n))
    for i, j, u, v in zip(a, b, upper, lower, strict=True):
        if i != j:
            matrix[i, j] += u
            matrix[j, i] += v
    diagonal = 0.1 + np.abs(matrix).sum(axis=1)
    matrix += np.diag(diagonal)
    got = Eliminator(n, a, b, dense=dense).solve(diagonal, upper, lower, rhs)
    assert got == pytest.approx(np.linalg.solve(matrix, rhs), rel=1e-9, abs=1e-9)
