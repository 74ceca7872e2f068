"""Which tube is flow and which is return."""

from collections.abc import Iterable
from heapq import heappop, heappush
from itertools import combinations
from typing import Literal

from wetside.network.reading import FlowReading
from wetside.pipework.reading import InLine, Leg, NodeKind, Pipework
from wetside.pipework.spec import ItemKind

_SHUNT_M = 0.5
"""Legs longer than this are not taken for one of two that join flow to return."""
Side = Literal["flow", "return", "other"]
_HEATING = {"flow": "flow", "return": "return"}


def _spread(legs: Iterable[Leg], count: int, without: frozenset[str] = frozenset()) -> list[int]:
    """Component number of each node when only tube joins nodes."""
    parent = list(range(count))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for leg in legs:
        if leg.name not in without:
            a, b = root(leg.a), root(leg.b)
            if a != b:
                parent[max(a, b)] = min(a, b)
    return [root(i) for i in range(count)]


def _ports(pipework: Pipework, owner_kinds: tuple[str, ...], name: str) -> list[int]:
    return [
        i
        for i, n in enumerate(pipework.nodes)
        if n.port is not None and n.port.owner_kind in owner_kinds and n.port.name == name
    ]


def shared_legs(pipework: Pipework) -> frozenset[str]:
    """Legs that join flow to return by tube alone: between closely spaced tees, or a bypass.

    A leg is one when cutting it parts the boiler's two connections and leaves each emitter and coil with one
    connection on either side; the shortest such leg is taken. Where no single leg does, as with a mixing valve's leg
    beside the tees, the shortest two that do together.
    """
    out, back = _ports(pipework, ("boiler",), "flow"), _ports(pipework, ("boiler",), "return")
    users = [
        (a, b)
        for a in _ports(pipework, ("emitter", "tank"), "flow")
        for b in _ports(pipework, ("emitter", "tank"), "return")
        if (p := pipework.nodes[a].port) and (q := pipework.nodes[b].port) and p.owner == q.owner
    ]
    count = len(pipework.nodes)
    parts = _spread(pipework.legs, count)
    joined = {parts[i] for i in out} & {parts[i] for i in back}
    cuts: set[str] = set()
    for part in sorted(joined):
        between = sorted(
            (leg.length_m, leg.name)
            for leg in pipework.legs
            if parts[leg.a] == part
            and pipework.nodes[leg.a].kind is NodeKind.TEE
            and pipework.nodes[leg.b].kind is NodeKind.TEE
        )
        short = [x for x in between if x[0] <= _SHUNT_M]
        tries = [[x] for x in between] + sorted(
            map(list, combinations(short, 2)), key=lambda two: two[0][0] + two[1][0]
        )
        for legs in tries:
            names = frozenset(name for _, name in legs)
            after = _spread(pipework.legs, count, names)
            hot, cold = {after[i] for i in out}, {after[i] for i in back}
            if not hot & cold and all(after[a] != after[b] for a, b in users):
                cuts |= names
                break
    return frozenset(cuts)


def _fills(leg: Leg) -> bool:
    """Whether the leg carries the filling loop: beyond it is tap water."""
    return any(isinstance(p, InLine) and p.item.kind is ItemKind.FILLING_LOOP for p in leg.pieces)


def _reach(pipework: Pipework, starts: Iterable[int]) -> list[float]:
    """Metres of tube from the nearest of the starting nodes."""
    far = [float("inf")] * len(pipework.nodes)
    next_to: dict[int, list[tuple[int, float]]] = {}
    for leg in pipework.legs:
        next_to.setdefault(leg.a, []).append((leg.b, leg.length_m))
        next_to.setdefault(leg.b, []).append((leg.a, leg.length_m))
    heap: list[tuple[float, int]] = []
    for s in starts:
        far[s] = 0.0
        heappush(heap, (0.0, s))
    while heap:
        d, i = heappop(heap)
        if d > far[i]:
            continue
        for j, length in next_to.get(i, ()):
            if d + length < far[j]:
                far[j] = d + length
                heappush(heap, (far[j], j))
    return far


def sides(pipework: Pipework, flow: FlowReading | None) -> dict[str, Side]:
    """Side of the heating system of each leg, by leg name.

    Tube that hangs on the boiler's flow connection without passing an emitter is flow, on its return connection
    return. Tube between emitters in series goes by the water's temperature where it is known. Tap water and
    everything that touches neither is "other". The leg between closely spaced tees counts as flow.
    """
    cuts = shared_legs(pipework)
    filling = frozenset(leg.name for leg in pipework.legs if _fills(leg))
    parts = _spread(pipework.legs, len(pipework.nodes), cuts | filling)
    names: dict[int, set[str]] = {}
    for i, node in enumerate(pipework.nodes):
        p = node.port
        if p is not None and p.owner_kind in ("boiler", "emitter", "tank"):
            word = _HEATING.get(p.name, "")
            key = f"{'boiler ' if p.owner_kind == 'boiler' else ''}{word}"
            if word:
                names.setdefault(parts[i], set()).add(key)
    warm = {leg.name: (leg.start_c + leg.end_c) / 2 for leg in flow.legs} if flow is not None else {}
    middle: float | None = None
    if flow is not None and flow.boilers:
        middle = sum(b.supply_c + b.return_c for b in flow.boilers) / (2 * len(flow.boilers))
    near_flow: list[float] | None = None
    near_return: list[float] = []
    answer: dict[str, Side] = {}
    for leg in pipework.legs:
        if leg.name in cuts:
            cool = len(cuts) > 1 and middle is not None and warm.get(leg.name, middle) < middle
            answer[leg.name] = "return" if cool else "flow"
            continue
        if leg.name in filling:
            answer[leg.name] = "other"
            continue
        here = names.get(parts[leg.a], set())
        hot = "boiler flow" in here or ("flow" in here and "boiler return" not in here)
        cold = "boiler return" in here or ("return" in here and "boiler flow" not in here)
        if not here:
            answer[leg.name] = "other"
        elif hot != cold:
            answer[leg.name] = "flow" if hot else "return"
        elif middle is not None and leg.name in warm:
            answer[leg.name] = "flow" if warm[leg.name] >= middle else "return"
        else:
            if near_flow is None:
                kinds = ("boiler", "emitter", "tank")
                near_flow = _reach(pipework, _ports(pipework, kinds, "flow"))
                near_return = _reach(pipework, _ports(pipework, kinds, "return"))
            ahead = min(near_flow[leg.a], near_flow[leg.b])
            behind = min(near_return[leg.a], near_return[leg.b])
            answer[leg.name] = "flow" if ahead <= behind else "return"
    return answer
