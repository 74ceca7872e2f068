"""Pressure by height: the standing column, every node of the running water beside it, and what bounds them."""

from collections.abc import Mapping, Sequence
from math import ceil, floor, log10

from wetside.basis.quantity import Kind, System, convert, number_text, show
from wetside.basis.record import record
from wetside.basis.si import Metre, Pascal
from wetside.sheets.draw.chart import nice_step
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.place import Box, Crowd, Spot, around, ring
from wetside.sheets.draw.svg import XY, Drawing, path_data
from wetside.sheets.draw.theme import DASH, LIGHT, Theme

_TYPE = 2.7


@record(kw_only=False)
class Point:
    """A node of the running water; gauge pressure."""

    name: str
    pressure_pa: Pascal
    height_m: Metre


@record(kw_only=False)
class Bound:
    """A pressure that something must not pass, at its height."""

    name: str
    pressure_pa: Pascal
    height_m: Metre


def pressure_chart(
    *,
    standing: tuple[Point, Point],
    points: Mapping[str, Point],
    lines: Sequence[tuple[str, str, str]],
    bounds: Sequence[Bound],
    storeys: Sequence[tuple[str, Metre]],
    least_pa: Pascal,
    system: System,
    theme: Theme = LIGHT,
    size: tuple[float, float] = (110.0, 84.0),
) -> str:
    """The chart as SVG text: gauge pressure to the right, height upwards.

    :param standing: foot and head of the water at rest
    :param points: nodes by name
    :param lines: side (flow, return, other) and two nodes
    :param storeys: name and height of each floor
    :param least_pa: what no place should fall under
    """
    w, h = size
    drawing = Drawing(w, h, theme, "Pressure by height", "pressure by height")
    every = [*standing, *points.values(), *(Point(b.name, b.pressure_pa, b.height_m) for b in bounds)]
    unit_p, unit_z = (show(0.0, k, system).split(" ", 1)[1] for k in (Kind.PRESSURE, Kind.LENGTH))
    high = convert(max(max(p.pressure_pa for p in every), least_pa), Kind.PRESSURE, system)
    low = min(convert(min(p.pressure_pa for p in every), Kind.PRESSURE, system), 0.0)
    step = nice_step(max(high - low, 1e-6), 6)
    first, last = floor(low / step + 1e-9) * step, ceil(high / step * 1.02) * step
    bottom, top = min(p.height_m for p in every), max(p.height_m for p in every)
    edge = max((top - bottom) * 0.07, 0.1)
    field = Box(17.0, 4.0, w - 4.0, h - 11.0)

    def at(pressure: Pascal, height: Metre) -> XY:
        u = (convert(pressure, Kind.PRESSURE, system) - first) / (last - first)
        v = (height - bottom + edge) / (top - bottom + 2 * edge)
        return (field.x0 + u * (field.x1 - field.x0), field.y1 - v * (field.y1 - field.y0))

    places = max(0, -floor(log10(step) + 1e-9))
    for k in range(round((last - first) / step) + 1):
        value = first + k * step
        x = field.x0 + k * step / (last - first) * (field.x1 - field.x0)
        drawing.line((x, field.y0), (x, field.y1), theme.grid, 0.2)
        drawing.text((x, field.y1 + 3.6), number_text(value, places), _TYPE, anchor="middle", colour=theme.mute)
    crowd = Crowd(Box(field.x0 + 0.5, 0.5, field.x1, field.y1 - 0.5))
    for name, level in storeys:
        if bottom - edge <= level <= top + edge:
            y = at(0.0, level)[1]
            drawing.line((field.x0, y), (field.x1, y), theme.line, 0.25)
            drawing.text((1.0, y - 0.7), clip(name, _TYPE, 15.0), _TYPE, colour=theme.mute)
            drawing.text((1.0, y + 2.4), show(level, Kind.LENGTH, system, 1), 2.4, colour=theme.mute)
    drawing.path(
        path_data([(field.x0, field.y0), (field.x0, field.y1), (field.x1, field.y1)]), stroke=theme.mute, width=0.3
    )
    drawing.text((field.x1, field.y1 + 8.0), f"gauge pressure, {unit_p}", _TYPE, anchor="end", colour=theme.mute)
    drawing.text((1.0, field.y1 + 8.0), f"height, {unit_z}", _TYPE, colour=theme.mute)

    line = [at(p.pressure_pa, p.height_m) for p in standing]
    drawing.path(path_data(line), stroke=theme.plum, width=0.6)
    crowd.wire(line[0], line[1], 3.0)
    least = [at(least_pa, bottom - edge), at(least_pa, top + edge)]
    drawing.path(path_data(least), stroke=theme.mute, width=0.4, dash="0.8 0.8")
    crowd.wire(least[0], least[1], 2.0)
    for side, a, b in lines:
        p, q = (at(points[n].pressure_pa, points[n].height_m) for n in (a, b))
        drawing.path(path_data([p, q], places=2), stroke=theme.side(side), width=0.4, dash=DASH.get(side))
        crowd.wire(p, q, 1.0)
    for p in points.values():
        x = at(p.pressure_pa, p.height_m)
        drawing.circle(x, 0.6, fill=theme.sheet, stroke=theme.ink, width=0.3)
        crowd.block(around(x, 1.4, 1.4))
    for b in bounds:
        x, y = at(b.pressure_pa, b.height_m)
        drawing.line((x, y - 2.2), (x, y + 2.2), theme.ink, 0.7)
        drawing.line((x, y), (x + 1.4, y), theme.ink, 0.7)
        crowd.block(around((x, y), 3.0, 4.6))
        _say(drawing, crowd, (x, y), f"{clip(b.name, _TYPE, 26.0)} {show(b.pressure_pa, Kind.PRESSURE, system, 1)}")
    lowest = min(points.values(), key=lambda p: p.pressure_pa, default=None)
    if lowest is not None:
        where = at(lowest.pressure_pa, lowest.height_m)
        _say(
            drawing, crowd, where, f"{clip(lowest.name, _TYPE, 24.0)} {show(lowest.pressure_pa, Kind.PRESSURE, system)}"
        )
    _say(drawing, crowd, line[1], "at rest, cold")
    _say(drawing, crowd, least[1], f"least {show(least_pa, Kind.PRESSURE, system, 1)}")
    return drawing.svg()


def _say(drawing: Drawing, crowd: Crowd, at: XY, words: str) -> None:
    w = width(words, _TYPE)
    spots: list[Spot] = ring(at, w, 2.6, (1.6, 3.0, 5.0, 8.0, 12.0), gap=1.0)
    spot = crowd.choose(spots)
    if spot is None:
        return
    if spot.leader is not None:
        drawing.line(*spot.leader, drawing.theme.mute, 0.18)
    drawing.text((spot.box.x0, spot.box.y1 - 0.55), words, _TYPE, halo=True)
