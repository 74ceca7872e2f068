"""Is there a way from the boiler to the relief valve, or to the vessel, that nobody can shut?"""

import heapq
from collections.abc import Callable

from wetside.pipework.reading import InLine, Leg, Pipework
from wetside.pipework.spec import ItemKind
from wetside.plant.heating_side import TAP_PORTS

SHUTTERS = frozenset({
    ItemKind.ISOLATING_VALVE, ItemKind.GATE_VALVE, ItemKind.GLOBE_VALVE, ItemKind.CHECK_VALVE, ItemKind.ZONE_VALVE,
    ItemKind.BALANCING_VALVE, ItemKind.LOCKSHIELD, ItemKind.THERMOSTATIC, ItemKind.BYPASS,
})  # fmt: skip
"""In-line items that can keep pressure from passing."""
BY_THEMSELVES = SHUTTERS - {ItemKind.ISOLATING_VALVE, ItemKind.GATE_VALVE, ItemKind.GLOBE_VALVE,
                            ItemKind.BALANCING_VALVE, ItemKind.LOCKSHIELD}  # fmt: skip
"""Those of them that shut without anybody's hand."""

_Edges = dict[str, list[tuple[str, int, str]]]


def _any(leg: Leg, piece: InLine) -> bool:
    return piece.item.kind in SHUTTERS and not piece.item.on_branch


def _edges(
    pipework: Pipework, target: str, kind: ItemKind, shuts: Callable[[Leg, InLine], bool]
) -> tuple[_Edges, set[str]]:
    """Graph of nodes and of targets fitted in runs; an edge costs 1 for a valve, which it names."""
    edges: _Edges = {}
    targets: set[str] = set()

    def join(a: str, b: str, cost: int, valve: str) -> None:
        edges.setdefault(a, []).append((b, cost, valve))
        edges.setdefault(b, []).append((a, cost, valve))

    for node in pipework.nodes:
        if node.port is not None and node.port.owner == target:
            targets.add(node.name)
    for leg in pipework.legs:
        here = pipework.nodes[leg.a].name
        for index, piece in enumerate(p for p in leg.pieces if isinstance(p, InLine)):
            there = f"{leg.name}|{index}"
            shut = shuts(leg, piece)
            join(here, there, int(shut), f"{piece.item.name} in run {leg.run}" if shut else "")
            if piece.item.kind is kind or piece.item.name == target:
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
    return _fewest(pipework, boiler, *_edges(pipework, relief, ItemKind.RELIEF_VALVE, _any))


def valves_to_vessel(pipework: Pipework, boiler: str, vessel: str) -> tuple[str, ...] | None:
    """The same from a boiler to the expansion vessel, but for hand valves where water goes round.

    With one of those shut nothing heats any more and the relief valve guards the boiler; a hand valve in the branch to
    the vessel shows no such sign, and what shuts by itself does so while the boiler fires.

    :param vessel: name of the vessel, as a port's owner or an item in a run
    :returns: `None` when the two aren't joined at all
    """
    dead = dead_ends(pipework)

    def shuts(leg: Leg, piece: InLine) -> bool:
        return not piece.item.on_branch and piece.item.kind in (SHUTTERS if leg.name in dead else BY_THEMSELVES)

    return _fewest(pipework, boiler, *_edges(pipework, vessel, ItemKind.VESSEL, shuts))


def dead_ends(pipework: Pipework) -> frozenset[str]:
    """Names of the legs in which no water can go round: those that lead to nothing but a vessel, a valve or a cap."""
    passes = {"boiler", "tank", "emitter", "equipment"}
    legs = {leg.name: (leg.a, leg.b) for leg in pipework.legs}
    ports: dict[str, int] = {}
    for node in pipework.nodes:
        if node.port is not None:
            ports[node.port.owner] = ports.get(node.port.owner, 0) + 1
    through = {
        i
        for i, node in enumerate(pipework.nodes)
        if node.port is not None and node.port.owner_kind in passes and ports[node.port.owner] > 1
    }
    dead: set[str] = set()
    while True:
        met: dict[int, int] = {}
        for name, ends in legs.items():
            if name not in dead:
                for i in ends:
                    met[i] = met.get(i, 0) + 1
        more = {n for n, ends in legs.items() if n not in dead and any(met[i] == 1 and i not in through for i in ends)}
        if not more:
            return frozenset(dead)
        dead |= more


def _fewest(pipework: Pipework, boiler: str, edges: _Edges, targets: set[str]) -> tuple[str, ...] | None:
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
