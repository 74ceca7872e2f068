"""The order in which a big net's junctions are eliminated, and where every number of the elimination lies.

Least degree first: series and parallel parts fall away without any fill, the rest with little. Junctions are then
numbered depth first along the tree of the elimination, so that its sweeps run through memory.
"""

# pyright: reportArgumentType=false
# Compiled functions take scalars and arrays of any integer width alike, which their Python annotations can't say.

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetside.network.core_jit import compiled

Index = NDArray[np.int32]
Place = NDArray[np.uint32]

FEW = 8
"""Up to this many entries in a column, places of its updates are listed; beyond, they are searched while updating."""


class Plan(NamedTuple):
    """Junction `j` of the new numbering has entries ``begin[j]:begin[j+1]`` with the later junctions `row`.

    Updates of column j lie at ``listed[j]`` on: places of (row x, row y) for x < y.
    """

    place: Index
    """New number of each junction."""
    begin: Place
    row: Place
    listed: Place
    target: Place


@compiled
def _distinct(n: int, a: Index, b: Index) -> tuple[Index, Index, Index, Index]:
    """Neighbours of each junction, each once, with room to grow: arena, where each begins, count, room."""
    degree = np.zeros(n, np.int32)
    for c in range(a.size):
        if a[c] != b[c]:
            degree[a[c]] += 1
            degree[b[c]] += 1
    begin, room = np.empty(n, np.int32), np.empty(n, np.int32)
    total = 0
    for i in range(n):
        begin[i], room[i] = total, degree[i] + 1
        total += degree[i] + 1
    arena = np.empty(2 * total + 64, np.int32)
    count = np.zeros(n, np.int32)
    for c in range(a.size):
        i, j = a[c], b[c]
        if i != j:
            arena[begin[i] + count[i]] = j
            count[i] += 1
            arena[begin[j] + count[j]] = i
            count[j] += 1
    mark = np.full(n, -1, np.int32)
    for i in range(n):
        kept = 0
        for k in range(begin[i], begin[i] + count[i]):
            j = arena[k]
            if mark[j] != i:
                mark[j] = i
                arena[begin[i] + kept] = j
                kept += 1
        count[i] = kept
    end = np.empty(1, np.int32)
    end[0] = total
    return arena, begin, count, np.concatenate((room, end))


@compiled
def _grown(arena: Index, least: int) -> Index:
    more = np.empty(max(2 * arena.size, least), np.int32)
    more[: arena.size] = arena
    return more


@compiled
def _least_degree(n: int, a: Index, b: Index) -> tuple[Index, Index, Index]:
    """Order of elimination; for each step the junctions that the eliminated one then borders on."""
    arena, begin, count, room = _distinct(n, a, b)
    end = room[n]
    first, after, before = np.full(n + 1, -1, np.int32), np.full(n, -1, np.int32), np.full(n, -1, np.int32)
    for i in range(n - 1, -1, -1):
        d = count[i]
        after[i] = first[d]
        if first[d] >= 0:
            before[first[d]] = i
        first[d] = i
    order = np.empty(n, np.int32)
    bound = np.empty(n + 1, np.int32)
    bound[0] = 0
    rows = np.empty(4 * n + 64, np.int32)
    mark = np.full(n, -1, np.int32)
    stamp = 0
    least = 0
    for step in range(n):
        while first[least] < 0:
            least += 1
        p = first[least]
        first[least] = after[p]
        if after[p] >= 0:
            before[after[p]] = -1
        order[step] = p
        d = count[p]
        at = bound[step]
        if at + d > rows.size:
            rows = _grown(rows, at + d)
        bound[step + 1] = at + d
        rows[at : at + d] = arena[begin[p] : begin[p] + d]
        for k in range(at, at + d):
            i = rows[k]
            mark[i] = stamp
            old = count[i]
            kept = begin[i]
            for e in range(begin[i], begin[i] + old):
                j = arena[e]
                if j != p:
                    mark[j] = stamp
                    arena[kept] = j
                    kept += 1
            size = kept - begin[i]
            if size + d > room[i]:
                more = 0
                for e in range(at, at + d):
                    if mark[rows[e]] != stamp:
                        more += 1
                if size + more > room[i]:
                    want = 2 * (size + more)
                    if end + want > arena.size:
                        arena = _grown(arena, end + want)
                    arena[end : end + size] = arena[begin[i] : begin[i] + size]
                    begin[i], room[i] = end, want
                    end += want
            for e in range(at, at + d):
                j = rows[e]
                if mark[j] != stamp:
                    arena[begin[i] + size] = j
                    size += 1
            stamp += 1
            count[i] = size
            # to the front of its row even if unchanged: the walk stays near
            x, y = before[i], after[i]
            if x >= 0:
                after[x] = y
            else:
                first[old] = y
            if y >= 0:
                before[y] = x
            before[i], after[i] = -1, first[size]
            if first[size] >= 0:
                before[first[size]] = i
            first[size] = i
            least = min(least, size)
    return order, bound, rows[: bound[n]].copy()


@compiled
def _depth_first(n: int, order: Index, bound: Index, rows: Index) -> Index:
    """New number of each junction: along the tree of elimination, children before parents."""
    when = np.empty(n, np.int32)
    for step in range(n):
        when[order[step]] = step
    child, sibling, parent = np.full(n + 1, -1, np.int32), np.full(n, -1, np.int32), np.empty(n, np.int32)
    for step in range(n - 1, -1, -1):
        above = n
        for k in range(bound[step], bound[step + 1]):
            above = min(above, when[rows[k]])
        parent[step] = above
    for step in range(n - 1, -1, -1):
        sibling[step] = child[parent[step]]
        child[parent[step]] = step
    place = np.empty(n, np.int32)
    number = 0
    at = child[n]
    while at >= 0:
        while child[at] >= 0:
            at = child[at]
        while True:
            place[order[at]] = number
            number += 1
            if sibling[at] >= 0:
                at = sibling[at]
                break
            at = parent[at]
            if at == n:
                at = -1
                break
    return place


@compiled
def _find(row: Place, low: int, high: int, wanted: int) -> int:
    while low < high:
        middle = (low + high) // 2
        if row[middle] < wanted:
            low = middle + 1
        else:
            high = middle
    return low


@compiled
def plan(n: int, a: Index, b: Index) -> Plan:
    """Work out the elimination for junctions that chains `a[c]`–`b[c]` join."""
    order, bound, rows = _least_degree(n, a, b)
    place = _depth_first(n, order, bound, rows)
    begin = np.zeros(n + 1, np.uint32)
    for step in range(n):
        begin[place[order[step]] + 1] = bound[step + 1] - bound[step]
    for j in range(n):
        begin[j + 1] += begin[j]
    row = np.empty(rows.size, np.uint32)
    for step in range(n):
        low = np.int64(begin[place[order[step]]])
        d = bound[step + 1] - bound[step]
        for k in range(d):
            value = place[rows[bound[step] + k]]
            e = low + k
            if d <= 16:
                while e > low and row[e - 1] > value:
                    row[e] = row[e - 1]
                    e -= 1
            row[e] = value
        if d > 16:
            row[low : low + d] = np.sort(row[low : low + d])
    listed = np.zeros(n + 1, np.uint32)
    for j in range(n):
        d = np.int64(begin[j + 1]) - np.int64(begin[j])
        listed[j + 1] = np.int64(listed[j]) + (d * (d - 1) // 2 if d <= FEW else 0)
    target = np.empty(listed[n], np.uint32)
    for j in range(n):
        low, high = np.int64(begin[j]), np.int64(begin[j + 1])
        if high - low > FEW:
            continue
        k = np.int64(listed[j])
        for x in range(low, high):
            i = np.int64(row[x])
            for y in range(x + 1, high):
                target[k] = _find(row, np.int64(begin[i]), np.int64(begin[i + 1]), np.int64(row[y]))
                k += 1
    return Plan(place, begin, row, listed, target)


@compiled
def slots(begin: Place, row: Place, a: Place, b: Place) -> Place:
    """For each chain the place of its entry; one past the last where it returns to its own junction."""
    found = np.full(a.size, row.size, np.uint32)
    for c in range(a.size):
        i, j = np.int64(min(a[c], b[c])), np.int64(max(a[c], b[c]))
        if i != j:
            found[c] = _find(row, np.int64(begin[i]), np.int64(begin[i + 1]), j)
    return found
