"""What a bench sheet shows of an assembly: tube and fittings with their real reach, items, joints."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import dist

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.fabricate.bench import BenchWork, ends_of
from wetside.fabricate.reading import Body, Cut, Fabrication
from wetside.pipework.spec import ItemKind, Vec
from wetside.pipework.vec import add, times
from wetside.sheets.draw.place import Box, Crowd, around
from wetside.sheets.draw.stand import Stand
from wetside.sheets.draw.svg import XY, Drawing, path_data
from wetside.sheets.draw.symbols import ON_BRANCH, at_end, in_line, three_way

STUB: Metre = 0.08
"""How much is drawn of a piece that leads on."""
SLEEVE = 1.3
"""A fitting's outside in outside diameters of its tube."""


@dataclass(slots=True)
class Face:
    """One view: from right, away and up (metres) to the paper."""

    axis: int
    origin: XY
    per_m: float
    drawing: Drawing
    crowd: Crowd
    stand: Stand
    place: Box
    outlines: list[tuple[list[XY], float, str | None]] = field(default_factory=list[tuple[list[XY], float, str | None]])

    def __call__(self, p: Vec) -> XY:
        q = self.stand(p)
        return (self.origin[0] + q[self.axis] * self.per_m, self.origin[1] - q[2] * self.per_m)

    def mm(self, length: Metre) -> float:
        return length * self.per_m

    def depth(self, p: Vec) -> float:
        """Distance from the eye: away from the front, to the left from the right side."""
        q = self.stand(p)
        return q[1] if self.axis == 0 else -q[0]


@record(kw_only=False)
class TubeLine:
    """Centre line of a piece of tube, from the end in one fitting to that in the other."""

    cut: Cut
    points: tuple[Vec, ...]
    last: bool
    leads: bool = False


def tube_lines(work: BenchWork, fabrication: Fabrication) -> list[TubeLine]:
    last = {c.name for c in work.fit_last}
    found = [TubeLine(c, centre_line(c, fabrication), c.name in last) for c in work.cuts]
    mine = set(work.bodies)
    for c in work.leaving:
        for body, end in ((c.a, c.a_end), (c.b, c.b_end)):
            if body in mine:
                b = fabrication.bodies[body]
                e = b.ends[end]
                start = add(b.at, times(e.away, e.takeout_m))
                found.append(TubeLine(c, (start, add(start, times(e.away, min(STUB, c.length_m)))), False, True))
    return found


def centre_line(cut: Cut, fabrication: Fabrication) -> tuple[Vec, ...]:
    a, b = fabrication.bodies[cut.a], fabrication.bodies[cut.b]
    start, end = a.ends[cut.a_end], b.ends[cut.b_end]
    here = add(a.at, times(start.away, start.takeout_m))
    points, heading = [here], start.away
    for bend in cut.bends:
        here = add(here, times(heading, bend.from_last_m))
        points.append(here)
        heading = bend.out_of
    points.append(add(b.at, times(end.away, end.takeout_m)))
    return tuple(points)


def _outline(face: Face, parts: Sequence[tuple[Sequence[XY], float]], fill: str, kind: str) -> None:
    """Thick lines with a thin edge, as one shape where they meet; a part seen end-on is a round."""
    d, t = face.drawing, face.drawing.theme
    d.open(None, kind)
    for grown, colour in ((0.5, t.ink), (0.0, fill)):
        for flat, wide in parts:
            if dist(flat[0], flat[-1]) < 0.05 and len(flat) == 2:
                d.circle(flat[0], (wide + grown) / 2, fill=colour)
            else:
                d.path(path_data(list(flat), places=2), stroke=colour, width=wide + grown, cap="butt")
    d.close()


def draw_cuts(face: Face, work: BenchWork, fabrication: Fabrication, lines: Sequence[TubeLine]) -> None:
    t = face.drawing.theme
    for line in sorted(lines, key=lambda x: -max(face.depth(p) for p in x.points)):
        flat = [face(p) for p in line.points]
        wide = max(face.mm(line.cut.tube.outside_m) - 0.3, 0.5)
        face.drawing.open(f"cut:{line.cut.name}", "cut")
        _outline(face, [(flat, wide)], t.wash if line.last else t.sheet, "tube")
        if dist(flat[0], flat[-1]) > 0.5:
            face.drawing.path(path_data(flat), stroke=t.mute, width=0.15, dash="3 0.8 0.5 0.8")
        if line.leads:
            _break(face, flat[-2], flat[-1], wide)
        face.drawing.close()
        for a, b in pairwise(flat):
            face.crowd.wire(a, b, 2.0)


def _break(face: Face, a: XY, b: XY, wide: float) -> None:
    length = dist(a, b)
    if length < 0.5:
        return
    u, v = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    half = wide / 2 + 1.0
    steps = ((-half, 0.0), (-half * 0.2, 0.8), (half * 0.2, -0.8), (half, 0.0))
    points = [(b[0] + s * v + f * u, b[1] - s * u + f * v) for s, f in steps]
    face.drawing.path(path_data(points, places=2), stroke=face.drawing.theme.ink, width=0.3)


def tube_of(fabrication: Fabrication) -> dict[int, Cut]:
    """Joint → the piece of tube in it, or the street end of a fitting."""
    found: dict[int, Cut] = {}
    for c in (*fabrication.cuts, *fabrication.streets):
        for n in ends_of(fabrication, c):
            found[n] = c
    return found


def draw_bodies(
    face: Face,
    work: BenchWork,
    fabrication: Fabrication,
    kinds: Mapping[int, ItemKind],
    three_ways: Collection[int] = (),
) -> None:
    """Fittings with their real reach along each tube; items with their symbol.

    :param three_ways: bodies that are three-way valves in the place of tees
    """
    t = face.drawing.theme
    in_joint = tube_of(fabrication)
    order = sorted(work.bodies, key=lambda k: -face.depth(fabrication.bodies[k].at))

    def nearer(k: int) -> list[XY]:
        """Items that are drawn over this one."""
        return [face(fabrication.bodies[o].at) for o in order[order.index(k) + 1 :] if o in kinds or o in three_ways]

    for k in order:
        body = fabrication.bodies[k]
        kind = kinds.get(k)
        at = face(body.at)
        parts: list[tuple[list[XY], float]] = []
        for e in body.ends:
            cut = in_joint.get(e.joint)
            if cut is None:
                continue
            wide = max(face.mm(cut.tube.outside_m) * SLEEVE, 0.9)
            reach = e.takeout_m + e.insertion_m
            parts.append(([at, face(add(body.at, times(e.away, reach)))], wide))
        face.drawing.open(f"fitting:{body.name}", "fitting")
        if len(parts) > 1:
            parts.append(([at, at], max(wide for _, wide in parts)))
        # what is seen end-on lies over the rest
        parts.sort(key=lambda p: dist(p[0][0], p[0][1]) < 0.05)
        _outline(face, parts, t.slab, "sleeve")
        if not any(dist(at, o) < 0.5 for o in nearer(k)):
            if k in three_ways:
                _three_way(face, body, at)
            else:
                _symbol(face, body, kind, at, parts)
        if body.port:
            _port(face, body, at)
        face.drawing.close()
        for flat, wide in parts:
            x0, x1 = sorted((flat[0][0], flat[1][0]))
            y0, y1 = sorted((flat[0][1], flat[1][1]))
            face.crowd.block(Box(x0, y0, x1, y1).grown(wide / 2))


def _three_way(face: Face, body: Body, at: XY) -> None:
    """A wedge to each way that this view shows."""
    tips = [face(add(body.at, times(e.away, e.takeout_m + e.insertion_m))) for e in body.ends]
    seen = [(tip, dist(at, tip)) for tip in tips if dist(at, tip) > 0.2]
    ways = [((tip[0] - at[0]) / reach, (tip[1] - at[1]) / reach) for tip, reach in seen]
    size = min(max(min((reach for _, reach in seen), default=0.0) * 0.62, 1.7), 5.0)
    face.drawing.add(three_way(at, ways, size, face.drawing.theme))
    face.crowd.block(around(at, size * 2.2, size * 2.2))


def _symbol(face: Face, body: Body, kind: ItemKind | None, at: XY, parts: Sequence[tuple[list[XY], float]]) -> None:
    if kind is None or not parts:
        return
    wide = max(w for _, w in parts)
    # the way that the run goes, which a check valve and a circulator show
    out = body.ends[-1]
    tip = face(add(body.at, times(out.away, out.takeout_m + out.insertion_m)))
    reach = dist(at, tip)
    along = ((tip[0] - at[0]) / reach, (tip[1] - at[1]) / reach) if reach > 0.2 else None
    t = face.drawing.theme
    if kind in ON_BRANCH:
        if along is not None:
            side = min(((-along[1], along[0]), (along[1], -along[0])), key=lambda w: w[1])
            u, v = side if abs(side[1]) > 0.5 else (1.0, 0.0)
            size = 1.9
            x, y = at[0] + u * size * 2.4, at[1] + v * size * 2.4
            face.drawing.add(at_end(kind, (at[0] + u * wide / 2, at[1] + v * wide / 2), (u, v), size, t))
            face.crowd.block(Box(min(at[0], x), min(at[1], y), max(at[0], x), max(at[1], y)).grown(size))
        return
    if along is None:
        face.drawing.circle(at, wide * 0.75, fill=t.sheet, stroke=t.ink, width=0.3)
        return
    size = min(max(reach * 0.62, 1.7), 5.0)
    face.drawing.add(in_line(kind, at, along, size, t))
    face.crowd.block(around(at, size * 2.2, size * 2.2))


def _port(face: Face, body: Body, at: XY) -> None:
    """A double bar across the connection: what is met there stays where it is."""
    e = body.ends[0]
    tip = face(add(body.at, e.away))
    length = dist(at, tip)
    if length < 0.5:
        face.drawing.circle(at, 2.6, stroke=face.drawing.theme.ink, width=0.5)
        return
    u, v = (tip[0] - at[0]) / length, (tip[1] - at[1]) / length
    for off, wide in ((0.0, 0.6), (-1.0, 0.3)):
        x, y = at[0] + u * off, at[1] + v * off
        face.drawing.line((x - v * 3.2, y + u * 3.2), (x + v * 3.2, y - u * 3.2), face.drawing.theme.ink, wide)
    face.crowd.block(around(at, 6.4, 6.4) if abs(u) > 0.5 else Box(at[0] - 3.3, at[1] - 1.6, at[0] + 3.3, at[1] + 0.8))


def draw_joints(face: Face, work: BenchWork, fabrication: Fabrication) -> None:
    """A dot where tube is joined on the bench, a ring where it is joined in place."""
    t = face.drawing.theme
    in_place = set(work.in_place)
    in_joint = tube_of(fabrication)
    for k in work.bodies:
        body = fabrication.bodies[k]
        for e in body.ends:
            if e.joint not in in_joint:
                continue
            at = face(add(body.at, times(e.away, e.takeout_m + e.insertion_m)))
            if dist(at, face(body.at)) < 0.3:
                continue
            if e.joint in in_place:
                face.drawing.circle(at, 0.95, fill=t.sheet, stroke=t.ink, width=0.35)
            else:
                face.drawing.circle(at, 0.55, fill=t.ink)
