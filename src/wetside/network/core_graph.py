"""How a big net hangs together, compiled: the same questions as `graph`, answered in one walk each.

Arrays of indices are 32 bits wide; −1 stands for none.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetside.network.core_jit import compiled

Index = NDArray[np.int32]
Flags = NDArray[np.bool_]


class Walk(NamedTuple):
    """A depth-first walk over the open links."""

    order: Index
    """Nodes as they were come upon."""
    came: Index
    """Link by which a node was come upon; −1 at the first node of each connected part."""
    part: Index
    bridge: Flags
    """Links whose removal would part the net."""


class Chains(NamedTuple):
    """Links on loops, chain by chain."""

    junctions: Index
    live: Index
    forward: Flags
    """Whether the chain passes a link from tail to head."""
    starts: Index
    """Where each chain begins in `live`, and where the last one ends."""
    a: Index
    b: Index
    inner: Index
    """Node after each link of `live`; −1 after the last of a chain."""


@compiled
def neighbours(n: int, tail: Index, head: Index, is_open: Flags) -> tuple[Index, Index]:
    """Links at each node: where a node's begin, and the links."""
    begin = np.zeros(n + 1, np.int32)
    for i in range(tail.size):
        if is_open[i]:
            begin[tail[i] + 1] += 1
            if tail[i] != head[i]:
                begin[head[i] + 1] += 1
    for i in range(n):
        begin[i + 1] += begin[i]
    put = begin[:-1].copy()
    at = np.empty(begin[n], np.int32)
    for i in range(tail.size):
        if is_open[i]:
            at[put[tail[i]]] = i
            put[tail[i]] += 1
            if tail[i] != head[i]:
                at[put[head[i]]] = i
                put[head[i]] += 1
    return begin, at


@compiled
def walk(n: int, tail: Index, head: Index, is_open: Flags, begin: Index, at: Index) -> Walk:
    """Depth first over every node; finds bridges on the way (Tarjan 1974, from memory)."""
    order, came = np.empty(n, np.int32), np.full(n, -1, np.int32)
    seen, low = np.full(n, -1, np.int32), np.empty(n, np.int32)
    part = np.empty(n, np.int32)
    bridge = np.zeros(tail.size, np.bool_)
    cursor = begin[:-1].copy()
    stack = np.empty(n, np.int32)
    clock = parts = 0
    for root in range(n):
        if seen[root] >= 0:
            continue
        stack[0], depth = root, 1
        seen[root] = low[root] = clock
        order[clock], part[root] = root, parts
        clock += 1
        while depth:
            node = stack[depth - 1]
            k = cursor[node]
            if k < begin[node + 1]:
                cursor[node] = k + 1
                link = at[k]
                if link == came[node]:
                    continue
                other = head[link] if tail[link] == node else tail[link]
                if seen[other] >= 0:
                    low[node] = min(low[node], seen[other])
                    continue
                seen[other] = low[other] = clock
                order[clock], part[other], came[other] = other, parts, link
                clock += 1
                stack[depth] = other
                depth += 1
            else:
                depth -= 1
                if depth:
                    above = stack[depth - 1]
                    low[above] = min(low[above], low[node])
                    if low[node] > seen[above]:
                        bridge[came[node]] = True
        parts += 1
    return Walk(order, came, part, bridge)


@compiled
def chains(n: int, tail: Index, head: Index, is_open: Flags, begin: Index, at: Index, found: Walk) -> Chains:
    """Chains of links in series between junctions; a loop without a junction starts at any of its nodes."""
    order, came, bridge = found.order, found.came, found.bridge
    ends = np.zeros(n, np.int32)
    count = 0
    for i in range(tail.size):
        if is_open[i] and not bridge[i]:
            ends[tail[i]] += 1
            ends[head[i]] += 1
            count += 1
    # blocks: a node belongs to that of the node before it unless a bridge lies between
    block = np.empty(n, np.int32)
    blocks = 0
    served = np.zeros(n, np.bool_)
    for node in order:
        link = came[node]
        if link < 0 or bridge[link]:
            block[node] = blocks
            blocks += 1
        else:
            block[node] = block[head[link] if tail[link] == node else tail[link]]
        if ends[node] > 2:
            served[block[node]] = True
    junction = np.zeros(n, np.bool_)
    junctions = np.empty(n, np.int32)
    j = 0
    index = np.full(n, -1, np.int32)
    for node in order:
        if ends[node] > 2 or (ends[node] == 2 and not served[block[node]]):
            served[block[node]] = True
            junction[node] = True
            index[node] = j
            junctions[j] = node
            j += 1
    live, inner, forward = np.empty(count, np.int32), np.empty(count, np.int32), np.empty(count, np.bool_)
    most = 0
    for k in range(j):
        most += ends[junctions[k]]
    most //= 2
    starts = np.empty(most + 1, np.int32)
    a, b = np.empty(most, np.int32), np.empty(most, np.int32)
    used = np.zeros(tail.size, np.bool_)
    c = at_live = 0
    for k in range(j):
        start = junctions[k]
        for place in range(begin[start], begin[start + 1]):
            link = at[place]
            if used[link] or bridge[link]:
                continue
            starts[c], a[c] = at_live, k
            node = start
            while True:
                used[link] = True
                ahead = tail[link] == node
                node = head[link] if ahead else tail[link]
                live[at_live], forward[at_live] = link, ahead
                at_live += 1
                if junction[node]:
                    inner[at_live - 1] = -1
                    break
                inner[at_live - 1] = node
                for other_place in range(begin[node], begin[node + 1]):
                    other = at[other_place]
                    if other != link and not bridge[other]:
                        link = other
                        break
            b[c] = index[node]
            c += 1
    starts[c] = at_live
    return Chains(junctions[:j].copy(), live, forward, starts[: c + 1], a[:c], b[:c], inner)
