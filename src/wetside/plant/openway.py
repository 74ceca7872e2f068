"""Is there a way from the boiler to the relief valve that nobody can shut?"""

import heapq

from wetside.pipework.reading import InLine, Pipework
from wetside.pipework.spec import ItemKind
from wetside.plant.heating_side import TAP_PORTS

SHUTTERS = frozenset({
    ItemKind.ISOLATING_VALVE, ItemKind.GATE_VALVE, ItemKind.GLOBE_VALVE, ItemKind.CHECK_VALVE, ItemKind.ZONE_VALVE,
    ItemKind.BALANCING_VALVE, ItemKind.LOCKSHIELD, ItemKind.THERMOSTATIC, ItemKind.BYPASS,
})  # fmt: skip
"""In-line items that can keep pressure from passing."""

_Edges = dict[str, list[tuple[str, int, str]]]


def _shutter(piece: InLine) -> bool:
    return piece.item.kind in SHUTTERS and not piece.item.on_branch


def _edges(pipework: Pipework, relief: str) -> tuple[_Edges, set[str]]:
    """Graph of nodes and relief valves fitted in runs; an edge costs 1 for a valve, which it names."""
    edges: _Edges = {}
    targets: set[str] = set()

    def join(a: str, b: str, cost: int, valve: str) -> None:
        edges.setdefault(a, []).append((b, cost, valve))
        edges.setdefault(b, []).append((a, cost, valve))

    for node in pipework.nodes:
        if node.port is not None and node.port.owner == relief:
            targets.add(node.name)
    for leg in pipework.legs:
        here = pipework.nodes[leg.a].name
        for index, piece in enumerate(p for p in leg.pieces if isinstance(p, InLine)):
            there = f"{leg.name}|{index}"
            join(here, there, int(_shutter(piece)), f"{piece.item.name} in run {leg.run}" if _shutter(piece) else "")
            if piece.item.kind is ItemKind.RELIEF_VALVE or piece.item.name == relief:
                targets.add(there)
            here = there
        join(here, pipework.nodes[leg.b].name, 0, "")
    return edges, targets


def valves_between(pipework: Pipework, boiler: str, relief: str) -> tuple[str, ...] | None:
    """The valves on the way from a boiler to the relief valve that has the fewest: empty when one way stands open.

    A check valve counts, whichever way it points. Ports of the boiler's tap-water side don't count as the boiler.

    :param relief: name of the relief valve, as a port's owner or an item in a run
    :returns: `None` when the two aren't joined at all
    """
    edges, targets = _edges(pipework, relief)
    starts = [
        node.name
        for node in pipework.nodes
        if node.port is not None and node.port.owner == boiler and node.port.name not in TAP_PORTS
    ]
    queue: list[tuple[int, str, tuple[str, ...]]] = [(0, start, ()) for start in sorted(starts)]
    done: set[str] = set()
    while queue:
        cost, node, valves = heapq.heappop(queue)
        if node in done:
            continue
        if node in targets:
            return valves
        done.add(node)
        for other, more, valve in edges.get(node, ()):
            if other not in done:
                heapq.heappush(queue, (cost + more, other, (*valves, valve) if more else valves))
    return None
