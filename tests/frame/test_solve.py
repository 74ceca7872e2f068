"""What any frame must hold, whatever its shape."""

from dataclasses import replace

import numpy as np
import pytest
from bare import FIX, FREE, PIN, frame
from hypothesis import given
from hypothesis import strategies as st

from wetside.frame.beam import stiffness
from wetside.frame.eliminate import solve_blocks
from wetside.frame.solve import Frame, Unsupported, solve, solve_pairs


def crooked(seed: int, *, strain: bool = True) -> Frame:
    """A crooked net, held at its start and here and there, with weights on its nodes."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(3, 70))
    at = np.cumsum(rng.uniform(-1.0, 1.0, size=(n, 3)) + 0.05, axis=0)
    ends = [(i, i + 1) for i in range(n - 1)]
    for _ in range(int(rng.integers(0, 6))):
        i, j = sorted(rng.choice(n, 2, replace=False).tolist())
        if j - i > 1 and (i, j) not in ends:
            ends.append((i, j))
    held = {0: FIX} | {int(i): tuple(rng.random(6) < 0.4) for i in rng.integers(1, n, size=3)}
    on_node = np.zeros((n, 6))
    on_node[rng.integers(0, n, 2)] = rng.normal(0, 10, (2, 6))
    load = rng.normal(0, 5, (len(ends), 3))
    strains = rng.uniform(0, 1e-3, len(ends)) if strain else 0.0
    f = frame(at, ends, held, load=load, strain=strains, on_node=on_node)
    spring = np.zeros((n, 6))
    spring[rng.integers(1, n)] = rng.uniform(0, 1e5, 6)
    return replace(f, spring=spring)


def turned(f: Frame, r: np.ndarray, shift: np.ndarray) -> Frame:
    """The same frame turned and moved, with everything that holds and loads it."""
    both = np.zeros((6, 6))
    both[:3, :3] = both[3:, 3:] = r
    return replace(
        f,
        at=f.at @ r.T + shift,
        axes=f.axes @ r.T,
        load=f.load @ both.T,
        beams=replace(f.beams, load_n_m=f.beams.load_n_m @ r.T),
    )


def rotation(seed: int) -> np.ndarray:
    q, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    return q * np.sign(np.linalg.det(q))


@given(st.integers(0, 10_000))
def test_forces_and_moments_balance(seed: int) -> None:
    f = crooked(seed)
    s = solve(f)
    length = s.lines.length_m[:, None]
    middle = (f.at[f.beams.ends[:, 0]] + f.at[f.beams.ends[:, 1]]) / 2
    for bent, loads, nodes in ((s.weight, f.beams.load_n_m * length, f.load), (s.heat, 0 * middle, 0 * f.load)):
        force = bent.reaction[:, :3].sum(axis=0) + loads.sum(axis=0) + nodes[:, :3].sum(axis=0)
        moment = (
            bent.reaction[:, 3:].sum(axis=0)
            + nodes[:, 3:].sum(axis=0)
            + np.cross(f.at, bent.reaction[:, :3] + nodes[:, :3]).sum(axis=0)
            + np.cross(middle, loads).sum(axis=0)
        )
        scale = max(np.abs(bent.reaction).max(), np.abs(loads).max(), 1.0) * max(np.abs(f.at).max(), 1.0)
        assert np.allclose(force, 0.0, atol=1e-7 * scale)
        assert np.allclose(moment, 0.0, atol=1e-7 * scale)


@given(st.integers(0, 10_000))
def test_turning_and_moving_the_house_turns_the_answer(seed: int) -> None:
    f = crooked(seed)
    r, shift = rotation(seed), np.array([7.0, -3.0, 2.0])
    a, b = solve(f), solve(turned(f, r, shift))
    for x, y in ((a.weight, b.weight), (a.heat, b.heat)):
        for part in (slice(0, 3), slice(3, 6)):
            scale = np.abs(x.moved).max() + 1e-12
            assert np.allclose(x.moved[:, part] @ r.T, y.moved[:, part], atol=1e-6 * scale)
            force = np.abs(x.reaction).max() + 1e-9
            assert np.allclose(x.reaction[:, part] @ r.T, y.reaction[:, part], atol=1e-6 * force)


@given(st.integers(0, 10_000), st.floats(0.1, 20.0))
def test_twice_the_load_moves_twice_as_far(seed: int, factor: float) -> None:
    f = crooked(seed)
    heavier = replace(
        f,
        load=f.load * factor,
        beams=replace(f.beams, load_n_m=f.beams.load_n_m * factor, strain=f.beams.strain * factor),
    )
    a, b = solve(f), solve(heavier)
    assert np.allclose(a.weight.moved * factor, b.weight.moved, rtol=1e-6, atol=1e-9 * np.abs(b.weight.moved).max())
    assert np.allclose(a.heat.reaction * factor, b.heat.reaction, atol=1e-6 * (np.abs(b.heat.reaction).max() + 1e-9))


@given(st.integers(0, 10_000))
def test_stiffness_is_symmetric_and_moving_as_a_whole_costs_nothing(seed: int) -> None:
    f = crooked(seed)
    s = solve(f)
    ii, ij, jj = stiffness(f.beams, s.lines)
    assert np.allclose(ii, ii.transpose(0, 2, 1))
    assert np.allclose(jj, jj.transpose(0, 2, 1))
    rng = np.random.default_rng(seed)
    push, turn = rng.normal(size=3), rng.normal(size=3)
    moved = np.hstack([push + np.cross(np.broadcast_to(turn, f.at.shape), f.at), np.broadcast_to(turn, f.at.shape)])
    a, b = moved[f.beams.ends[:, 0]], moved[f.beams.ends[:, 1]]
    first = np.einsum("mij,mj->mi", ii, a) + np.einsum("mij,mj->mi", ij, b)
    assert np.allclose(first, 0.0, atol=1e-6 * np.abs(ii).max())


@given(st.integers(0, 10_000))
def test_a_further_load_answers_as_it_would_alone(seed: int) -> None:
    """Betti: the work of one load over the other's movement is the same both ways."""
    f = crooked(seed)
    rng = np.random.default_rng(seed)
    beside = rng.normal(size=(len(f), 6, 2))
    s = solve(f, beside)
    one, two = s.beside[:, :, 0], s.beside[:, :, 1]
    assert (beside[:, :, 0] * two).sum() == pytest.approx((beside[:, :, 1] * one).sum(), rel=1e-6, abs=1e-12)


@given(st.integers(0, 10_000))
def test_elimination_agrees_with_a_dense_solve(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n = int(rng.integers(1, 120))
    m = int(rng.integers(0, 3 * n))
    pairs = rng.integers(0, n, size=(m, 2))
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    off = rng.normal(size=(len(pairs), 6, 6))
    whole = np.zeros((n, 6, n, 6))
    for (a, b), block in zip(pairs.tolist(), off, strict=True):
        whole[a, :, b, :] += block
        whole[b, :, a, :] += block.T
    flat = whole.reshape(6 * n, 6 * n)
    # diagonally dominant, hence positive definite
    flat[np.arange(6 * n), np.arange(6 * n)] = np.abs(flat).sum(axis=1) + 1.0
    diagonal = whole[np.arange(n), :, np.arange(n), :]
    right = rng.normal(size=(n, 6, 3))
    expected = np.linalg.solve(flat, right.reshape(6 * n, 3)).reshape(n, 6, 3)
    assert np.allclose(solve_blocks(diagonal, pairs, off, right), expected, atol=1e-10)


def test_what_is_held_by_nothing_is_told() -> None:
    line = [(0.0, 0.0, 0.0), (1.0, 0.0, 0.0)]
    load = np.zeros((2, 6))
    load[1] = 1.0
    for held in ({}, {0: PIN}, {0: PIN, 1: PIN}):
        with pytest.raises(Unsupported):
            solve(frame(line, [(0, 1)], held, load=(0, 0, -8.0), on_node=load))
    assert solve(frame(line, [(0, 1)], {0: FIX, 1: FREE}, load=(0, 0, -8.0))).weight.moved[1, 2] < 0


def test_a_beam_without_length_is_refused() -> None:
    with pytest.raises(ValueError, match="length"):
        solve(frame([(0, 0, 0), (0, 0, 0)], [(0, 1)], {0: FIX}))


@given(st.integers(0, 10_000))
def test_many_sets_of_supports_at_once_answer_as_each_alone(seed: int) -> None:
    """Of each pair the first under its weight, the second under heat, whatever stands beside them."""
    rng = np.random.default_rng(seed)
    first = crooked(seed)
    others = [
        replace(first, held=first.held | (rng.random((len(first), 6)) < 0.1), load=rng.normal(0, 5, (len(first), 6)))
        for _ in range(3)
    ]
    pairs = [(first, others[0]), (others[1], others[2])]
    for pair, bent in zip(pairs, solve_pairs(pairs), strict=True):
        for f, b, alone in zip(pair, bent, ("weight", "heat"), strict=True):
            want = getattr(solve(f), alone)
            for name in ("moved", "reaction"):
                mine, other = getattr(b, name), getattr(want, name)
                assert np.allclose(mine, other, atol=1e-6 * max(1.0, np.abs(other).max())), (alone, name)
