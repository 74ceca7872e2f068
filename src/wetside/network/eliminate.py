"""Linear systems with the pattern of a graph, solved again and again with new numbers.

Small ones go to a dense solver. In large ones, rounds of nodes with few neighbours, no two of them neighbours of each
other, are eliminated first, a whole round at a time; what is left (mostly little, since pipework is tree-like) is
solved dense. The order is worked out once. No pivoting: the matrices are diagonally dominant by rows or symmetric
positive definite, for which elimination in any order is stable.
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

DENSE = 160
"""Up to this many unknowns a dense solve is as fast."""
_MOST_NEIGHBOURS = 6


@record(kw_only=False)
class _Round:
    """One round of eliminations, as slots into the array of entries. `target -= left * right / pivot`."""

    pivots: Ints
    target: Ints
    left: Ints
    right: Ints
    pivot: Ints
    down_to: Ints
    down_from: Ints
    down_slot: Ints
    up_to: Ints
    up_from: Ints
    up_slot: Ints


class Eliminator:
    """Solves ``A x = rhs`` where A has a diagonal and entries (a, b), (b, a) for each pair that is given.

    Pairs may repeat (their numbers add up); a pair of equal ends is left out.
    """

    def __init__(self, n: int, a: Ints, b: Ints, dense: int = DENSE) -> None:
        self.n = n
        apart = a != b
        self._which = np.flatnonzero(apart)
        self._a, self._b = a[apart], b[apart]
        self._diagonal = np.arange(n, dtype=np.intp)
        self._rounds: list[_Round] = []
        self._small = n <= dense
        if self._small:
            flat = [self._diagonal * (n + 1), self._a * n + self._b, self._b * n + self._a]
            self._flat = np.concatenate(flat)
            return
        slots: dict[tuple[int, int], int] = {(i, i): i for i in range(n)}
        near: list[set[int]] = [set[int]() for _ in range(n)]
        pairs = [(int(i), int(j)) for i, j in zip(self._a, self._b, strict=True)]
        for i, j in pairs:
            near[i].add(j)
            near[j].add(i)
            slots.setdefault((i, j), len(slots))
            slots.setdefault((j, i), len(slots))
        self._flat = np.concatenate(
            [self._diagonal, _ints(slots[p] for p in pairs), _ints(slots[j, i] for i, j in pairs)]
        )
        left = self._plan(slots, near, dense)
        self._slots = len(slots)
        self._core = _ints(left)
        position = {node: k for k, node in enumerate(left)}
        inside = [(s, position[i], position[j]) for (i, j), s in slots.items() if i in position and j in position]
        self._core_slot = _ints(s for s, _, _ in inside)
        self._core_flat = _ints(i * len(left) + j for _, i, j in inside)

    def _plan(self, slots: dict[tuple[int, int], int], near: list[set[int]], dense: int) -> list[int]:
        left = set(range(self.n))
        while len(left) > dense:
            least = min(len(near[i]) for i in left)
            if least > _MOST_NEIGHBOURS:
                break
            chosen: list[int] = []
            barred: set[int] = set()
            for i in sorted(left, key=lambda node: len(near[node])):
                if len(near[i]) > min(_MOST_NEIGHBOURS, max(least, 2)):
                    break
                if i not in barred:
                    chosen.append(i)
                    barred |= near[i]
            updates: list[tuple[int, int, int, int]] = []
            down: list[tuple[int, int, int]] = []
            up: list[tuple[int, int, int]] = []
            for p in chosen:
                for i in near[p]:
                    down.append((i, p, slots[i, p]))
                    up.append((p, i, slots[p, i]))
                    for j in near[p]:
                        target = slots.setdefault((i, j), len(slots))
                        updates.append((target, slots[i, p], slots[p, j], p))
                        if i != j:
                            near[i].add(j)
                    near[i].discard(p)
                left.discard(p)
            u, d, w = (np.array(rows, dtype=np.intp).reshape(-1, k).T for rows, k in ((updates, 4), (down, 3), (up, 3)))
            self._rounds.append(_Round(_ints(chosen), u[0], u[1], u[2], u[3], d[0], d[1], d[2], w[0], w[1], w[2]))
        return sorted(left)

    def solve(self, diagonal: Floats, upper: Floats, lower: Floats, rhs: Floats) -> Floats:
        """:param upper: entries (a, b), one for each pair as given
        :param lower: entries (b, a)
        :param rhs: one right side, or several as columns
        """
        if rhs.ndim == 2 and not self._small:
            return np.stack([self.solve(diagonal, upper, lower, one) for one in rhs.T], axis=1)
        entries = np.concatenate([diagonal, upper[self._which], lower[self._which]])
        n = self.n
        if self._small:
            matrix = np.bincount(self._flat, entries, n * n).reshape(n, n)
            return np.asarray(np.linalg.solve(matrix, rhs), dtype=np.float64)
        v = np.bincount(self._flat, entries, self._slots)
        x = rhs.astype(np.float64)
        for r in self._rounds:
            v -= np.bincount(r.target, v[r.left] * v[r.right] / v[r.pivot], self._slots)
            x -= np.bincount(r.down_to, v[r.down_slot] * x[r.down_from] / v[r.down_from], n)
        if self._core.size:
            m = self._core.size
            matrix = np.bincount(self._core_flat, v[self._core_slot], m * m).reshape(m, m)
            x[self._core] = np.linalg.solve(matrix, x[self._core])
        for r in reversed(self._rounds):
            sums = np.bincount(r.up_to, v[r.up_slot] * x[r.up_from], n)
            x[r.pivots] = (x[r.pivots] - sums[r.pivots]) / v[r.pivots]
        return x


def _ints(values: Iterable[int]) -> Ints:
    return np.array(list(values), dtype=np.intp)
