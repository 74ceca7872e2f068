"""Boilers, tanks, emitters and other equipment as they stand in a drawing of the pipework."""

from collections.abc import Mapping, Sequence

from wetside.basis.record import record
from wetside.emitter.spec import Emitter
from wetside.pipework.reading import Node, NodeKind, Pipework
from wetside.pipework.spec import Vec
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.lines import Line
from wetside.sheets.draw.place import Box, Crowd, Spot, around, ring
from wetside.sheets.draw.stretch import View
from wetside.sheets.draw.svg import XY, Drawing, path_data
from wetside.sheets.draw.symbols import END_REACH, OWNER_ITEM

NAME = 3.0
"""Type size of names, mm."""


def owners(pipework: Pipework, lines: Sequence[Line]) -> dict[str, list[Node]]:
    """Ports at the ends of the lines, by the equipment that they belong to, in order of appearance."""
    found: dict[str, list[Node]] = {}
    for line in lines:
        for i in (line.a, line.b):
            if i is None:
                continue
            node = pipework.nodes[i]
            if node.kind is NodeKind.PORT and node.port is not None and node not in found.get(node.port.owner, []):
                found.setdefault(node.port.owner, []).append(node)
    return found


def slab(emitter: Emitter) -> tuple[Vec, Vec, Vec, Vec]:
    """The emitter's front as four corners: lower left, lower right, upper right, upper left, seen from the room."""
    x, y, z = emitter.at
    h = emitter.length_m / 2
    ax, ay = emitter.along
    top = z + emitter.height_m
    left, right = (x - h * ax, y - h * ay), (x + h * ax, y + h * ay)
    return ((*left, z), (*right, z), (*right, top), (*left, top))


def draw_slab(drawing: Drawing, emitter: Emitter, view: View) -> None:
    """A light slab where the emitter stands."""
    t = drawing.theme
    drawing.open(f"emitter:{emitter.name}", "emitter")
    drawing.path(path_data([view(p) for p in slab(emitter)], closed=True), stroke=t.mute, width=0.3, fill=t.slab)
    drawing.close()


def name_slab(drawing: Drawing, crowd: Crowd, emitter: Emitter, view: View, note: str = "") -> None:
    """The emitter's name, with a note under it, on or beside its slab."""
    t = drawing.theme
    corners = [view(p) for p in slab(emitter)]
    at = (sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4)
    words = clip(emitter.name, NAME, 30.0, weight=600)
    under = clip(note, 2.5, 34.0)
    w = max(width(words, NAME, weight=600), width(under, 2.5))
    h = 3.2 + (3.0 if under else 0.0)
    far = max(abs(p[0] - at[0]) for p in corners) + 1.0
    spots = [Spot(around(at, w, h)), *ring(at, w, h, (2.0, 4.0, far, far + 2.5, far + 6.0, far + 10.0, far + 16.0))]
    spot = crowd.choose(spots)
    if spot is None:
        return
    if spot.leader is not None:
        drawing.line(*spot.leader, t.mute, 0.18)
    x = spot.box.middle[0]
    drawing.text((x, spot.box.y0 + 2.6), words, NAME, anchor="middle", weight=600, halo=True)
    if under:
        drawing.text((x, spot.box.y0 + 5.6), under, 2.5, anchor="middle", colour=t.mute, halo=True)


def _outward(node: Node, view: View) -> XY:
    """Unit direction on paper from the port into its equipment."""
    assert node.port is not None
    f = node.port.faces
    x = sum(-v * w[0] for v, w in zip(f, view.ways, strict=True))
    y = sum(-v * w[1] for v, w in zip(f, view.ways, strict=True))
    n = (x * x + y * y) ** 0.5
    return (x / n, y / n) if n > 1e-6 else (0.0, -1.0)


BIG = ("boiler", "tank", "manifold", "separator", "heat exchanger")
"""Equipment that is drawn as a box; the rest is a ring or a symbol."""


def _frame(nodes: Sequence[Node], view: View) -> tuple[XY, XY, XY]:
    """Along the row of ports, out of them into the equipment, and to the rear, as directions on paper."""
    assert nodes[0].port is not None
    faces = nodes[0].port.faces
    out_axis = max(range(3), key=lambda k: abs(faces[k]))
    spread = [max(n.at[k] for n in nodes) - min(n.at[k] for n in nodes) for k in range(3)]
    row_axis = max((k for k in range(3) if k != out_axis), key=lambda k: (round(spread[k], 3), -k))
    rear_axis = 3 - out_axis - row_axis
    sign = -1.0 if view.towards[rear_axis] > 0 else 1.0
    row, rear = view.ways[row_axis], view.ways[rear_axis]
    if row[0] < -1e-6 or (abs(row[0]) <= 1e-6 and row[1] < 0):
        row = (-row[0], -row[1])
    return row, _outward(nodes[0], view), (sign * rear[0], sign * rear[1])


@record(kw_only=False)
class _Solid:
    """A box behind its ports, on paper."""

    front: tuple[XY, XY, XY, XY]
    """At the ports' line first, then at the far edge."""
    cap: tuple[XY, XY, XY, XY]
    cheek: tuple[XY, XY, XY, XY]
    out: XY
    ports: tuple[XY, ...]

    def across(self, share: float) -> XY:
        """Middle of the front at a share of the way from the ports to the far edge."""
        near = ((self.front[0][0] + self.front[1][0]) / 2, (self.front[0][1] + self.front[1][1]) / 2)
        far = ((self.front[2][0] + self.front[3][0]) / 2, (self.front[2][1] + self.front[3][1]) / 2)
        return (near[0] + share * (far[0] - near[0]), near[1] + share * (far[1] - near[1]))


def _solid(nodes: Sequence[Node], view: View, depth: float, rear: float) -> _Solid:
    row, out, back = _frame(nodes, view)
    flat = [view(n.at) for n in nodes]
    det = row[0] * out[1] - row[1] * out[0]
    us = [((x - flat[0][0]) * out[1] - (y - flat[0][1]) * out[0]) / det for x, y in flat]
    vs = [(row[0] * (y - flat[0][1]) - row[1] * (x - flat[0][0])) / det for x, y in flat]
    middle, half = (min(us) + max(us)) / 2, max((max(us) - min(us)) / 2 + 3.0, 8.0)
    u0, u1, v0, v1 = middle - half, middle + half, min(vs), max(vs) + depth

    def xy(u: float, v: float, w: float = 0.0) -> XY:
        return (
            flat[0][0] + u * row[0] + v * out[0] + w * back[0],
            flat[0][1] + u * row[1] + v * out[1] + w * back[1],
        )

    # the side face that the rear edge leans over is the one that is seen
    u = u1 if back[0] * row[0] + back[1] * row[1] > 0 else u0
    v = v1 if back[0] * out[0] + back[1] * out[1] > 0 else v0
    return _Solid(
        front=(xy(u0, v0), xy(u1, v0), xy(u1, v1), xy(u0, v1)),
        cap=(xy(u0, v), xy(u1, v), xy(u1, v, rear), xy(u0, v, rear)),
        cheek=(xy(u, v0), xy(u, v1), xy(u, v1, rear), xy(u, v0, rear)),
        out=out,
        ports=tuple(flat),
    )


def outline(nodes: Sequence[Node], view: View, depth: float, rear: float) -> list[XY]:
    """Corners of the box that stands behind the ports; the ports alone for what has no box."""
    port = nodes[0].port
    if port is None or port.owner_kind not in BIG:
        return [view(n.at) for n in nodes]
    solid = _solid(nodes, view, depth, rear)
    return [*solid.front, *solid.cap, *solid.cheek] if rear else list(solid.front)


def draw_boxed(
    drawing: Drawing, crowd: Crowd, owner: str, nodes: Sequence[Node], view: View, depth: float, *, rear: float = 0.0,
    notes: Sequence[str] = (),
) -> None:  # fmt: skip
    """Equipment as a box behind its ports with its name on the front, or as a ring; symbols are drawn elsewhere.

    :param depth: mm from the ports' line to the far edge
    :param rear: mm that the box reaches back, 0 for a flat one
    :param notes: lines under the name
    """
    port = nodes[0].port
    assert port is not None
    if port.owner_kind in OWNER_ITEM or port.owner_kind == "emitter":
        return
    t = drawing.theme
    drawing.open(f"{port.owner_kind}:{owner}", "equipment")
    if port.owner_kind not in BIG:
        at = view(nodes[0].at)
        drawing.circle(at, 1.0, fill=t.sheet, stroke=t.ink, width=0.35)
        drawing.close()
        crowd.block(around(at, 2.2, 2.2))
        return
    solid = _solid(nodes, view, depth, rear)
    if rear:
        for face in (solid.cap, solid.cheek):
            drawing.path(path_data(face, closed=True), fill=t.sheet, stroke=t.ink, width=0.4)
    drawing.path(path_data(solid.front, closed=True), fill=t.slab, stroke=t.ink, width=0.5)
    xs, ys = [x for x, _ in solid.front], [y for _, y in solid.front]
    crowd.block(Box(min(xs), min(ys), max(xs), max(ys)))
    room = max(10.0, (max(xs) - min(xs)) - 2.0)
    upright = abs(solid.out[1]) >= abs(solid.out[0])
    x, y = solid.across(1.0 - 3.4 / depth if upright and solid.out[1] < 0 else 0.62)
    y += 1.1
    drawing.text((x, y), clip(owner, 3.4, room, weight=600), 3.4, anchor="middle", weight=600)
    for k, note in enumerate(notes):
        drawing.text((x, y + 3.3 * (k + 1)), clip(note, 2.6, room), 2.6, anchor="middle", colour=t.mute)
    for node, (px, py) in zip(nodes, solid.ports, strict=True):
        name = clip(node.port.name if node.port is not None else "", 2.3, 9.0)
        if not name:
            continue
        long = width(name, 2.3)
        if upright:
            down = solid.out[1] > 0
            drawing.text((px + 0.8, py + 1.0 + long if down else py - 1.0), name, 2.3, colour=t.mute, turned=-90.0)
        else:
            drawing.text((px + 1.0 if solid.out[0] > 0 else px - 1.0 - long, py + 0.8), name, 2.3, colour=t.mute)
    drawing.close()


@record
class Named:
    """Something that has its name written beside it."""

    name: str
    at: XY
    """Its middle on paper."""
    clear: float
    """How far the name keeps from that, mm."""


def named_points(found: Mapping[str, Sequence[Node]], view: View, size: float) -> list[Named]:
    """Everything that is drawn as a symbol or a ring: vessel, relief valve, cold main, taps.

    :param size: half a symbol's length, mm
    """
    made: list[Named] = []
    for owner, nodes in found.items():
        port = nodes[0].port
        if port is None or port.owner_kind == "emitter" or port.owner_kind in BIG:
            continue
        (x, y), (u, v) = view(nodes[0].at), _outward(nodes[0], view)
        item = OWNER_ITEM.get(port.owner_kind)
        half = 0.5 * END_REACH[item] * size if item is not None else 0.0
        clear = 1.0 if item is None else 1.3 * size
        made.append(Named(name=owner, at=(x + half * u, y + half * v), clear=clear))
    return made


def named_valves(
    pipework: Pipework, lines: Sequence[Line], view: View, three_ways: Mapping[str, str], size: float
) -> list[Named]:
    """The three-way valves, given by their tees, that the lines meet."""
    met = {i for line in lines for i in (line.a, line.b) if i is not None}
    nodes = (pipework.nodes[i] for i in sorted(met))
    clear = size + 0.6
    return [Named(name=three_ways[n.name], at=view(n.at), clear=clear) for n in nodes if n.name in three_ways]


def write_names(drawing: Drawing, crowd: Crowd, things: Sequence[Named]) -> None:
    """Each name beside its thing, where there is room."""
    t = drawing.theme
    for thing in things:
        words = clip(thing.name, 2.8, 34.0)
        near = thing.clear + 0.6
        far = (near, *(f for f in (4.0, 7.0, 10.0, 14.0, 20.0) if f > near))
        spot = crowd.choose(ring(thing.at, width(words, 2.8), 2.8, far, gap=thing.clear))
        if spot is None:
            continue
        if spot.leader is not None:
            drawing.line(*spot.leader, t.mute, 0.18)
        drawing.text((spot.box.x0, spot.box.y1 - 0.6), words, 2.8, halo=True)
