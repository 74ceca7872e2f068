"""What a bench sheet says about an assembly: distances, numbers and lengths of pieces, names, the list."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import dist

from wetside.basis.quantity import INCH, System, tape
from wetside.basis.si import Metre
from wetside.fabricate.bench import HOT, BenchWork, ends_of
from wetside.fabricate.reading import Body, Fabrication
from wetside.pipework.spec import ItemKind
from wetside.sheets.draw.bench_parts import Face, TubeLine, centre_line, tube_of
from wetside.sheets.draw.border import scale_bar
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.measures import measure_level, measure_plumb
from wetside.sheets.draw.numbers import spans
from wetside.sheets.draw.place import Box, beside, length_inside, ring
from wetside.sheets.draw.svg import XY, Drawing

TABLE = 62.0
"""Width of the list of pieces, mm."""


def figure(value: Metre, system: System) -> str:
    """A distance from the datum, without its unit where that is millimetres."""
    if abs(value) < 5e-5:
        return "0"
    if system is System.US:
        return tape(value, system) if abs(value) >= 0.5 * INCH / 16 else "0"
    return f"{value * 1000:.0f}".replace("-", "−")


def measure(front: Face, side: Face, work: BenchWork, fabrication: Fabrication, system: System, inside: Box) -> None:
    """Distances of every fitting's centre from the datum, along the lower and the left edge; depth at the side."""
    bodies = [fabrication.bodies[k] for k in work.bodies]
    level = sorted({round(front.stand(b.at)[0], 4) for b in bodies})
    plumb = sorted({round(front.stand(b.at)[2], 4) for b in bodies})
    deep = sorted({round(front.stand(b.at)[1], 4) for b in bodies})
    foot = front.place.y1 + 6.0

    def lowest(face: Face, axis: int, value: float) -> float:
        return max(face(b.at)[1] for b in bodies if abs(face.stand(b.at)[axis] - value) < 1e-3)

    def leftmost(value: float) -> float:
        return min(front(b.at)[0] for b in bodies if abs(front.stand(b.at)[2] - value) < 1e-3)

    across = [(front.origin[0] + v * front.per_m, lowest(front, 0, v), figure(v, system)) for v in level]
    measure_level(front.drawing, front.crowd, across, foot, inside)
    if len(deep) > 1:
        back = [(side.origin[0] + v * side.per_m, lowest(side, 1, v), figure(v, system)) for v in deep]
        measure_level(side.drawing, side.crowd, back, foot, inside)
    down = [(front.origin[1] - v * front.per_m, leftmost(v), figure(v, system)) for v in plumb]
    measure_plumb(front.drawing, front.crowd, down, front.place.x0 - 6.0, inside)


def label(
    front: Face, side: Face, work: BenchWork, fabrication: Fabrication, kinds: Mapping[int, ItemKind],
    lines: Sequence[TubeLine], system: System, named: Mapping[int, str],
) -> None:  # fmt: skip
    """Numbers of cuts with their lengths, names of ports, items and street elbows, letters of the bench's pieces: each
    in the view in which it is seen best."""
    best = {line.cut.name: _seen(line, lines, front, side) for line in lines}
    for line in sorted(lines, key=lambda x: (x.leads, x.cut.length_m, x.cut.name)):
        _cut_label(best[line.cut.name], line, system)
    in_joint = tube_of(fabrication)
    for k in work.bodies:
        body = fabrication.bodies[k]
        names = [c.name for e in body.ends if (c := in_joint.get(e.joint)) is not None and c.name in best]
        face = side if names and all(best[n] is side for n in names) else front
        if body.port or k in kinds or k in named or any(e.insertion_m < 0.0 for e in body.ends):
            _name(face, body, named.get(k, ""))
    _pieces(work, fabrication, best)
    for k in work.bodies:
        body = fabrication.bodies[k]
        names = [c.name for e in body.ends if (c := in_joint.get(e.joint)) is not None and c.name in best]
        _numbers(side if names and all(best[n] is side for n in names) else front, body)


def _seen(line: TubeLine, lines: Sequence[TubeLine], front: Face, side: Face) -> Face:
    """The view that shows a piece longer and with fewer others on it; the front where both are alike."""

    def worth(face: Face) -> float:
        a, b = face(line.points[0]), face(line.points[-1])
        box = Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(0.8)
        hidden = 0.0
        for other in lines:
            if other is not line:
                hidden += sum(length_inside(face(p), face(q), box) for p, q in pairwise(other.points))
        return dist(a, b) - 1.5 * max(hidden - 2.0, 0.0)

    return side if worth(side) > worth(front) + 1.0 else front


def _cut_label(face: Face, line: TubeLine, system: System) -> None:
    d, t, crowd = face.drawing, face.drawing.theme, face.crowd
    flat = [face(p) for p in line.points]
    a, b = max(pairwise(flat), key=lambda s: dist(*s))
    words = f"{line.cut.name} {'on' if line.leads else figure(line.cut.length_m, system)}"
    w, high = width(words, 2.7, weight=600) + 1.4, 3.2
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    spots = beside(a, b, w, high, off=face.mm(line.cut.tube.outside_m) / 2 + 0.7)
    spots += ring(middle, w, high, (2.5, 4.0, 6.0, 9.0, 12.0, 16.0, 21.0), gap=0.4)
    spot = crowd.choose(spots) or crowd.choose(spots, through=True)
    if spot is None:
        return
    box = spot.box
    if spot.leader is not None:
        d.line(*spot.leader, t.mute, 0.18)
    if line.last:
        d.rect(box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0, fill=t.ink, round_=0.5)
    d.text((box.middle[0], box.y1 - 0.75), words, 2.7, anchor="middle", weight=600,
           colour=t.sheet if line.last else t.ink, halo=not line.last)  # fmt: skip


def _name(face: Face, body: Body, called: str) -> None:
    d, t, crowd = face.drawing, face.drawing.theme, face.crowd
    words = clip(called or body.port or body.name.removeprefix("tee for "), 2.6, 34.0)
    spots = ring(face(body.at), width(words, 2.6), 2.6, (3.5, 5.0, 7.0, 9.5, 13.0, 17.0, 22.0), gap=1.5)
    spot = crowd.choose(spots) or crowd.choose(spots, through=True)
    if spot is None:
        return
    if spot.leader is not None:
        d.line(*spot.leader, t.mute, 0.18)
    d.text((spot.box.x0, spot.box.y1 - 0.55), words, 2.6, weight=600 if body.port else 500, halo=True)


def _pieces(work: BenchWork, fabrication: Fabrication, best: Mapping[str, Face]) -> None:
    for piece in work.pieces:
        # as near to the middle of the piece as there is room
        faces = [best[c.name] for c in piece.cuts]
        face = max(faces, key=faces.count)
        d, t = face.drawing, face.drawing.theme
        flats = [[face(p) for p in centre_line(c, fabrication)] for c in piece.cuts]
        anchors = [((f[0][0] + f[-1][0]) / 2, (f[0][1] + f[-1][1]) / 2) for f in flats]
        middle = (sum(x for x, _ in anchors) / len(anchors), sum(y for _, y in anchors) / len(anchors))
        anchors.sort(key=lambda p: dist(p, middle))
        spots = [s for a in anchors[:4] for s in ring(a, 5.6, 5.6, (4.0, 6.0, 9.0, 13.0), gap=0.6)]
        spot = face.crowd.choose(spots) or face.crowd.choose(spots, through=True)
        if spot is None:
            continue
        if spot.leader is not None:
            d.line(*spot.leader, t.ink, 0.3)
        d.circle(spot.box.middle, 2.7, fill=t.sheet, stroke=t.ink, width=0.6)
        d.text((spot.box.middle[0], spot.box.middle[1] + 1.4), piece.name, 4.0, anchor="middle", weight=600)


def _numbers(face: Face, body: Body) -> None:
    """Joint numbers of a fitting, small."""
    d, t = face.drawing, face.drawing.theme
    words = spans(sorted(e.joint for e in body.ends))
    w = width(words, 2.2) + 1.2
    spots = ring(face(body.at), w, 2.7, (2.2, 3.2, 4.4, 6.0, 8.0, 11.0, 15.0), gap=0.8)
    spot = face.crowd.choose(spots, clear=0.1)
    if spot is None:
        return
    if spot.leader is not None:
        d.line(*spot.leader, t.mute, 0.15)
    box = spot.box
    d.rect(box.x0, box.y0, w, 2.7, fill=t.sheet, stroke=t.mute, width=0.15, round_=1.35)
    d.text((box.middle[0], box.y1 - 0.65), words, 2.2, anchor="middle", colour=t.mute)


def care_lines(
    work: BenchWork, fabrication: Fabrication, kinds: Mapping[int, ItemKind], named: Mapping[int, str]
) -> list[str]:
    """Items that a flame would spoil, by kind, with their joints; none where nothing is soldered."""
    hot = {j.number for j in fabrication.joints if j.kind in HOT}
    found: dict[str, list[str]] = {}
    for k in work.bodies:
        body = fabrication.bodies[k]
        if (k in kinds or k in named) and any(e.joint in hot for e in body.ends):
            found.setdefault(named.get(k) or body.name.removeprefix("tee for "), []).append(
                spans(sorted(e.joint for e in body.ends))
            )
    lines: list[str] = []
    for name, numbers in found.items():
        lines.extend(
            f"{name if k == 0 else ''} {'; '.join(numbers[k : k + 3])}".strip() for k in range(0, len(numbers), 3)
        )
    return lines


def draw_care(drawing: Drawing, lines: Sequence[str], column: Box) -> None:
    if not lines:
        return
    y = column.y1 - 3.3 * len(lines) - 1.6
    drawing.line((column.x0, y - 3.8), (column.x1, y - 3.8), drawing.theme.ink, 0.35)
    drawing.text((column.x0 + 2.0, y - 0.6), "strip or wrap before the flame: name, joints", 2.6, weight=600)
    for k, words in enumerate(lines):
        drawing.text((column.x0 + 2.0, y + 3.3 * k + 2.6), clip(words, 2.5, TABLE - 4.0), 2.5)


def draw_table(
    drawing: Drawing, work: BenchWork, fabrication: Fabrication, box: Box, system: System, below: float
) -> None:
    """Every piece with its tube, length and joints, in building order."""
    t = drawing.theme
    drawing.line((box.x0, box.y0), (box.x0, box.y1 + 1.0), t.ink, 0.25)
    room = box.y1 - box.y0 - 8.0 - below
    pitch = min(4.6, room / max(len(work.cuts), 1))
    size = max(min(2.8, pitch * 0.75), 1.9)
    columns = (box.x0 + 2.0, box.x0 + 14.5, box.x0 + 45.0, box.x1 - 1.5)
    y = box.y0 + 5.0
    for x, words, anchor in zip(
        columns, ("piece", "tube", "length", "joints"), ("start", "start", "end", "end"), strict=True
    ):
        drawing.text((x, y), words, 2.6, anchor=anchor, weight=600, colour=t.mute)
    drawing.line((box.x0, y + 1.6), (box.x1, y + 1.6), t.ink, 0.35)
    y += 1.6
    last = {c.name for c in work.fit_last}
    in_piece = {c.name: p.name for p in work.pieces for c in p.cuts}
    shown = work.cuts if len(work.cuts) * pitch <= room + 0.01 and pitch >= 2.4 else work.cuts[: int(room / 2.4)]
    pitch = max(pitch, 2.4)
    for c in shown:
        base = y + pitch * 0.72
        if c.name in last:
            drawing.rect(box.x0 + 0.3, y + 0.15, TABLE - 0.5, pitch - 0.3, fill=t.wash)
        mark = "last" if c.name in last else in_piece.get(c.name, "")
        drawing.text((columns[0], base), c.name, size, weight=600)
        drawing.text((columns[0] + 7.4, base), mark, size * 0.9, colour=t.mute)
        drawing.text((columns[1], base), clip(c.tube.name, size, 14.0), size)
        drawing.text((columns[2], base), tape(c.length_m, system), size, anchor="end", weight=600)
        a, b = ends_of(fabrication, c)
        drawing.text((columns[3], base), f"{a} to {b}", size, anchor="end")
        y += pitch
        drawing.line((box.x0, y), (box.x1, y), t.grid, 0.15)
    if len(shown) < len(work.cuts):
        drawing.text((columns[0], y + 3.0), f"and {len(work.cuts) - len(shown)} more: see the cut sheet", 2.6)


def draw_key(drawing: Drawing, at: XY, per_m: float, system: System) -> None:
    t = drawing.theme
    x, y = at
    drawing.circle((x + 1.0, y), 0.55, fill=t.ink)
    drawing.text((x + 3.6, y + 0.9), "joined on the bench", 2.6, colour=t.mute)
    drawing.circle((x + 33.0, y), 0.95, fill=t.sheet, stroke=t.ink, width=0.35)
    drawing.text((x + 35.6, y + 0.9), "joined in place", 2.6, colour=t.mute)
    drawing.rect(x + 58.0, y - 1.6, 9.0, 3.2, fill=t.ink, round_=0.5)
    drawing.text((x + 62.5, y + 0.85), "C13", 2.6, anchor="middle", weight=600, colour=t.sheet)
    drawing.text((x + 68.6, y + 0.9), "measured and cut last", 2.6, colour=t.mute)
    scale_bar(drawing, (x + 1.0, y + 3.2), per_m, system)
