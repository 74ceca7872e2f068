"""Large sparse systems of 6×6 blocks, solved without a sparse library.

Pipework hardly closes on itself: nodes with few neighbours, no two of them neighbours of each other, are taken out a
whole round at a time (their blocks in one stroke), until few are left for a dense solve. The matrix must be symmetric
and positive definite; then every order of elimination is stable.
"""

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

DENSE = 12
"""Nodes left for the dense solve; larger ones wake threads, which costs more than they save."""


@record(kw_only=False)
class _Taken:
    """Nodes of one count of neighbours, taken out together: ``x[node] = rest - reach @ x[neighbours]``."""

    node: Ints
    neighbours: Ints
    reach: Floats
    rest: Floats


def solve_blocks(diagonal: Floats, pairs: Ints, off: Floats, right: Floats) -> Floats:
    """Solve the block system for several right-hand sides at once.

    :param diagonal: (n, 6, 6)
    :param pairs: (m, 2) unequal nodes, may repeat
    :param off: (m, 6, 6) blocks at row `pairs[:, 0]`, column `pairs[:, 1]`
    :param right: (n, 6, k)
    :returns: (n, 6, k)
    :raises numpy.linalg.LinAlgError: the matrix is singular
    """
    diagonal, right = diagonal.copy(), right.copy()
    pairs, off = _merge(pairs, off)
    left = np.ones(len(diagonal), dtype=bool)
    taken: list[_Taken] = []
    while int(left.sum()) > DENSE:
        pick = _independent(pairs, left)
        pairs, off = _take(pick, pairs, off, diagonal, right, taken)
        left[pick] = False
    found = np.zeros_like(right)
    _dense(np.flatnonzero(left), diagonal, pairs, off, right, found)
    for t in reversed(taken):
        if t.neighbours.shape[1]:
            beyond = found[t.neighbours].reshape(len(t.node), -1, right.shape[2])
            found[t.node] = t.rest - t.reach @ beyond
        else:
            found[t.node] = t.rest
    return found


def _merge(pairs: Ints, off: Floats) -> tuple[Ints, Floats]:
    """Each pair once, its lower node first."""
    if not len(pairs):
        return pairs, off
    swap = np.flatnonzero(pairs[:, 0] > pairs[:, 1])
    if len(swap):
        pairs, off = pairs.copy(), off.copy()
        pairs[swap] = pairs[swap, ::-1]
        off[swap] = off[swap].transpose(0, 2, 1)
    key = pairs[:, 0] * (int(pairs.max()) + 1) + pairs[:, 1]
    order = np.argsort(key, kind="stable")
    starts = np.flatnonzero(np.diff(key[order], prepend=-1))
    if len(starts) == len(pairs):
        return pairs, off
    return pairs[order[starts]], np.add.reduceat(off[order], starts, axis=0)


def _independent(pairs: Ints, left: Flags) -> Ints:
    """Nodes to take out next: few neighbours, none of them neighbours of each other."""
    count = np.bincount(pairs.ravel(), minlength=len(left))
    fewest = int(count[left].min())
    light = left & (count <= max(2, fewest))
    # a fixed scatter of the numbers, so that long chains are cut in many places at once
    order = (np.arange(len(left), dtype=np.uint64) * np.uint64(2654435761)) % np.uint64(1 << 32)
    turn = np.where(light, order.astype(np.float64), np.inf)
    least = np.full(len(left), np.inf)
    np.minimum.at(least, pairs[:, 0], turn[pairs[:, 1]])
    np.minimum.at(least, pairs[:, 1], turn[pairs[:, 0]])
    return np.flatnonzero(light & (turn < least))


def _take(
    pick: Ints, pairs: Ints, off: Floats, diagonal: Floats, right: Floats, taken: list[_Taken]
) -> tuple[Ints, Floats]:
    """Take the picked nodes out of the system; what they join becomes pairs of their neighbours."""
    chosen = np.zeros(len(diagonal), dtype=bool)
    chosen[pick] = True
    by_first, by_second = chosen[pairs[:, 0]], chosen[pairs[:, 1]]
    # the picked node is the first of some pairs, the second of others
    ahead, behind = np.flatnonzero(by_first), np.flatnonzero(by_second)
    node = np.concatenate([pairs[ahead, 0], pairs[behind, 1]])
    other = np.concatenate([pairs[ahead, 1], pairs[behind, 0]])
    block = np.concatenate([off[ahead], off[behind].transpose(0, 2, 1)])
    order = np.argsort(node, kind="stable")
    count = np.bincount(node, minlength=len(diagonal))[pick]
    first = np.searchsorted(node[order], pick)
    stay = np.flatnonzero(~(by_first | by_second))
    new_pairs, new_off = [pairs[stay]], [off[stay]]
    sides = right.shape[2]
    for d in np.unique(count).tolist():
        mine = pick[count == d]
        slots: Ints = order[first[count == d][:, None] + np.arange(d, dtype=np.intp)[None, :]]
        neighbours = other[slots].reshape(len(mine), d)
        across = block[slots].reshape(len(mine), d, 6, 6).transpose(0, 2, 1, 3).reshape(len(mine), 6, 6 * d)
        both = np.concatenate([across, right[mine]], axis=2)
        solved = np.asarray(np.linalg.solve(diagonal[mine], both), dtype=np.float64)
        reach, rest = solved[:, :, : 6 * d], solved[:, :, 6 * d :]
        taken.append(_Taken(mine, neighbours, reach, rest))
        if d == 0:
            continue
        back = across.transpose(0, 2, 1)
        fill = (back @ reach).reshape(len(mine), d, 6, d, 6)
        push = (back @ rest).reshape(len(mine), d, 6, sides)
        for i in range(d):
            np.subtract.at(diagonal, neighbours[:, i], fill[:, i, :, i, :])
            np.subtract.at(right, neighbours[:, i], push[:, i])
            for j in range(i + 1, d):
                new_pairs.append(np.stack([neighbours[:, i], neighbours[:, j]], axis=1))
                new_off.append(np.negative(fill[:, i, :, j, :]))
    return _merge(np.concatenate(new_pairs), np.concatenate(new_off))


def _dense(left: Ints, diagonal: Floats, pairs: Ints, off: Floats, right: Floats, found: Floats) -> None:
    n = len(left)
    if not n:
        return
    place = np.zeros(len(diagonal), dtype=np.intp)
    place[left] = np.arange(n)
    whole = np.zeros((n, 6, n, 6))
    whole[np.arange(n), :, np.arange(n), :] = diagonal[left]
    a, b = place[pairs[:, 0]], place[pairs[:, 1]]
    whole[a, :, b, :] += off
    whole[b, :, a, :] += off.transpose(0, 2, 1)
    solved = np.linalg.solve(whole.reshape(6 * n, 6 * n), right[left].reshape(6 * n, -1))
    found[left] = solved.reshape(n, 6, -1)
