"""How a net hangs together: which links can carry water at all, and the chains that they form.

A link that lies on no loop (a dead end, or a bridge between two loops) can carry no steady flow. The links that are
left form blocks; inside a block, links in series make chains from junction to junction.
"""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@record(kw_only=False)
class Step:
    """A link without flow, crossed from a node of known pressure to another: how pressure gets from block to block."""

    link: int
    forward: bool
    known: int
    new: int


@record(kw_only=False)
class Shape:
    live: Ints
    """Links that lie on loops, chain by chain, in the order in which the chain passes them."""
    sign: Floats
    """For each of `live`: +1 where the chain passes it from tail to head, −1 otherwise."""
    chain: Ints
    """For each of `live`: its chain."""
    starts: Ints
    """Where each chain begins in `live`."""
    a: Ints
    b: Ints
    """Junctions at the two ends of each chain (indices into `junctions`)."""
    junctions: Ints
    """Their nodes."""
    grounded: NDArray[np.bool_]
    """The one junction of each block whose pressure is taken as 0 while solving."""
    block: Ints
    """Block of each node; a node on no loop is a block of its own."""
    steps: tuple[Step, ...]
    """Crossings, in an order in which the known side is always known."""
    part: Ints
    """Connected part of each node."""
    inner: Ints
    """For each of `live` but the last of its chain: the node at its far end; −1 for the last."""


def _neighbours(n: int, tail: Sequence[int], head: Sequence[int], is_open: Sequence[bool]) -> list[list[int]]:
    at: list[list[int]] = [[] for _ in range(n)]
    for link, (t, h, o) in enumerate(zip(tail, head, is_open, strict=True)):
        if o:
            at[t].append(link)
            if t != h:
                at[h].append(link)
    return at


def _bridges(n: int, tail: Sequence[int], head: Sequence[int], at: list[list[int]]) -> tuple[list[bool], list[int]]:
    """Whether each link is a bridge, and the connected part of each node. Depth first (Tarjan 1974, from memory)."""
    is_bridge = [False] * len(tail)
    part, seen, low = [-1] * n, [-1] * n, [0] * n
    clock = parts = 0
    for root in range(n):
        if seen[root] >= 0:
            continue
        seen[root] = low[root] = clock
        part[root] = parts
        clock += 1
        stack = [(root, -1, iter(at[root]))]
        while stack:
            node, came, links = stack[-1]
            for link in links:
                if link == came:
                    continue
                other = head[link] if tail[link] == node else tail[link]
                if seen[other] >= 0:
                    low[node] = min(low[node], seen[other])
                    continue
                seen[other] = low[other] = clock
                part[other] = parts
                clock += 1
                stack.append((other, link, iter(at[other])))
                break
            else:
                stack.pop()
                if stack:
                    above = stack[-1][0]
                    low[above] = min(low[above], low[node])
                    if low[node] > seen[above]:
                        is_bridge[came] = True
        parts += 1
    return is_bridge, part


def shape(
    n: int, tail: Sequence[int], head: Sequence[int], is_open: Sequence[bool], parting: Iterable[int] = ()
) -> Shape:
    """Work out the shape of a net of `n` nodes whose open links run from `tail` to `head`.

    :param parting: nodes at which chains are to end even where only two links meet
    """
    at = _neighbours(n, tail, head, is_open)
    is_bridge, part = _bridges(n, tail, head, at)
    on_loop = [[x for x in links if not is_bridge[x]] for links in at]
    ends = [sum(2 if tail[x] == head[x] else 1 for x in links) for links in on_loop]
    block = _blocks(n, tail, head, on_loop)
    junction_of: dict[int, int] = {}
    first_in_block: dict[int, int] = {}
    parted = set(parting)
    for node in range(n):
        if ends[node] > 2 or (ends[node] == 2 and node in parted):
            first_in_block.setdefault(block[node], len(junction_of))
            junction_of[node] = len(junction_of)
    for node in range(n):  # a single loop has no junction: any of its nodes will do
        if ends[node] == 2 and block[node] not in first_in_block:
            first_in_block[block[node]] = len(junction_of)
            junction_of[node] = len(junction_of)
    live: list[int] = []
    sign: list[float] = []
    chain: list[int] = []
    inner: list[int] = []
    starts: list[int] = []
    a: list[int] = []
    b: list[int] = []
    used = [False] * len(tail)
    for start in junction_of:
        for first in on_loop[start]:
            if used[first]:
                continue
            starts.append(len(live))
            a.append(junction_of[start])
            node, link = start, first
            while True:
                used[link] = True
                forward = tail[link] == node
                node = head[link] if forward else tail[link]
                live.append(link)
                sign.append(1.0 if forward else -1.0)
                chain.append(len(starts) - 1)
                if node in junction_of:
                    inner.append(-1)
                    break
                inner.append(node)
                link = on_loop[node][0] if on_loop[node][1] == link else on_loop[node][1]
            b.append(junction_of[node])
    grounded = np.zeros(len(junction_of), dtype=np.bool_)
    grounded[list(first_in_block.values())] = True
    return Shape(
        live=np.array(live, dtype=np.intp), sign=np.array(sign), chain=np.array(chain, dtype=np.intp),
        starts=np.array(starts, dtype=np.intp), a=np.array(a, dtype=np.intp), b=np.array(b, dtype=np.intp),
        junctions=np.array(list(junction_of), dtype=np.intp), grounded=grounded,
        block=np.array(block, dtype=np.intp), steps=_steps(n, tail, head, at, is_bridge),
        part=np.array(part, dtype=np.intp), inner=np.array(inner, dtype=np.intp),
    )  # fmt: skip


def _blocks(n: int, tail: Sequence[int], head: Sequence[int], on_loop: list[list[int]]) -> list[int]:
    block = [-1] * n
    count = 0
    for root in range(n):
        if block[root] >= 0:
            continue
        block[root] = count
        stack = [root]
        while stack:
            node = stack.pop()
            for link in on_loop[node]:
                for other in (tail[link], head[link]):
                    if block[other] < 0:
                        block[other] = count
                        stack.append(other)
        count += 1
    return block


def _steps(
    n: int, tail: Sequence[int], head: Sequence[int], at: list[list[int]], is_bridge: list[bool]
) -> tuple[Step, ...]:
    steps: list[Step] = []
    seen = [False] * n
    for root in range(n):
        if seen[root]:
            continue
        seen[root] = True
        stack = [root]
        while stack:
            node = stack.pop()
            for link in at[node]:
                other = head[link] if tail[link] == node else tail[link]
                if seen[other]:
                    continue
                if is_bridge[link]:  # bridges form a tree of blocks: the far block is reached only by this one
                    steps.append(Step(link, tail[link] == node, node, other))
                seen[other] = True
                stack.append(other)
    return tuple(steps)
