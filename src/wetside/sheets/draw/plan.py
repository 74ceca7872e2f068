"""Plan of one storey, drawn to a scale that a rule on paper reads."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial

from wetside.basis.quantity import Kind, System, show
from wetside.basis.rules import Verdict
from wetside.emitter.spec import Emitter
from wetside.house.reading import HouseLoad, PlacedOpening, RoomLoad
from wetside.house.spec import House, Point, Room
from wetside.network.reading import FlowReading
from wetside.pipework.reading import Pipework
from wetside.sheets.draw.border import (
    LegendRow,
    Ruler,
    drawing_size,
    frame,
    legend,
    north_arrow,
    rulers,
    scale_bar,
    title_block,
)  # fmt: skip
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.lines import lines_of
from wetside.sheets.draw.marks import mark, pattern
from wetside.sheets.draw.place import Box, Crowd, Spot, around, ring
from wetside.sheets.draw.plan_tubes import band, draw_plan_tubes, label_plan_tubes, stretches
from wetside.sheets.draw.svg import XY, Drawing, path_data, tag
from wetside.sheets.draw.theme import DASH, LIGHT, Theme
from wetside.sheets.draw.tubes import weight
from wetside.sheets.draw.walls import draw_openings, draw_walls, inside, outer_thickness, wall_boxes, walls_of

SCALES = {System.METRIC: (20, 25, 50, 75, 100, 150, 200, 500), System.US: (24, 32, 48, 64, 96, 128, 192, 384)}
"""1 to how many: the usual metric scales; for US jobs 1/2, 3/8, 1/4, 3/16, 1/8, 3/32, 1/16, 1/32 inch to the foot."""
_US_SAID = {24: "1/2", 32: "3/8", 48: "1/4", 64: "3/16", 96: "1/8", 128: "3/32", 192: "1/16", 384: "1/32"}
STRIP = 17.6
_LABEL = 3.6


def scale_said(scale: int, system: System) -> str:
    """The scale as drawings say it."""
    return f"scale {_US_SAID[scale]} in = 1 ft (1:{scale})" if system is System.US else f"scale 1:{scale}"


def choose_scale(wide_m: float, high_m: float, room: Box, system: System) -> int:
    """The largest usual scale at which that extent fits the room."""
    for scale in SCALES[system]:
        if wide_m * 1000 / scale <= room.x1 - room.x0 and high_m * 1000 / scale <= room.y1 - room.y0:
            return scale
    return SCALES[system][-1]


def plan(
    *,
    house: House,
    storey: str,
    load: HouseLoad,
    openings: Sequence[PlacedOpening],
    emitters: Sequence[Emitter],
    pipework: Pipework | None,
    flow: FlowReading | None,
    sides: Mapping[str, str],
    system: System,
    verdicts: Mapping[str, Verdict] | None = None,
    theme: Theme = LIGHT,
    job: str = "",
    size: tuple[float, float] | None = None,
) -> str:
    """The plan as SVG text: walls, openings, rooms with load and output, emitters, equipment, tubes, risers.

    :param verdicts: verdict of each room by name; a room without one carries no mark
    :param flow: outputs of the emitters; without it the rooms show their load alone
    """
    w, h = size or drawing_size("us-letter" if system is System.US else "a4")
    drawing = Drawing(w, h, theme, f"Plan, {storey}", f"plan {storey}")
    rooms = [r for r in house.rooms if r.storey == storey and r.outline]
    whole = frame(drawing)
    field = Box(whole.x0 + 9.0, whole.y0 + 7.0, whole.x1 - 2.0, whole.y1 - STRIP)
    if not rooms:
        drawing.text((w / 2, h / 2), "no room with an outline on this storey", 5.0, anchor="middle", colour=theme.mute)
        title_block(drawing, None, storey, [job])
        return drawing.svg()
    walls = walls_of(house, load, storey)
    edge = outer_thickness(house, walls)
    # all storeys share one extent, so that sheets laid on one another fit
    every = [p for r in house.rooms for p in r.outline]
    x0, x1 = min(x for x, _ in every) - edge, max(x for x, _ in every) + edge
    y0, y1 = min(y for _, y in every) - edge, max(y for _, y in every) + edge
    scale = choose_scale(x1 - x0, y1 - y0, Box(field.x0 + 1.5, field.y0 + 1.5, field.x1 - 1.5, field.y1 - 1.5), system)
    per_m = 1000.0 / scale
    mx, my = field.middle
    rx = Ruler(round(mx - per_m * (x0 + x1) / 2, 1), per_m)
    ry = Ruler(round(my + per_m * (y0 + y1) / 2, 1), -per_m)

    def paper(p: Point) -> XY:
        return (rx(p[0]), ry(p[1]))

    crowd = Crowd(Box(field.x0 + 0.5, field.y0 + 0.5, field.x1, field.y1))
    loads = {r.name: r for r in load.rooms}
    verdict_of = verdicts or {}
    for room in rooms:
        _floor(drawing, room, verdict_of.get(room.name), paper)
    draw_walls(drawing, house, walls, paper)
    draw_openings(drawing, house, walls, [o for o in openings if o.storey == storey], paper, per_m)
    for a, b, *_ in walls:
        crowd.wire(paper(a), paper(b), 3.0)
    for box in wall_boxes(house, walls, paper):
        crowd.block(box)
    names = {r.name for r in house.rooms if r.storey == storey}
    here = [e for e in emitters if e.room in names]
    for e in here:
        _emitter(drawing, crowd, e, paper)
    flat, aside = [], False
    lines = lines_of(pipework) if pipework is not None else []
    low, high = band(house, storey)
    if pipework is not None:
        found = stretches(lines, low, high)
        named = _equipment(drawing, crowd, pipework, low, high, paper)
        flat, aside = draw_plan_tubes(drawing, crowd, lines, found, sides, paper)
        _equipment_names(drawing, crowd, named)
    for room in rooms:
        _room_label(drawing, crowd, room, loads.get(room.name), here, flow, verdict_of.get(room.name), paper, system)
    for e in here:
        _emitter_name(drawing, crowd, e, paper)
    label_plan_tubes(drawing, crowd, lines, flat)
    rulers(drawing, rx, ry, field, system)
    base = whole.y1 - STRIP
    drawing.line((whole.x0, base), (whole.x1, base), theme.line, 0.25)
    scale_bar(drawing, (whole.x0 + 9.0, base + 4.0), per_m, system)
    words = scale_said(scale, system)
    drawing.text((whole.x0 + 9.0, base + 13.6), words, 3.0, weight=600)
    north_arrow(drawing, (whole.x0 + 68.0, base + 9.8))
    rows = _legend_rows(theme, sides, bool(lines), any(not r.heated for r in rooms), drawing)
    legend(drawing, None, rows, (whole.x0 + 80.0, base + 1.2), lowest=whole.y1 - 0.5)
    said = [job, f"{words} when printed at full size"]
    if aside:
        said.append("tube over tube is drawn beside it; risers stand true")
    title_block(drawing, None, f"Plan, {storey}", said)
    return drawing.svg()


def _floor(drawing: Drawing, room: Room, verdict: Verdict | None, paper: Callable[[Point], XY]) -> None:
    t = drawing.theme
    data = path_data([paper(p) for p in room.outline], closed=True)
    drawing.open(f"room:{room.name}", "room" if room.heated else "room unheated")
    if not room.heated:
        drawing.path(data, fill=pattern(drawing, "unheated"))
    elif verdict is not None and verdict is not Verdict.HOLDS:
        drawing.path(data, fill=pattern(drawing, verdict))
    else:
        drawing.path(data, fill=t.sheet)
    drawing.close()


def _bar(e: Emitter) -> list[Point]:
    (x, y, _), (u, v), h = e.at, e.along, e.length_m / 2
    deep = max(e.depth_m, 0.06)
    inward = (v * deep, -u * deep)
    a, b = (x - h * u, y - h * v), (x + h * u, y + h * v)
    return [a, b, (b[0] + inward[0], b[1] + inward[1]), (a[0] + inward[0], a[1] + inward[1])]


def _emitter(drawing: Drawing, crowd: Crowd, e: Emitter, paper: Callable[[Point], XY]) -> None:
    t = drawing.theme
    points: list[XY] = [paper(p) for p in _bar(e)]
    drawing.open(f"emitter:{e.name}", "emitter")
    drawing.path(path_data(points, closed=True), fill=t.slab, stroke=t.ink, width=0.4)
    drawing.close()
    xs, ys = [x for x, _ in points], [y for _, y in points]
    crowd.block(Box(min(xs), min(ys), max(xs), max(ys)))


def _emitter_name(drawing: Drawing, crowd: Crowd, e: Emitter, paper: Callable[[Point], XY]) -> None:
    points = _bar(e)
    at: XY = paper(((points[2][0] + points[3][0]) / 2, (points[2][1] + points[3][1]) / 2))
    words = clip(e.name, 2.9, 30.0, weight=600)
    spot = crowd.choose(ring(at, width(words, 2.9, weight=600), 2.7, (1.2, 2.4, 4.0, 6.5, 9.0, 13.0)))
    if spot is not None:
        if spot.leader is not None:
            drawing.line(*spot.leader, drawing.theme.mute, 0.18)
        drawing.text((spot.box.x0, spot.box.y1 - 0.5), words, 2.9, weight=600, halo=True)


def _equipment(
    drawing: Drawing, crowd: Crowd, pipework: Pipework, low: float, high: float, paper: Callable[[Point], XY]
) -> list[tuple[str, Box, bool]]:
    """A box about the ports of each thing that isn't an emitter; answers what is to be named."""
    t = drawing.theme
    found: dict[tuple[str, str], list[Point]] = {}
    for node in pipework.nodes:
        if node.port is None or node.port.owner_kind == "emitter" or not low <= node.at[2] < high:
            continue
        found.setdefault((node.port.owner_kind, node.port.owner), []).append(node.at[:2])
    named: list[tuple[str, Box, bool]] = []
    for (kind, owner), points in found.items():
        flat = [paper(p) for p in points]
        big = kind in ("boiler", "tank")
        xs, ys = [x for x, _ in flat], [y for _, y in flat]
        box = Box(min(xs), min(ys), max(xs), max(ys)).grown(2.4 if big else 1.0)
        drawing.open(f"{kind}:{owner}", "equipment")
        drawing.rect(
            box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0, fill=t.sheet, stroke=t.ink, width=0.5 if big else 0.3,
            round_=0.5,
        )  # fmt: skip
        drawing.close()
        crowd.block(box)
        named.append((owner, box, big))
    return sorted(named, key=lambda n: not n[2])


def _equipment_names(drawing: Drawing, crowd: Crowd, named: Sequence[tuple[str, Box, bool]]) -> None:
    for owner, box, big in named:
        weight_ = 600 if big else 500
        words = clip(owner, 2.7, 34.0, weight=weight_)
        half = min(box.x1 - box.x0, box.y1 - box.y0) / 2
        far = (half + 0.8, half + 3.0, 7.0, 10.0, 14.0, 19.0, 25.0, 32.0)
        spot = crowd.choose(ring(box.middle, width(words, 2.7, weight=weight_), 2.6, far, gap=half))
        if spot is not None:
            if spot.leader is not None:
                drawing.line(*spot.leader, drawing.theme.mute, 0.18)
            drawing.text((spot.box.x0, spot.box.y1 - 0.5), words, 2.7, weight=weight_, halo=True)


def _rows(
    room: Room, loaded: RoomLoad | None, emitters: Sequence[Emitter], flow: FlowReading | None, system: System
) -> tuple[str, tuple[str, str] | None, str]:
    """Temperature, load and output, and a single number where there is no pair."""
    if loaded is None:
        return "", None, ""
    warm = show(loaded.inside_c, Kind.TEMPERATURE, system, 0)
    if not room.heated:
        return f"unheated, {warm}", None, ""
    need = show(loaded.load_w, Kind.POWER, system, unit=False)
    mine = {e.name for e in emitters if e.room == room.name}
    if not mine:
        return warm, None, f"{show(loaded.load_w, Kind.POWER, system)}, no emitter"
    if flow is None:
        return warm, None, show(loaded.load_w, Kind.POWER, system)
    given = sum(f.output_w for f in flow.emitters if f.name in mine)
    return warm, (need, show(given, Kind.POWER, system)), ""


def _room_label(
    drawing: Drawing, crowd: Crowd, room: Room, loaded: RoomLoad | None, emitters: Sequence[Emitter],
    flow: FlowReading | None, verdict: Verdict | None, paper: Callable[[Point], XY], system: System,
) -> None:  # fmt: skip
    """Mark and word, name, temperature, load → output, where the room is emptiest."""
    t = drawing.theme
    flat: list[XY] = [paper(p) for p in room.outline]
    xs, ys = [x for x, _ in flat], [y for _, y in flat]
    wide = max(xs) - min(xs)
    name = clip(room.name, _LABEL, min(wide - 3.0, 46.0), weight=600, narrow=False)
    warm, pair, single = _rows(room, loaded, emitters, flow, system)
    lines = [warm, single or ("" if pair is None else f"{pair[0]}  →  {pair[1]}")]
    word = verdict.value if verdict is not None else ""
    w = max(width(name, _LABEL, weight=600, narrow=False), *(width(x, 3.0) for x in lines), width(word, 3.0) + 5.0)
    high = 4.4 + sum(3.8 for x in lines if x) + (4.6 if verdict is not None else 0.0)
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    spots: list[Spot] = []
    for i in range(-9, 10):
        for j in range(-9, 10):
            at = (middle[0] + i * wide / 20, middle[1] + j * (max(ys) - min(ys)) / 20)
            box = around(at, w + 1.0, high)
            if all(inside(flat, p) for p in ((box.x0, box.y0), (box.x1, box.y0), (box.x0, box.y1), (box.x1, box.y1))):
                spots.append(Spot(box, (i * i + j * j) * 0.05))
    spots.sort(key=lambda s: s.dislike)
    spot = crowd.choose(spots or ring(middle, w, high, (0.0, 6.0, 12.0, 20.0)))
    if spot is None:
        return
    x, y = spot.box.middle[0], spot.box.y0
    drawing.open(f"label:{room.name}", "room-label")
    drawing.rect(spot.box.x0, y, w + 1.0, high, fill=t.sheet, opacity=0.88, round_=1.0)
    if verdict is not None:
        long = 4.4 + width(word, 3.0, weight=600)
        drawing.add(mark(verdict, (x - long / 2 + 1.8, y + 2.3), 3.6, t))
        drawing.text((x - long / 2 + 4.4, y + 3.3), word, 3.0, weight=600, colour=t.verdict(verdict))
        y += 4.6
    drawing.text((x, y + 3.4), name, _LABEL, anchor="middle", weight=600, narrow=False)
    y += 4.4
    if warm:
        drawing.text((x, y + 2.9), warm, 3.0, anchor="middle", colour=t.mute)
        y += 3.8
    if single:
        drawing.text((x, y + 2.9), single, 3.0, anchor="middle")
    elif pair is not None:
        _pair(drawing, (x, y + 2.9), pair)
    drawing.close()


def _pair(drawing: Drawing, at: XY, pair: tuple[str, str]) -> None:
    """Load, an arrow (drawn, for the type has none), output."""
    a, b = width(pair[0], 3.0), width(pair[1], 3.0)
    x = at[0] - (a + 6.0 + b) / 2
    y = at[1]
    t = drawing.theme
    drawing.text((x, y), pair[0], 3.0)
    x += a + 1.2
    drawing.line((x, y - 1.0), (x + 2.8, y - 1.0), t.ink, 0.25)
    drawing.path(
        path_data([(x + 2.2, y - 1.6), (x + 3.6, y - 1.0), (x + 2.2, y - 0.4)], closed=True, places=2), fill=t.ink
    )
    drawing.text((x + 4.8, y), pair[1], 3.0)


def _legend_rows(
    theme: Theme, sides: Mapping[str, str], tubes: bool, unheated: bool, drawing: Drawing
) -> list[LegendRow]:
    def tube(side: str, at: XY) -> str:
        return tag("path", d=path_data([(at[0] - 4, at[1]), (at[0] + 4, at[1])]), stroke=theme.side(side),
                   stroke_width=weight(0.022), stroke_dasharray=DASH.get(side), fill="none")  # fmt: skip

    def riser(at: XY, way: float = 1.0) -> str:
        small = Drawing(1, 1, theme, "", "x")
        x, y = at
        small.circle((x - 1.0, y), 1.2, fill=theme.sheet, stroke=theme.ink, width=0.45)
        small.circle((x - 1.0, y), 0.4, fill=theme.ink)
        small.line((x + 1.4, y + 1.3 * way), (x + 1.4, y - 0.4 * way), theme.ink, 0.3)
        tip = [(x + 0.8, y - 0.3 * way), (x + 2.0, y - 0.3 * way), (x + 1.4, y - 1.5 * way)]
        small.path(path_data(tip, closed=True, places=2), fill=theme.ink)
        return "".join(small.parts)

    def cold(at: XY) -> str:
        return tag(
            "rect",
            x=at[0] - 3.5,
            y=at[1] - 1.5,
            width=7.0,
            height=3.0,
            fill=pattern(drawing, "unheated"),
            stroke=theme.line,
            stroke_width=0.2,
        )

    words = {"flow": "flow", "return": "return", "other": "tap water, other"}
    present = set(sides.values())
    rows = [LegendRow(words[s], partial(tube, s)) for s in words if s in present] if tubes else []
    if tubes:
        rows.append(LegendRow("riser, goes up", riser))
        rows.append(LegendRow("riser, goes down", partial(riser, way=-1.0)))
    if unheated:
        rows.append(LegendRow("unheated", cold))
    return rows
