"""Temperatures at which rooms without heating settle: one small set of linear equations for all of them."""

from wetside.basis.record import record
from wetside.basis.si import Celsius, WattPerK


@record(kw_only=False)
class Node:
    """A room whose temperature is not known."""

    name: str
    fixed: list[tuple[WattPerK, Celsius]]
    """Conductances to known temperatures."""
    links: dict[str, WattPerK]
    """Conductances to other nodes."""


def settle(nodes: list[Node]) -> dict[str, Celsius]:
    """Temperature of each node, from Σ h (T − T_known) + Σ h (T − T_node) = 0.

    Nodes that no known temperature reaches, straight or through others, are left out of the answer.
    """
    reached = _reached(nodes)
    live = [n for n in nodes if n.name in reached]
    place = {n.name: i for i, n in enumerate(live)}
    rows: list[list[float]] = []
    for i, node in enumerate(live):
        row = [0.0] * (len(live) + 1)
        row[i] = sum(h for h, _ in node.fixed)
        row[-1] = sum(h * t for h, t in node.fixed)
        for other, h in node.links.items():
            if other in place:
                row[i] += h
                row[place[other]] -= h
        rows.append(row)
    return dict(zip(place, _solve(rows), strict=True))


def _reached(nodes: list[Node]) -> set[str]:
    reached = {n.name for n in nodes if any(h > 0 for h, _ in n.fixed)}
    grown = True
    while grown:
        before = len(reached)
        reached |= {n.name for n in nodes if any(h > 0 and m in reached for m, h in n.links.items())}
        grown = len(reached) > before
    return reached


def _solve(rows: list[list[float]]) -> list[float]:
    """Elimination without pivoting: the matrix is diagonally dominant, so no pivot vanishes."""
    n = len(rows)
    for i in range(n):
        for k in range(i + 1, n):
            share = rows[k][i] / rows[i][i]
            if share:
                rows[k] = [a - share * b for a, b in zip(rows[k], rows[i], strict=True)]
    answer = [0.0] * n
    for i in reversed(range(n)):
        answer[i] = (rows[i][-1] - sum(rows[i][k] * answer[k] for k in range(i + 1, n))) / rows[i][i]
    return answer
