"""Isometric of the pipework, or of some of its legs: not to scale, everything in its order, every joint numbered."""

from collections.abc import Callable, Collection, Mapping, Sequence
from functools import partial

from wetside.basis.quantity import Kind, System, show
from wetside.basis.record import record
from wetside.emitter.spec import Emitter
from wetside.fabricate.reading import Fabrication
from wetside.house.spec import House, Storey
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import ItemKind
from wetside.sheets.draw.border import BLOCK_W, LegendRow, drawing_size, frame, legend, legend_height, title_block
from wetside.sheets.draw.equipment import (
    draw_boxed,
    draw_slab,
    name_slab,
    named_points,
    named_valves,
    owners,
    write_names,
)
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.lines import Line, lines_of
from wetside.sheets.draw.numbers import number_joints
from wetside.sheets.draw.place import Box, Crowd, around, beside, ring
from wetside.sheets.draw.scene import Scene
from wetside.sheets.draw.stretch import View
from wetside.sheets.draw.svg import XY, Drawing, path_data, tag
from wetside.sheets.draw.symbols import AT_END, at_end, in_line, three_way
from wetside.sheets.draw.theme import DASH, LIGHT, Theme
from wetside.sheets.draw.tubes import (
    Stroke,
    draw_fittings,
    draw_tubes,
    gaps,
    kinds_of,
    overlaid,
    points_of,
    strokes_of,
    weight,
)

_C, _S = 0.866, 0.5
QUARTERS: tuple[tuple[tuple[XY, XY, XY], tuple[float, float, float]], ...] = (
    (((_C, _S), (_C, -_S), (0.0, -1.0)), (1.0, -1.0, 1.0)),
    (((_C, -_S), (-_C, -_S), (0.0, -1.0)), (-1.0, -1.0, 1.0)),
    (((-_C, -_S), (-_C, _S), (0.0, -1.0)), (-1.0, 1.0, 1.0)),
    (((-_C, _S), (_C, _S), (0.0, -1.0)), (1.0, 1.0, 1.0)),
)
"""Where east, north and up go on the paper, and where the eye is, for the eye in the south-east, south-west,
north-west and north-east."""
SYMBOL = 1.7
"""Half a symbol's length, mm."""
BOX, REAR = 15.0, 7.0
"""Height and depth of a boiler's box, mm."""
SIZE = 2.7
"""Type size of tube sizes, mm."""


@record(kw_only=False)
class Note:
    """What an isometric says of its tubes instead of the joints' numbers."""

    write: Callable[[Drawing, Crowd, Sequence[Line], View], None]
    rows: tuple[LegendRow, ...]
    said: str
    """In the title block."""


def _clutter(strokes: Sequence[Stroke]) -> float:
    """How hard a view is to read: crossings, and lines that lie on one another."""
    return sum(len(c) for c in gaps(strokes).values()) + sum(length for _, _, length in overlaid(strokes))


def isometric(
    pipework: Pipework,
    *,
    house: House,
    emitters: Sequence[Emitter],
    fabrication: Fabrication | None,
    sides: Mapping[str, str],
    system: System,
    theme: Theme = LIGHT,
    legs: Collection[str] | None = None,
    lines: Sequence[Line] | None = None,
    title: str = "Isometric",
    job: str = "",
    size: tuple[float, float] | None = None,
    quarter: int | None = None,
    elsewhere: Collection[str] = (),
    power: float = 0.7,
    note: Note | None = None,
    three_ways: Mapping[str, str] | None = None,
) -> str:
    """The isometric as SVG text.

    Distances are drawn out of scale: short ones are stretched until fittings and numbers can be told apart. Tube is as
    thick as it is large, flow solid, return dashed; where two cross, the rear one is broken.

    :param sides: side of each leg by name, from `wetside.sheets.draw.sides`
    :param fabrication: numbers its joints; none are numbered without it
    :param legs: names of the legs to draw; all when not given
    :param lines: lines to draw instead of whole legs, such as those near the boiler
    :param size: width and height in mm; a page laid sideways when not given
    :param quarter: 0–3, the corner that the eye is in: south-east, south-west, north-west, north-east; the one with
        the fewest crossings when not given
    :param elsewhere: legs whose sizes and joint numbers another sheet carries; here they are drawn alone
    :param note: said of all lines in place of sizes and joint numbers
    :param three_ways: names of three-way valves by the tee that each stands in place of
    :param power: 1 keeps long distances in proportion, less shortens them in favour of short ones
    """
    w, h = size or drawing_size("us-letter" if system is System.US else "a4")
    drawing = Drawing(w, h, theme, title, f"iso {title}")
    drawn = list(lines) if lines is not None else lines_of(pipework, legs)
    three_ways = three_ways or {}
    found = owners(pipework, drawn)
    shown = [e for e in emitters if e.name in found]
    inside = frame(drawing)
    rows = legend_rows(theme, drawn, sides, kinds_of(drawn, pipework), fabrication is not None and note is None)
    rows.extend(three_way_rows(pipework, drawn, theme, three_ways))
    if note is not None:
        rows = [*note.rows, *rows]
    strip = legend_height(rows, w - BLOCK_W - 26.0) + 3.4
    field = Box(inside.x0 + 9, inside.y0 + 7, inside.x1 - 9, inside.y1 - strip - 5)
    if not drawn:
        drawing.text((w / 2, h / 2), "no tube drawn yet", 5.0, anchor="middle", colour=theme.mute)
        title_block(drawing, None, title, [job])
        return drawing.svg()
    scene = Scene(drawn, shown, found, SYMBOL, 3.0, BOX, REAR, power)
    needs = scene.needs()
    corners = range(4) if quarter is None else (quarter,)
    clutter = {k: _clutter(strokes_of(drawn, scene.view(needs, *QUARTERS[k], field))) for k in corners}
    best = min(corners, key=lambda k: (round(clutter[k], 1), k))
    view = scene.spread(needs, *QUARTERS[best], field)
    strokes = strokes_of(drawn, view)
    crowd = Crowd(Box(inside.x0 + 1, inside.y0 + 1, inside.x1 - 1, inside.y1 - strip + 2))
    for s in strokes:
        crowd.wire(s.a, s.b)

    _levels(drawing, crowd, house.storeys, drawn, view, system)
    for e in shown:
        draw_slab(drawing, e, view)
    for owner, nodes in sorted(found.items(), key=lambda o: view.depth(o[1][0].at)):
        draw_boxed(drawing, crowd, owner, nodes, view, BOX, rear=REAR)
    draw_tubes(drawing, drawn, strokes, sides)
    draw_fittings(drawing, crowd, drawn, view, pipework, SYMBOL, three_ways)
    for e in shown:
        name_slab(drawing, crowd, e, view)
    valves = named_valves(pipework, drawn, view, three_ways, SYMBOL)
    write_names(drawing, crowd, [*valves, *named_points(found, view, SYMBOL)])
    _cut_ends(drawing, crowd, drawn, view)
    told = set(elsewhere)
    if note is not None:
        note.write(drawing, crowd, drawn, view)
    label_sizes(drawing, crowd, drawn, [s for s in strokes if drawn[s.line].leg.name not in told])
    if fabrication is not None and note is None:
        number_joints(drawing, crowd, [line for line in drawn if line.leg.name not in told], view, fabrication)
    _compass(drawing, QUARTERS[best][0], (inside.x1 - 84.0, inside.y1 - 10.0))
    legend(drawing, None, rows, (inside.x0 + 3.0, inside.y1 - strip + 2.4), lowest=inside.y1 - 1.0)
    said = "sizes and joints not given here: on the other isometric" if told else "cut by the bench sheets"
    if note is not None:
        said = note.said
    title_block(drawing, None, title, [job, f"not to scale; {said}"])
    return drawing.svg()


def label_sizes(drawing: Drawing, crowd: Crowd, lines: Sequence[Line], strokes: Sequence[Stroke]) -> None:
    """The size of the tube along each line once for every tube of it, where it finds room; always once per run."""
    t = drawing.theme
    said: set[tuple[str, str]] = set()
    jobs: list[tuple[float, int, str, list[Stroke]]] = []
    for i in range(len(lines)):
        by_tube: dict[str, list[Stroke]] = {}
        for s in strokes:
            if s.line == i:
                by_tube.setdefault(s.tube.size, []).append(s)
        for words, parts in by_tube.items():
            jobs.append((-max(p.length for p in parts), i, words, sorted(parts, key=lambda p: -p.length)))
    for _, i, words, parts in sorted(jobs, key=lambda j: (j[0], j[1], j[2])):
        key = (lines[i].leg.run, words)
        spots = [s for p in parts[:4] if p.length > 4.0 for s in beside(p.a, p.b, width(words, SIZE), 2.5)]
        spot = crowd.choose(spots, most=2.5)
        if spot is None and key not in said:
            s = parts[0]
            middle = ((s.a[0] + s.b[0]) / 2, (s.a[1] + s.b[1]) / 2)
            spot = crowd.choose(ring(middle, width(words, SIZE), 2.5, (2.0, 4.0, 7.0, 10.0, 14.0)))
        if spot is None:
            continue
        said.add(key)
        if spot.leader is not None:
            drawing.line(*spot.leader, t.mute, 0.18)
        drawing.text((spot.box.x0, spot.box.y1 - 0.5), words, SIZE, halo=True)


def _levels(
    drawing: Drawing, crowd: Crowd, storeys: Sequence[Storey], lines: Sequence[Line], view: View, system: System
) -> None:
    """The floor of each storey that the tubes reach: its two rear edges, thin, with its level."""
    t, inside = drawing.theme, crowd.bounds
    points = points_of(lines)
    xs, ys, zs = ([p[k] for p in points] for k in range(3))
    low, high = min(zs), max(zs)
    far = [min if w > 0 else max for w in view.towards]
    rear = (far[0](xs), far[1](ys))
    ends = (
        (max(xs) if rear[0] == min(xs) else min(xs), rear[1]),
        (rear[0], max(ys) if rear[1] == min(ys) else min(ys)),
    )
    for storey in storeys:
        z = storey.level_m
        if not low - 0.6 <= z <= high + 0.3:
            continue
        a, corner, b = view((*ends[0], z)), view((*rear, z)), view((*ends[1], z))
        if not all(inside.x0 <= x <= inside.x1 and inside.y0 <= y <= inside.y1 for x, y in (a, corner, b)):
            continue
        drawing.open(f"storey:{storey.name}", "level")
        drawing.path(path_data([a, corner, b]), stroke=t.line, width=0.25)
        words = clip(f"{storey.name} {show(z, Kind.LENGTH, system)}", 2.5, 40.0)
        spots = [
            s for p in (a, b, corner) for s in ring(p, width(words, 2.5), 2.4, (0.8, 2.0, 4.0, 7.0)) if s.leader is None
        ]
        spot = crowd.choose(spots)
        if spot is not None:
            drawing.text((spot.box.x0, spot.box.y1 - 0.5), words, 2.5, colour=t.mute, halo=True)
        drawing.close()


def _cut_ends(drawing: Drawing, crowd: Crowd, lines: Sequence[Line], view: View) -> None:
    """A break mark where a line goes on outside the picture."""
    for line in lines:
        for cut, bead in ((line.a is None, line.beads[0]), (line.b is None, line.beads[-1])):
            if cut:
                x, y = view(bead.at)
                drawing.path(
                    path_data([(x - 1.2, y + 0.4), (x - 0.4, y - 0.8), (x + 0.4, y + 0.8), (x + 1.2, y - 0.4)]),
                    stroke=drawing.theme.ink,
                    width=0.3,
                )
                crowd.block(around((x, y), 2.6, 2.0))


def _compass(drawing: Drawing, ways: tuple[XY, XY, XY], at: XY) -> None:
    t = drawing.theme
    drawing.open("north", "north")
    for (u, v), word in zip(ways, ("E", "N", "up"), strict=True):
        tip = (at[0] + 6.0 * u, at[1] + 6.0 * v)
        drawing.line(at, tip, t.ink, 0.5 if word == "N" else 0.25)
        drawing.text(
            (at[0] + 8.2 * u, at[1] + 8.2 * v + 0.9), word, 2.7, anchor="middle", weight=600 if word == "N" else 500
        )
    drawing.close()


def three_way_rows(
    pipework: Pipework, lines: Sequence[Line], theme: Theme, three_ways: Mapping[str, str]
) -> list[LegendRow]:
    """A sample of a three-way valve where the lines meet one."""
    met = {pipework.nodes[i].name for line in lines for i in (line.a, line.b) if i is not None}
    if met.isdisjoint(three_ways):
        return []
    ways = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0))
    return [LegendRow("three-way valve", lambda at: three_way(at, ways, 1.2, theme))]


def legend_rows(
    theme: Theme, lines: Sequence[Line], sides: Mapping[str, str], used: set[ItemKind], numbered: bool
) -> list[LegendRow]:
    """Samples of what a drawing of pipework shows."""

    def tube(side: str, at: XY) -> str:
        return tag("path", d=path_data([(at[0] - 4, at[1]), (at[0] + 4, at[1])]), stroke=theme.side(side),
                   stroke_width=weight(0.022), stroke_dasharray=DASH.get(side), fill="none")  # fmt: skip

    def item(kind: ItemKind, at: XY) -> str:
        if kind in AT_END:
            return at_end(kind, (at[0] - 1.8, at[1]), (1.0, 0.0), 1.2, theme)
        return in_line(kind, at, (1.0, 0.0), 1.2, theme)

    def number(at: XY) -> str:
        return tag(
            "rect",
            x=at[0] - 2.6,
            y=at[1] - 1.5,
            width=5.2,
            height=3.0,
            rx=1.5,
            fill=theme.sheet,
            stroke=theme.mute,
            stroke_width=0.2,
        ) + tag("text", "7–9", x=at[0], y=at[1] + 0.8, font_size=2.3, text_anchor="middle", fill=theme.ink)

    words = {"flow": "flow", "return": "return", "other": "tap water and other"}
    present = {sides.get(line.leg.name, "other") for line in lines}
    rows = [LegendRow(words[s], partial(tube, s)) for s in ("flow", "return", "other") if s in present]
    if numbered:
        rows.append(LegendRow("joint numbers", number))
    rows.extend(LegendRow(k.value, partial(item, k)) for k in ItemKind if k in used)
    return rows
