"""Schematic of the near-boiler pipework: the real pipework seen from the front, drawn out until symbols and numbers
fit, with temperatures and flows, and with what each tube leads to."""

from collections.abc import Mapping, Sequence

from wetside.basis.quantity import Kind, System, show, tape
from wetside.basis.si import Celsius, KgPerSecond, Metre
from wetside.emitter.spec import Emitter
from wetside.fluid.water import liquid
from wetside.house.spec import House
from wetside.network.reading import FlowReading, LegFlow
from wetside.network.spec import Boiler, Tank
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item, ItemKind
from wetside.sheets.draw.border import BLOCK_W, drawing_size, frame, legend, legend_height, title_block
from wetside.sheets.draw.equipment import (
    draw_boxed,
    draw_slab,
    name_slab,
    named_points,
    named_valves,
    owners,
    write_names,
)
from wetside.sheets.draw.front import leads_cut_short, moved_aside, seen_from_front
from wetside.sheets.draw.isometric import legend_rows, three_way_rows
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.lines import Line, near_boiler, serves
from wetside.sheets.draw.place import Box, Crowd, Spot, around, beside, ring
from wetside.sheets.draw.scene import Scene
from wetside.sheets.draw.sides import shared_legs
from wetside.sheets.draw.stretch import View
from wetside.sheets.draw.svg import XY, Drawing
from wetside.sheets.draw.symbols import arrow
from wetside.sheets.draw.theme import LIGHT, Theme
from wetside.sheets.draw.tubes import Stroke, draw_fittings, draw_tubes, kinds_of, strokes_of, way

SYMBOL = 2.2
CLEARANCE = 7.0
STILL = 1e-4
"""Flow below which a tube counts as standing, kg/s."""


def flow_text(flow_kg_s: KgPerSecond, at_c: Celsius, system: System, glycol_share: float = 0.0) -> str:
    """Water flow as its trade says it: kg/h, or gallons a minute of water as warm as it is."""
    if system is System.US:
        return show(flow_kg_s / liquid(glycol_share).density(at_c), Kind.FLOW, system, 1)
    return show(flow_kg_s, Kind.MASS_FLOW, system)


def schematic(
    pipework: Pipework,
    *,
    house: House,
    emitters: Sequence[Emitter],
    boilers: Sequence[Boiler],
    flow: FlowReading | None,
    sides: Mapping[str, str],
    system: System,
    tanks: Sequence[Tank] = (),
    theme: Theme = LIGHT,
    glycol_share: float = 0.0,
    three_ways: Mapping[str, str] | None = None,
    reach: Metre = 2.4,
    title: str = "Schematic of the boiler",
    job: str = "",
    size: tuple[float, float] | None = None,
) -> str:
    """The schematic as SVG text; what lies farther than `reach` from the boiler is cut off and said in words.

    :param sides: side of each leg by name, from `wetside.sheets.draw.sides`
    :param three_ways: names of three-way valves by the tee that each stands in place of
    :param flow: temperatures and flows; none are printed without it
    """
    w, h = size or drawing_size("us-letter" if system is System.US else "a4")
    drawing = Drawing(w, h, theme, title, f"schematic {title}")
    names, three_ways = [b.name for b in boilers], three_ways or {}
    lines = near_boiler(pipework, names, reach)
    whole = frame(drawing)
    rows = legend_rows(theme, lines, sides, kinds_of(lines, pipework), numbered=False)
    rows.extend(three_way_rows(pipework, lines, theme, three_ways))
    strip = legend_height(rows, w - BLOCK_W - 8.0) + 3.4
    if not lines:
        drawing.text((w / 2, h / 2), "no tube at the boiler yet", 5.0, anchor="middle", colour=theme.mute)
        title_block(drawing, None, title, [job])
        return drawing.svg()
    ways, eye, row = seen_from_front(pipework, names, house)
    pipework, lines = moved_aside(pipework, leads_cut_short(lines, row), row)
    found = owners(pipework, lines)
    shown = [e for e in emitters if e.name in found]
    scene = Scene(lines, shown, found, SYMBOL, CLEARANCE, 20.0, 0.0, 0.45)
    field = Box(whole.x0 + 24, whole.y0 + 10, whole.x1 - 24, whole.y1 - strip - 8)
    view = scene.spread(scene.needs(), ways, eye, field)
    strokes = strokes_of(lines, view)
    crowd = Crowd(Box(whole.x0 + 1, whole.y0 + 1, whole.x1 - 1, whole.y1 - strip + 1))
    for s in strokes:
        crowd.wire(s.a, s.b)
    for e in shown:
        draw_slab(drawing, e, view)
    notes = _notes(boilers, tanks, system)
    for owner, nodes in sorted(found.items(), key=lambda o: view.depth(o[1][0].at)):
        draw_boxed(drawing, crowd, owner, nodes, view, 20.0, notes=notes.get(owner, ()))
    draw_tubes(drawing, lines, strokes, sides)
    draw_fittings(drawing, crowd, lines, view, pipework, SYMBOL, three_ways)
    legs = {g.name: g for g in flow.legs} if flow is not None else {}
    _tee_distance(drawing, crowd, pipework, lines, view, system)
    _arrows(drawing, crowd, lines, strokes, legs)
    _leads(drawing, crowd, pipework, lines, view, emitters, legs, sides)
    for e in shown:
        name_slab(drawing, crowd, e, view)
    valves = named_valves(pipework, lines, view, three_ways, SYMBOL)
    write_names(drawing, crowd, [*valves, *named_points(found, view, SYMBOL)])
    _named_items(drawing, crowd, lines, view, flow, system)
    _numbers(drawing, crowd, lines, strokes, legs, system, glycol_share)
    legend(drawing, None, rows, (whole.x0 + 3.0, whole.y1 - strip + 2.4), lowest=whole.y1 - 1.0)
    said = "seen from the front, not to scale"
    title_block(drawing, None, title, [job, f"{said}; on the design day" if legs else said])
    return drawing.svg()


def _notes(boilers: Sequence[Boiler], tanks: Sequence[Tank], system: System) -> dict[str, tuple[str, ...]]:
    found = {
        b.name: (show(b.output_w, Kind.POWER, system), f"set to {show(b.flow_c, Kind.TEMPERATURE, system, 0)}")
        for b in boilers
    }
    found.update(
        (t.name, (show(t.volume_m3, Kind.WATER_VOLUME, system, 0), show(t.store_c, Kind.TEMPERATURE, system, 0)))
        for t in tanks
    )
    return found


def _longest(strokes: Sequence[Stroke], line: int) -> list[Stroke]:
    return sorted((s for s in strokes if s.line == line), key=lambda s: (-s.length, s.part))


def _arrows(
    drawing: Drawing, crowd: Crowd, lines: Sequence[Line], strokes: Sequence[Stroke], legs: Mapping[str, LegFlow]
) -> None:
    """Which way the water goes: a head on the longest part of each tube."""
    for i, line in enumerate(lines):
        leg = legs.get(line.leg.name)
        if leg is None or abs(leg.flow_kg_s) < STILL:
            continue
        for s in _longest(strokes, i)[:3]:
            if s.length < 6.0:
                break
            forward = leg.flow_kg_s > 0
            a, b = (s.a, s.b) if forward else (s.b, s.a)
            along = way(a, b)
            if along is None:
                continue
            spots = [(a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])) for f in (0.5, 0.35, 0.65, 0.25, 0.8)]
            tip = next((p for p in spots if crowd.free(around(p, 2.6, 2.6))), None)
            if tip is not None:
                drawing.add(arrow(tip, along, 1.25, drawing.theme.ink))
                crowd.block(around((tip[0] - 1.2 * along[0], tip[1] - 1.2 * along[1]), 2.4, 2.4))
                break


def _leads(
    drawing: Drawing, crowd: Crowd, pipework: Pipework, lines: Sequence[Line], view: View,
    emitters: Sequence[Emitter], legs: Mapping[str, LegFlow], sides: Mapping[str, str],
) -> None:  # fmt: skip
    """An open arrow and words at each tube that goes on outside the picture."""
    t = drawing.theme
    room_of = {e.name: e.room for e in emitters}
    near = {i for k in lines for i in (k.a, k.b) if i is not None}
    direct = {k.leg.name: serves(pipework, k, near=near) for k in lines if k.a is None or k.b is None}
    for line in lines:
        if line.a is not None and line.b is not None:
            continue
        first = line.a is None
        at = view(line.beads[0 if first else -1].at)
        before = view(line.beads[1 if first else -2].at)
        out = way(before, at)
        if out is None:
            continue
        leg = legs.get(line.leg.name)
        outward = sides.get(line.leg.name) != "return"
        if leg is not None and abs(leg.flow_kg_s) >= STILL:
            outward = (leg.flow_kg_s > 0) != first
        tip = (at[0] + 2.6 * out[0], at[1] + 2.6 * out[1]) if outward else at
        heading = out if outward else (-out[0], -out[1])
        drawing.add(arrow(tip, heading, 1.6, t.side(sides.get(line.leg.name, "other"))))
        others = {o for k, names in direct.items() if k != line.leg.name for o in names}
        after = (o for o in serves(pipework, line, near=near, through=True) if o not in others)
        places = list(dict.fromkeys(room_of.get(o, o) for o in (*direct[line.leg.name], *after)))
        words = ", ".join(places[:3]) + (f" and {len(places) - 3} more" if len(places) > 3 else "")
        if not words:
            continue
        words = clip(f"{'to' if outward else 'from'} {words}", 2.9, 62.0)
        far = (at[0] + 3.0 * out[0], at[1] + 3.0 * out[1])
        crowd.block(around((at[0] + 1.3 * out[0], at[1] + 1.3 * out[1]), 2.8, 2.8))
        w = width(words, 2.9, weight=600)
        straight = Spot(around((far[0] + out[0] * (w / 2 + 0.8), far[1] + out[1] * 1.8), w, 2.7), -0.5)
        spot = crowd.choose([straight, *ring(far, w, 2.7, (0.8, 2.0, 4.0, 7.0, 11.0, 16.0, 22.0))])
        if spot is not None:
            if spot.leader is not None:
                drawing.line(*spot.leader, t.mute, 0.18)
            drawing.text((spot.box.x0, spot.box.y1 - 0.5), words, 2.9, weight=600, halo=True)


def _tee_distance(
    drawing: Drawing, crowd: Crowd, pipework: Pipework, lines: Sequence[Line], view: View, system: System
) -> None:
    """The distance between centres of closely spaced tees, as a dimension beside them."""
    t = drawing.theme
    shared = shared_legs(pipework)
    for line in lines:
        if line.leg.name not in shared or line.a is None or line.b is None:
            continue
        a, b = view(line.beads[0].at), view(line.beads[-1].at)
        along = way(a, b)
        if along is None:
            continue
        words = tape(line.leg.length_m, system)
        w = width(words, 2.7, weight=600)
        best: tuple[Spot, XY] | None = None
        spots: list[tuple[Spot, XY]] = []
        for off in (4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0, 9.5, 11.0, 13.0, 15.0, 18.0):
            for s in (1, -1):
                n = (-along[1] * s * off, along[0] * s * off)
                middle = ((a[0] + b[0]) / 2 + n[0] * 1.0, (a[1] + b[1]) / 2 + n[1] * 1.0)
                lift = (n[0] / off * (abs(n[0]) / off * w / 2 + 1.8), n[1] / off * 2.2)
                spots.append((Spot(around((middle[0] + lift[0], middle[1] + lift[1]), w, 2.6), off * 0.1), n))
                # where there is no room over the line, the number stands beyond one of its ends
                aside = abs(along[0]) * w / 2 + abs(along[1]) * 1.3 + 1.6
                for end, f in ((b, 1.0), (a, -1.0)):
                    x, y = end[0] + n[0] + f * along[0] * aside, end[1] + n[1] + f * along[1] * aside
                    spots.append((Spot(around((x, y), w, 2.6), off * 0.1 + 0.3), n))
        chosen = crowd.choose([s for s, _ in spots])
        best = next(((s, n) for s, n in spots if s is chosen), None)
        if best is None:
            continue
        spot, n = best
        p, q = (a[0] + n[0], a[1] + n[1]), (b[0] + n[0], b[1] + n[1])
        drawing.open(f"dimension:{line.leg.name}", "dimension")
        for end, foot in ((p, a), (q, b)):
            f = 1.6 / (n[0] ** 2 + n[1] ** 2) ** 0.5
            drawing.line(
                (foot[0] + n[0] * f, foot[1] + n[1] * f),
                (end[0] + n[0] * f * 0.6, end[1] + n[1] * f * 0.6),
                t.ink,
                0.18,
            )
            drawing.line((end[0] - 0.8, end[1] + 0.8), (end[0] + 0.8, end[1] - 0.8), t.ink, 0.4)
        drawing.line(p, q, t.ink, 0.18)
        drawing.text((spot.box.x0, spot.box.y1 - 0.5), words, 2.7, weight=600, halo=True)
        drawing.close()
        crowd.wire(p, q, 2.0)


def _item_words(item: Item, flow: FlowReading | None, system: System) -> list[str]:
    """Name of an item that has one of its own; a circulator also says its duty."""
    words = [item.name] if item.name != item.kind.value or item.kind is ItemKind.CIRCULATOR else []
    if item.kind is ItemKind.CIRCULATOR and flow is not None:
        duty = next((c for c in flow.circulators if c.name == item.name), None)
        if duty is not None:
            kind = Kind.FLOW
            words.append(f"{show(duty.flow_m3_s, kind, system)} at {show(duty.cold_pa, Kind.HEAD, system)}")
    return words


def _named_items(
    drawing: Drawing, crowd: Crowd, lines: Sequence[Line], view: View, flow: FlowReading | None, system: System
) -> None:
    for line in lines:
        for bead in line.beads:
            if bead.item is None:
                continue
            words = [clip(x, 2.6, 34.0) for x in _item_words(bead.item.item, flow, system)]
            if words:
                _note(drawing, crowd, view(bead.at), words, SYMBOL + 0.6)


def _note(drawing: Drawing, crowd: Crowd, at: XY, words: Sequence[str], gap: float) -> None:
    """Lines of type near a point."""
    w = max(width(x, 2.6, weight=600) for x in words)
    spot = crowd.choose(ring(at, w, 3.1 * len(words), (gap + 0.6, 4.5, 6.5, 9.0, 12.0, 16.0, 21.0), gap=gap))
    if spot is None:
        return
    if spot.leader is not None:
        drawing.line(*spot.leader, drawing.theme.mute, 0.18)
    for k, x in enumerate(words):
        drawing.text((spot.box.x0, spot.box.y0 + 2.4 + 3.1 * k), x, 2.6, weight=500 if k else 600, halo=True)


def _numbers(
    drawing: Drawing, crowd: Crowd, lines: Sequence[Line], strokes: Sequence[Stroke], legs: Mapping[str, LegFlow],
    system: System, glycol_share: float,
) -> None:  # fmt: skip
    """Size, temperature and flow beside each tube; what stands still shows its size alone."""
    t = drawing.theme
    order = sorted(range(len(lines)), key=lambda i: (-sum(s.length for s in strokes if s.line == i), i))
    for i in order:
        line = lines[i]
        parts = _longest(strokes, i)
        if not parts:
            continue
        words = [parts[0].tube.size]
        leg = legs.get(line.leg.name)
        if leg is not None and abs(leg.flow_kg_s) >= STILL:
            mean = (leg.start_c + leg.end_c) / 2
            words.append(show(mean, Kind.TEMPERATURE, system))
            words.append(flow_text(abs(leg.flow_kg_s), mean, system, glycol_share))
        flat, stacked = "   ".join(words), words
        spots: list[tuple[Spot, bool]] = []
        for rank, s in enumerate(parts[:3]):
            if s.length < 3.0:
                continue
            level = abs(s.a[1] - s.b[1]) < abs(s.a[0] - s.b[0])
            for one in (True, False) if level else (False, True):
                w = width(flat, 2.6) if one else max(width(x, 2.6) for x in stacked)
                high = 2.5 if one else 3.0 * len(stacked)
                for spot in beside(s.a, s.b, w, high, off=1.1):
                    extra = 0.0 if one == level else 0.6
                    spots.append((Spot(spot.box, spot.dislike + extra + 0.8 * rank), one))
        middle = ((parts[0].a[0] + parts[0].b[0]) / 2, (parts[0].a[1] + parts[0].b[1]) / 2)
        w = max(width(x, 2.6) for x in stacked)
        spots.extend(
            (Spot(s.box, s.dislike + 3.0, s.leader), False)
            for s in ring(middle, w, 3.0 * len(stacked), (4.0, 7.0, 10.0, 14.0, 19.0, 25.0))
        )
        chosen = crowd.choose([s for s, _ in spots], most=12.0)
        if chosen is None:
            continue
        one = next(o for s, o in spots if s is chosen)
        if chosen.leader is not None:
            drawing.line(*chosen.leader, t.mute, 0.18)
        box = chosen.box
        if one:
            drawing.text((box.x0, box.y1 - 0.5), flat, 2.6, halo=True)
            continue
        for k, x in enumerate(stacked):
            drawing.text(
                (box.x0, box.y0 + 2.3 + 3.0 * k), x, 2.6, weight=500, colour=t.mute if k == 0 else None, halo=True
            )
