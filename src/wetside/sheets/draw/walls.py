"""Walls, windows and doors of one storey on the plan."""

from collections.abc import Callable, Sequence

from wetside.basis.si import Metre
from wetside.house.reading import HouseLoad, PlacedOpening
from wetside.house.spec import Construction, Faces, House, Part, Point, Room
from wetside.sheets.draw.place import Box
from wetside.sheets.draw.svg import XY, Drawing, path_data

OUTER, INNER = 0.28, 0.10
"""Thickness of walls whose construction gives none, m."""
_SAME = 0.02


def thickness(constructions: Sequence[Construction], name: str, fallback: Metre) -> Metre:
    """What the layers of a construction add up to."""
    for c in constructions:
        if c.name == name:
            total = sum(layer.thickness_m for layer in c.layers)
            return min(total, 0.8) if total > 0.02 else fallback
    return fallback


def inside(outline: Sequence[Point], p: Point) -> bool:
    """Whether the point lies in the outline (even-odd)."""
    odd = False
    for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if (y0 > p[1]) != (y1 > p[1]) and p[0] < (x1 - x0) * (p[1] - y0) / (y1 - y0) + x0:
            odd = not odd
    return odd


def outward(room: Sequence[Point], a: Point, b: Point) -> XY:
    """Unit vector from the wall piece a–b out of the room."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    n = (dx * dx + dy * dy) ** 0.5 or 1.0
    x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    u, v = dy / n, -dx / n
    return (-u, -v) if inside(room, (x + 0.03 * u, y + 0.03 * v)) else (u, v)


Wall = tuple[Point, Point, str, Room, str]
"""From, to, ``"outer"`` or ``"inner"`` or ``"party"``, room, construction."""


def _edges(room: Room) -> list[tuple[Point, Point]]:
    return list(zip(room.outline, [*room.outline[1:], room.outline[0]], strict=True)) if room.outline else []


def _overlap(a: Point, b: Point, c: Point, d: Point) -> tuple[float, float] | None:
    """The part of a–b that c–d covers, in metres along a–b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    n = (dx * dx + dy * dy) ** 0.5
    if n < _SAME:
        return None
    u, v = dx / n, dy / n
    for p in (c, d):
        if abs((p[0] - a[0]) * v - (p[1] - a[1]) * u) > _SAME:
            return None
    s, t = sorted(((p[0] - a[0]) * u + (p[1] - a[1]) * v) for p in (c, d))
    s, t = max(0.0, s), min(n, t)
    return (s, t) if t - s > _SAME else None


def walls_of(house: House, load: HouseLoad | None, storey: str) -> list[Wall]:
    """Pieces of wall, each with what it is; by the load's surfaces where they know their line, else by the outlines."""
    rooms = {r.name: r for r in house.rooms if r.storey == storey and r.outline}
    found: list[Wall] = []
    known: set[str] = set()
    for loaded in load.rooms if load is not None else ():
        room = rooms.get(loaded.name)
        if room is None:
            continue
        for s in loaded.surfaces:
            if s.part is not Part.WALL or s.line is None:
                continue
            known.add(room.name)
            kind = "party" if s.faces is Faces.NEIGHBOUR else "inner"
            if s.faces in (Faces.OUTSIDE, Faces.GROUND):
                kind = "outer"
            found.append((*s.line, kind, room, s.construction))
    for room in rooms.values():
        if room.name in known:
            continue
        for a, b in _edges(room):
            n = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
            shared = sorted(
                o for r in rooms.values() if r is not room for c, d in _edges(r) if (o := _overlap(a, b, c, d))
            )
            at = 0.0

            def point(t: float, a: Point = a, b: Point = b, n: float = n) -> Point:
                return (a[0] + (b[0] - a[0]) * t / n, a[1] + (b[1] - a[1]) * t / n)

            for s, t in shared:
                if s - at > _SAME:
                    found.append((point(at), point(s), "outer", room, room.outer_wall or house.fabric.outer_wall))
                found.append((point(s), point(t), "inner", room, house.fabric.inner_wall))
                at = max(at, t)
            if n - at > _SAME:
                found.append((point(at), b, "outer", room, room.outer_wall or house.fabric.outer_wall))
    return found


def outer_thickness(house: House, walls: Sequence[Wall]) -> Metre:
    """Thickest outer wall, for the room that the drawing needs round the outlines."""
    return max((thickness(house.constructions, w[4], OUTER) for w in walls if w[2] != "inner"), default=OUTER)


def wall_boxes(house: House, walls: Sequence[Wall], paper: Callable[[Point], XY]) -> list[Box]:
    """Where outer walls that run along an axis stand on paper, for labels to keep clear of."""
    found: list[Box] = []
    for a, b, kind, room, construction in walls:
        if kind == "inner" or min(abs(a[0] - b[0]), abs(a[1] - b[1])) > _SAME:
            continue
        o, thick = outward(room.outline, a, b), thickness(house.constructions, construction, OUTER)
        flat = [
            paper(p)
            for p in (a, b, (a[0] + o[0] * thick, a[1] + o[1] * thick), (b[0] + o[0] * thick, b[1] + o[1] * thick))
        ]
        xs, ys = [x for x, _ in flat], [y for _, y in flat]
        found.append(Box(min(xs), min(ys), max(xs), max(ys)))
    return found


def draw_walls(drawing: Drawing, house: House, walls: Sequence[Wall], paper: Callable[[Point], XY]) -> None:
    """Outer walls outside of the outline, inner walls about the line."""
    t = drawing.theme
    # corner reach: an outer wall goes on past its end where another outer wall of the storey begins
    ends: dict[tuple[int, int], list[tuple[XY, float]]] = {}

    def key(p: Point) -> tuple[int, int]:
        return (round(p[0] * 50), round(p[1] * 50))

    outer = [w for w in walls if w[2] != "inner"]
    for a, b, _, room, construction in outer:
        n = outward(room.outline, a, b)
        thick = thickness(house.constructions, construction, OUTER)
        for p in (a, b):
            ends.setdefault(key(p), []).append((n, thick))

    def reach(p: Point, along: XY) -> float:
        return max((th for n, th in ends.get(key(p), ()) if n[0] * along[0] + n[1] * along[1] > 0.5), default=0.0)

    drawing.open("walls", "walls")
    for a, b, kind, room, construction in sorted(walls, key=lambda w: w[2] != "inner"):
        dx, dy = b[0] - a[0], b[1] - a[1]
        n = (dx * dx + dy * dy) ** 0.5
        if n < 1e-6:
            continue
        u, v = dx / n, dy / n
        o = outward(room.outline, a, b)
        if kind == "inner":
            half = thickness(house.constructions, construction, INNER) / 2
            corners = [(a, half), (b, half), (b, -half), (a, -half)]
            points = [(p[0] + o[0] * h, p[1] + o[1] * h) for p, h in corners]
        else:
            thick = thickness(house.constructions, construction, OUTER)
            ra, rb = reach(a, (-u, -v)), reach(b, (u, v))
            p, q = (a[0] - u * ra, a[1] - v * ra), (b[0] + u * rb, b[1] + v * rb)
            points = [p, q, (q[0] + o[0] * thick, q[1] + o[1] * thick), (p[0] + o[0] * thick, p[1] + o[1] * thick)]
        fill = t.mute if kind == "party" else t.ink
        drawing.path(path_data([paper(p) for p in points], closed=True), fill=fill, stroke=fill, width=0.1)
    drawing.close()


def draw_openings(
    drawing: Drawing,
    house: House,
    walls: Sequence[Wall],
    openings: Sequence[PlacedOpening],
    paper: Callable[[Point], XY],
    per_m: float,
) -> None:
    """Windows as glass lines in the wall, doors as a leaf and its swing, rooflights dashed."""
    t = drawing.theme
    rooms = {r.name: r for r in house.rooms}
    for o in openings:
        a, b = o.line
        room = rooms.get(o.room)
        drawing.open(f"opening:{o.name}", "opening")
        if o.roof_pitch_deg is not None or room is None or not room.outline:
            drawing.path(path_data([paper(a), paper(b)]), stroke=t.mute, width=0.5, dash="1.6 0.8")
            drawing.close()
            continue
        n = outward(room.outline, a, b)
        wall = next((w for w in walls if w[3].name == o.room and w[2] != "inner" and _overlap(w[0], w[1], a, b)), None)
        deep, low = OUTER, 0.0
        if wall is not None:
            deep = thickness(house.constructions, wall[4], OUTER)
        else:
            thin = thickness(house.constructions, house.fabric.inner_wall, INNER)
            deep, low = thin / 2, -thin / 2

        def at(p: Point, d: float, n: XY = n) -> XY:
            return paper((p[0] + n[0] * d, p[1] + n[1] * d))

        hole = [at(a, low), at(b, low), at(b, deep), at(a, deep)]
        drawing.path(path_data(hole, closed=True), fill=t.sheet)
        if o.part is Part.DOOR:
            _door(drawing, a, b, n, low, deep, at)
        else:
            for share in (0.0, 0.42, 0.58, 1.0):
                d = low + share * (deep - low)
                drawing.line(at(a, d), at(b, d), t.ink, 0.22)
            for p in (a, b):
                drawing.line(at(p, low), at(p, deep), t.ink, 0.3)
        drawing.close()


def _door(
    drawing: Drawing, a: Point, b: Point, n: XY, low: float, deep: float, at: Callable[[Point, float], XY]
) -> None:
    """The leaf stands open into the room, two leaves in a wide door; its edge swings to the other jamb."""
    t = drawing.theme
    wide = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    for hung, meets in ((a, middle), (b, middle)) if wide > 1.3 else ((a, b),):
        leaf = wide / 2 if wide > 1.3 else wide
        hinge, tip, jamb = at(hung, low), at(hung, low - leaf), at(meets, low)
        drawing.line(hinge, tip, t.ink, 0.4)
        r = ((tip[0] - hinge[0]) ** 2 + (tip[1] - hinge[1]) ** 2) ** 0.5
        turn = (tip[0] - hinge[0]) * (jamb[1] - hinge[1]) - (tip[1] - hinge[1]) * (jamb[0] - hinge[0])
        drawing.path(
            path_data([tip]) + f"A{r:.1f} {r:.1f} 0 0 {1 if turn > 0 else 0} {jamb[0]:.1f} {jamb[1]:.1f}",
            stroke=t.mute, width=0.2,
        )  # fmt: skip
    for d in (low, deep):
        drawing.line(at(a, d), at(b, d), t.line, 0.2)
    for p in (a, b):
        drawing.line(at(p, low), at(p, deep), t.ink, 0.3)
