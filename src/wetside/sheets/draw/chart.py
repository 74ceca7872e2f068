"""A circulator's curve against what the pipework asks for, with the duty point."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import ceil, floor, log10

from wetside.basis.quantity import Kind, System, convert, number_text, show
from wetside.basis.si import M3PerSecond, Pascal
from wetside.network.assemble import curve_of
from wetside.network.curve import ends_at, head_at
from wetside.network.reading import CirculatorFlow
from wetside.network.spec import Circulator
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.place import Box, Crowd, Spot, around, ring
from wetside.sheets.draw.svg import XY, Drawing, path_data
from wetside.sheets.draw.theme import LIGHT, Theme

_TYPE = 2.7


def nice_step(span: float, count: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that parts the span into at most `count`."""
    rough = span / count
    power = 10.0 ** floor(log10(rough))
    return next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= rough * (1 - 1e-9))


def duty_chart(
    circulator: Circulator,
    *,
    duty: CirculatorFlow | None,
    system: System,
    theme: Theme = LIGHT,
    size: tuple[float, float] = (110.0, 66.0),
) -> str:
    """The chart as SVG text: curve solid, pipework dashed, duty point a ring; both are said in words on the lines.

    The pipework's line is the parabola through the duty point: turbulent tube and fittings with every valve as it
    stands (common practice). Heads are metres of the liquid, so that the curve holds for warm water as for cold.
    """
    w, h = size
    drawing = Drawing(w, h, theme, f"Duty of {circulator.name}", f"duty {circulator.name}")
    net = curve_of(circulator)
    end = ends_at(circulator.terms) if circulator.terms else max(q for q, _ in circulator.points)
    last_q = end * circulator.speed
    curve = [(q, max(0.0, head_at(net, q))) for q in (last_q * k / 40 for k in range(41))]
    most_q: M3PerSecond = max(q for q, _ in curve)
    most_h: Pascal = max(p for _, p in curve)
    if duty is not None:
        most_q, most_h = max(most_q, duty.flow_m3_s * 1.15), max(most_h, duty.cold_pa * 1.15)
    flow_unit = show(0.0, Kind.FLOW, system).split(" ", 1)[1]
    head_unit = show(0.0, Kind.HEAD, system).split(" ", 1)[1]
    high_q, high_h = convert(most_q, Kind.FLOW, system), convert(most_h, Kind.HEAD, system)
    step_q, step_h = nice_step(high_q, 6), nice_step(high_h, 5)
    end_q, end_h = ceil(high_q / step_q - 1e-9) * step_q, ceil(high_h / step_h * 1.03) * step_h
    field = Box(12.0, 8.5, w - 4.0, h - 11.0)

    def at(q: M3PerSecond, p: Pascal) -> XY:
        u, v = convert(q, Kind.FLOW, system) / end_q, convert(p, Kind.HEAD, system) / end_h
        return (field.x0 + u * (field.x1 - field.x0), field.y1 - v * (field.y1 - field.y0))

    _axes(drawing, field, (end_q, step_q), (end_h, step_h), (flow_unit, head_unit))
    crowd = Crowd(Box(field.x0 + 0.5, 0.5, field.x1, field.y1 - 0.5))
    _wired(crowd, line := [at(q, p) for q, p in curve])
    drawing.path(path_data(line), stroke=theme.plum, width=0.7)
    resistance: list[XY] = []
    if duty is not None and duty.flow_m3_s > 0:
        c = duty.cold_pa / duty.flow_m3_s**2
        last = min(most_q, (most_h * 1.03 / c) ** 0.5 if c > 0 else most_q)
        resistance = [at(last * k / 40, c * (last * k / 40) ** 2) for k in range(41)]
        _wired(crowd, resistance)
        drawing.path(path_data(resistance), stroke=theme.ink, width=0.55, dash="2.4 1.2")
    if duty is not None:
        point = at(duty.flow_m3_s, duty.cold_pa)
        drawing.line(point, (point[0], field.y1), theme.mute, 0.18, dash="0.8 0.8")
        drawing.line(point, (field.x0, point[1]), theme.mute, 0.18, dash="0.8 0.8")
        crowd.wire(point, (point[0], field.y1), 0.3)
        crowd.wire(point, (field.x0, point[1]), 0.3)
        crowd.block(around(point, 3.4, 3.4))
        drawing.circle(point, 1.3, fill=theme.sheet, stroke=theme.ink, width=0.6)
        words = f"{show(duty.flow_m3_s, Kind.FLOW, system)} at {show(duty.cold_pa, Kind.HEAD, system)}"
        _say(
            drawing,
            crowd,
            ring(point, width(words, 3.0, weight=600), 2.9, (2.4, 4.0, 6.0, 9.0, 13.0), gap=1.5),
            words,
            3.0,
            600,
        )
    name = clip(circulator.name, _TYPE, 40.0)
    _say(drawing, crowd, _along(line, width(name, _TYPE)), name, _TYPE, 500)
    if resistance:
        _say(drawing, crowd, _along(resistance, width("pipework", _TYPE)), "pipework", _TYPE, 500)
    return drawing.svg()


def _wired(crowd: Crowd, line: Sequence[XY]) -> None:
    for a, b in pairwise(line):
        crowd.wire(a, b, 3.0)


def _along(line: Sequence[XY], w: float) -> list[Spot]:
    """Spots above and below a curve, all along it."""
    spots: list[Spot] = []
    for k in range(1, 20):
        i = k * (len(line) - 1) / 20
        a, b = line[int(i)], line[min(int(i) + 1, len(line) - 1)]
        f = i - int(i)
        x, y = a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])
        for d in (2.4, 3.4, 4.8, 6.5):
            spots.extend(
                Spot(around((x + s * w / 2 * side, y + s * d), w, 2.6), d * 0.1 + abs(k - 6) * 0.02)
                for s in (-1, 1)
                for side in (-1, 0, 1)
            )
    return sorted(spots, key=lambda s: s.dislike)


def _say(drawing: Drawing, crowd: Crowd, spots: Sequence[Spot], words: str, size: float, weight: int) -> None:
    spot = crowd.choose(spots)
    if spot is None:
        return
    if spot.leader is not None:
        drawing.line(*spot.leader, drawing.theme.mute, 0.18)
    drawing.text((spot.box.x0, spot.box.y1 - 0.55), words, size, weight=weight, halo=True)


def _axes(
    drawing: Drawing, field: Box, flow: tuple[float, float], head: tuple[float, float], units: tuple[str, str]
) -> None:
    """Grid, numbers and units."""
    t = drawing.theme

    def places(step: float) -> int:
        return max(0, -floor(log10(step) + 1e-9))

    def each(end: float, step: float, draw: Callable[[float, str], None]) -> None:
        for k in range(round(end / step) + 1):
            draw(k * step / end, number_text(k * step, places(step)))

    def upright(share: float, words: str) -> None:
        x = field.x0 + share * (field.x1 - field.x0)
        drawing.line((x, field.y0), (x, field.y1), t.grid, 0.2)
        half = width(words, _TYPE) / 2
        drawing.text((min(x, drawing.width - half - 0.6), field.y1 + 3.6), words, _TYPE, anchor="middle", colour=t.mute)

    def level(share: float, words: str) -> None:
        y = field.y1 - share * (field.y1 - field.y0)
        drawing.line((field.x0, y), (field.x1, y), t.grid, 0.2)
        drawing.text((field.x0 - 1.4, y + 0.95), words, _TYPE, anchor="end", colour=t.mute)

    each(*flow, upright)
    each(*head, level)
    drawing.path(
        path_data([(field.x0, field.y0), (field.x0, field.y1), (field.x1, field.y1)]), stroke=t.mute, width=0.3
    )
    drawing.text((field.x1, field.y1 + 8.0), f"flow, {units[0]}", _TYPE, anchor="end", colour=t.mute)
    drawing.text((1.4, field.y0 - 4.2), f"head, {units[1]}", _TYPE, colour=t.mute)
