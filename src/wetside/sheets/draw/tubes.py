"""Tubes on paper: strokes by size and side, the rear one broken where two cross, and what is fitted on them."""

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.pipework.reading import NodeKind, Pipework
from wetside.pipework.spec import ItemKind, Tube, Vec
from wetside.sheets.draw.lines import SAME, Line
from wetside.sheets.draw.place import Box, Crowd, around
from wetside.sheets.draw.stretch import Need, View
from wetside.sheets.draw.svg import XY, Drawing, path_data
from wetside.sheets.draw.symbols import END_REACH, ON_BRANCH, OWNER_ITEM, at_end, in_line, three_way
from wetside.sheets.draw.theme import DASH


def weight(outside_m: Metre) -> float:
    """Line width in mm for a tube of that outside diameter: 15 mm 0.5, 22 mm 0.65, 28 mm 0.8."""
    return min(1.5, 0.2 + 21.0 * outside_m)


@record(kw_only=False)
class Stroke:
    line: int
    part: int
    a: XY
    b: XY
    da: float
    db: float
    """Nearness to the eye at both ends."""
    tube: Tube

    @property
    def length(self) -> float:
        return ((self.b[0] - self.a[0]) ** 2 + (self.b[1] - self.a[1]) ** 2) ** 0.5


def strokes_of(lines: Sequence[Line], view: View) -> list[Stroke]:
    found: list[Stroke] = []
    for i, line in enumerate(lines):
        flat = [(view(b.at), view.depth(b.at)) for b in line.beads]
        for k, ((a, da), (b, db)) in enumerate(pairwise(flat)):
            found.append(Stroke(i, k, a, b, da, db, line.tubes[k]))
    return found


def _meeting(s: Stroke, o: Stroke) -> tuple[float, float] | None:
    """Where along both strokes they cross, as shares; ends don't count."""
    ax, ay = s.b[0] - s.a[0], s.b[1] - s.a[1]
    bx, by = o.b[0] - o.a[0], o.b[1] - o.a[1]
    det = ax * by - ay * bx
    if abs(det) < 0.02 * max(s.length * o.length, 1e-9):
        return None
    cx, cy = o.a[0] - s.a[0], o.a[1] - s.a[1]
    t, u = (cx * by - cy * bx) / det, (cx * ay - cy * ax) / det
    et, eu = 0.5 / max(s.length, 0.5), 0.5 / max(o.length, 0.5)
    return (t, u) if et < t < 1 - et and eu < u < 1 - eu else None


def gaps(strokes: Sequence[Stroke]) -> dict[int, list[tuple[float, float]]]:
    """Shares of each stroke that are left out, because a nearer tube crosses there."""
    found: dict[int, list[tuple[float, float]]] = {}
    boxes = [(min(s.a[0], s.b[0]), min(s.a[1], s.b[1]), max(s.a[0], s.b[0]), max(s.a[1], s.b[1])) for s in strokes]
    for i, s in enumerate(strokes):
        for j in range(i + 1, len(strokes)):
            o = strokes[j]
            p, q = boxes[i], boxes[j]
            if p[0] > q[2] or q[0] > p[2] or p[1] > q[3] or q[1] > p[3]:
                continue
            met = _meeting(s, o)
            if met is None:
                continue
            t, u = met
            near_s, near_o = s.da + t * (s.db - s.da), o.da + u * (o.db - o.da)
            rear, share = (i, t) if near_s < near_o else (j, u)
            half = (0.9 + weight(strokes[j if rear == i else i].tube.outside_m) / 2) / strokes[rear].length
            found.setdefault(rear, []).append((share - half, share + half))
    return found


def overlaid(strokes: Sequence[Stroke], *, near: float = 1.3) -> list[tuple[int, int, float]]:
    """Pairs of strokes of different lines that lie on one another over some length, with that length in mm."""
    found: list[tuple[int, int, float]] = []
    for i, s in enumerate(strokes):
        if s.length < 1.0:
            continue
        dx, dy = (s.b[0] - s.a[0]) / s.length, (s.b[1] - s.a[1]) / s.length
        for j in range(i + 1, len(strokes)):
            o = strokes[j]
            if o.line == s.line or o.length < 1.0:
                continue
            first = (o.a[0] - s.a[0]) * dy - (o.a[1] - s.a[1]) * dx
            if abs(first) > near or abs((o.b[0] - s.a[0]) * dy - (o.b[1] - s.a[1]) * dx) > near:
                continue
            along = sorted((p[0] - s.a[0]) * dx + (p[1] - s.a[1]) * dy for p in (o.a, o.b))
            length = min(along[1], s.length) - max(along[0], 0.0)
            if length > 1.5:
                found.append((i, j, length))
    return found


def apart(lines: Sequence[Line], strokes: Sequence[Stroke], view: View) -> tuple[list[Need], list[Need], list[Need]]:
    """Needs that move tubes off one another where the projection laid them in one line."""
    needs: tuple[list[Need], list[Need], list[Need]] = ([], [], [])
    for i, j, _ in overlaid(strokes):
        s, o = strokes[i], strokes[j]
        a, b = lines[s.line].beads[s.part].at, lines[s.line].beads[s.part + 1].at
        c = lines[o.line].beads[o.part].at
        choice: tuple[float, int] | None = None
        for k in range(3):
            if abs(a[k] - b[k]) > SAME or abs(a[k] - c[k]) <= SAME:
                continue
            have = abs(view.axes[k](a[k]) - view.axes[k](c[k]))
            if choice is None or have > choice[0]:
                choice = (have, k)
        if choice is not None:
            have, k = choice
            needs[k].append((min(a[k], c[k]), max(a[k], c[k]), have + 3.2))
    return needs


def _pieces(s: Stroke, cuts: list[tuple[float, float]]) -> list[tuple[XY, XY]]:
    at, kept = 0.0, list[tuple[XY, XY]]()

    def point(t: float) -> XY:
        return (s.a[0] + t * (s.b[0] - s.a[0]), s.a[1] + t * (s.b[1] - s.a[1]))

    for low, high in sorted(cuts):
        if low > at:
            kept.append((point(at), point(low)))
        at = max(at, high)
    if at < 1.0:
        kept.append((point(at), point(1.0)))
    return kept


def draw_tubes(drawing: Drawing, lines: Sequence[Line], strokes: Sequence[Stroke], sides: Mapping[str, str]) -> None:
    """One group per line, its parts by tube size; dashes begin anew at each corner."""
    cuts = gaps(strokes)
    by_line: dict[int, list[int]] = {}
    for n, s in enumerate(strokes):
        by_line.setdefault(s.line, []).append(n)
    for i, line in enumerate(lines):
        side = sides.get(line.leg.name, "other")
        drawing.open(f"leg:{line.leg.name}", f"leg {side}")
        chains: list[tuple[float, list[list[XY]]]] = []
        for n in by_line.get(i, ()):
            s = strokes[n]
            wide = weight(s.tube.outside_m)
            for a, b in _pieces(s, cuts.get(n, [])):
                if chains and chains[-1][0] == wide:
                    tail = chains[-1][1][-1]
                    if tail[-1] == a:
                        tail.append(b)
                    else:
                        chains[-1][1].append([a, b])
                else:
                    chains.append((wide, [[a, b]]))
        for wide, parts in chains:
            drawing.path(
                "".join(path_data(p) for p in parts), stroke=drawing.theme.side(side), width=wide, dash=DASH.get(side)
            )
        drawing.close()


def way(a: XY, b: XY) -> XY | None:
    """Unit direction on paper, `None` for a point."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    n = (dx * dx + dy * dy) ** 0.5
    return (dx / n, dy / n) if n > 1e-3 else None


def _free_way(at: XY, taken: Sequence[XY], wish: Sequence[XY]) -> XY:
    """The wished direction that is farthest from those taken (first wish wins a tie)."""
    best, score = wish[0], -2.0
    for w in wish:
        s = min((1 - (w[0] * t[0] + w[1] * t[1]) for t in taken), default=2.0)
        if s > score + 0.15:
            best, score = w, s
    return best


def draw_fittings(
    drawing: Drawing,
    crowd: Crowd,
    lines: Sequence[Line],
    view: View,
    pipework: Pipework,
    size: float,
    three_ways: Mapping[str, str],
) -> None:
    """In-line items, side outlets, tees, reducers, caps, and vessels and relief valves at the end of tube.

    :param three_ways: names of three-way valves by the tee that each stands in place of
    """
    t = drawing.theme
    at_node: dict[int, list[XY]] = {}
    for line in lines:
        flat = [view(b.at) for b in line.beads]
        for node, inner, outer in ((line.a, flat[0], flat[1]), (line.b, flat[-1], flat[-2])):
            if node is not None and (w := way(inner, outer)) is not None:
                at_node.setdefault(node, []).append(w)
        for k, bead in enumerate(line.beads):
            along = way(flat[max(0, k - 1)], flat[k]) or way(flat[k], flat[min(len(flat) - 1, k + 1)])
            if along is None:
                continue
            if bead.reducer:
                _reducer(drawing, line, k, flat[k], along)
            if bead.item is None:
                continue
            kind = bead.item.item.kind
            drawing.open(f"item:{line.leg.name}:{bead.item.item.name}", "item")
            if kind in ON_BRANCH:
                out = _free_way(flat[k], [along, (-along[0], -along[1])], _wishes(kind, along))
                drawing.add(at_end(kind, flat[k], out, size, t))
                reach = END_REACH[kind] * size
                tip = (flat[k][0] + out[0] * reach, flat[k][1] + out[1] * reach)
                crowd.block(_hull(flat[k], tip, size * (1.3 if kind is ItemKind.VESSEL else 0.7)))
            else:
                drawing.add(in_line(kind, flat[k], along, size, t))
                crowd.block(around(flat[k], 2.2 * size, 2.2 * size))
            drawing.close()
    for i, ways in sorted(at_node.items()):
        node = pipework.nodes[i]
        at = view(node.at)
        if node.name in three_ways:
            drawing.open(f"three_way:{three_ways[node.name]}", "item")
            drawing.add(three_way(at, ways, size, t))
            drawing.close()
            crowd.block(around(at, 2.2 * size, 2.2 * size))
        elif node.kind is NodeKind.TEE:
            drawing.circle(at, 0.75, fill=t.ink)
            crowd.block(around(at, 1.6, 1.6))
        elif node.kind is NodeKind.CAP:
            u, v = ways[0]
            drawing.line((at[0] - 1.1 * v, at[1] + 1.1 * u), (at[0] + 1.1 * v, at[1] - 1.1 * u), t.ink, 0.5)
            crowd.block(around(at, 1.6, 1.6))
        elif node.port is not None and node.port.owner_kind in OWNER_ITEM:
            kind = OWNER_ITEM[node.port.owner_kind]
            out = (-ways[0][0], -ways[0][1])
            drawing.open(f"{node.port.owner_kind}:{node.port.owner}", "equipment")
            drawing.add(at_end(kind, at, out, size, t))
            drawing.close()
            reach = END_REACH[kind] * size
            crowd.block(_hull(at, (at[0] + out[0] * reach, at[1] + out[1] * reach), size * 1.2))


def kinds_of(lines: Sequence[Line], pipework: Pipework) -> set[ItemKind]:
    """Kinds of item that the lines show, for the legend."""
    found = {b.item.item.kind for line in lines for b in line.beads if b.item is not None}
    for line in lines:
        for i in (line.a, line.b):
            port = pipework.nodes[i].port if i is not None else None
            if port is not None and port.owner_kind in OWNER_ITEM:
                found.add(OWNER_ITEM[port.owner_kind])
    return found


def _wishes(kind: ItemKind, along: XY) -> list[XY]:
    across = [(-along[1], along[0]), (along[1], -along[0])]
    up = sorted(across, key=lambda w: (round(w[1], 3), -round(w[0], 3)))
    return up if kind in (ItemKind.AIR_VENT, ItemKind.GAUGE, ItemKind.RELIEF_VALVE) else list(reversed(up))


def _hull(a: XY, b: XY, half: float) -> Box:
    return Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(half)


def _reducer(drawing: Drawing, line: Line, k: int, at: XY, along: XY) -> None:
    """A wedge, wide at the larger tube."""
    before = line.tubes[max(0, k - 1)].outside_m
    after = line.tubes[min(len(line.tubes) - 1, k)].outside_m
    s = 1.0 if before >= after else -1.0
    (u, v), (x, y) = along, at
    points = [
        (x - s * 0.8 * u - 0.75 * v, y - s * 0.8 * v + 0.75 * u),
        (x - s * 0.8 * u + 0.75 * v, y - s * 0.8 * v - 0.75 * u),
        (x + s * 0.8 * u + 0.25 * v, y + s * 0.8 * v - 0.25 * u),
        (x + s * 0.8 * u - 0.25 * v, y + s * 0.8 * v + 0.25 * u),
    ]
    drawing.path(path_data(points, closed=True, places=2), fill=drawing.theme.ink)


def bead_room(size: float) -> Callable[[Line, int], float]:
    """Half the room along the line that a bead asks for, for symbols of that size."""

    def room(line: Line, k: int) -> float:
        bead = line.beads[k]
        if bead.item is not None:
            return size * (1.3 if bead.item.item.kind not in ON_BRANCH else 0.9)
        return 1.3 if bead.reducer else 1.1

    return room


def points_of(lines: Sequence[Line]) -> list[Vec]:
    return [b.at for line in lines for b in line.beads]
