"""Which of the drawn tube carries heating water: tap water stands under another pressure and has nothing to do here."""

from collections import deque
from dataclasses import replace

from wetside.pipework.reading import InLine, Leg, Pipework
from wetside.pipework.spec import ItemKind

TAP_PORTS = frozenset({"hot", "cold"})
"""Names of the tap-water ports of a boiler or tank."""
_HEATED = frozenset({"boiler", "tank", "emitter"})


def heating_side(pipework: Pipework) -> Pipework:
    """The legs joined to a boiler, tank coil or emitter; a filling loop parts the two sides. Nodes keep their places.

    Nodes of the other side lose their legs and are told by `joined`.
    """
    inside = joined(pipework)
    return replace(pipework, legs=tuple(x for x in pipework.legs if x.a in inside and x.b in inside and not _fills(x)))


def joined(pipework: Pipework) -> frozenset[int]:
    """Indices of the nodes that heating water reaches."""
    beside: dict[int, list[int]] = {}
    for leg in pipework.legs:
        if not _fills(leg):
            beside.setdefault(leg.a, []).append(leg.b)
            beside.setdefault(leg.b, []).append(leg.a)
    seen = {
        index
        for index, node in enumerate(pipework.nodes)
        if node.port is not None and node.port.owner_kind in _HEATED and node.port.name not in TAP_PORTS
    }
    queue = deque(seen)
    while queue:
        for other in beside.get(queue.popleft(), ()):
            if other not in seen:
                seen.add(other)
                queue.append(other)
    return frozenset(seen)


def _fills(leg: Leg) -> bool:
    items = (p.item for p in leg.pieces if isinstance(p, InLine))
    return any(item.kind is ItemKind.FILLING_LOOP and not item.on_branch for item in items)
