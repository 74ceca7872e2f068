"""The spares curve: chance of a second trip against money left over, with the choice and what is accepted."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

from wetside.basis.quantity import number_text
from wetside.basis.record import record
from wetside.basis.si import Ratio
from wetside.sheets.draw.chart import nice_step
from wetside.sheets.draw.letters import width
from wetside.sheets.draw.place import Box, Crowd, around, ring
from wetside.sheets.draw.svg import XY, Drawing, path_data
from wetside.sheets.draw.theme import LIGHT, Theme

_TYPE = 2.7


@record(kw_only=False)
class Stocking:
    """One way to stock up."""

    chance: Ratio
    left: float
    spares: int
    chosen: bool


def spares_chart(
    curve: Sequence[Stocking],
    *,
    accepted: Ratio,
    currency: str,
    theme: Theme = LIGHT,
    size: tuple[float, float] = (110.0, 66.0),
) -> str:
    """The chart as SVG text: each dot is one more spare, the ring is the choice."""
    w, h = size
    drawing = Drawing(w, h, theme, "Spares: chance of a second trip", "spares")
    field = Box(13.0, 8.5, w - 5.0, h - 11.0)
    chosen = next((p for p in curve if p.chosen), curve[-1])
    # beyond the choice the curve is flat: what matters is the way to it
    shown = [p for p in curve if p.left <= max(chosen.left * 1.6, 1e-9)] or [chosen]
    most = max(max(p.left for p in shown), 1e-9)
    step = nice_step(most, 5)
    end = ceil(most / step * 1.02) * step
    top = max(max(p.chance for p in shown), accepted)
    tall = nice_step(100.0 * top, 5)
    high = min(ceil(100.0 * top / tall * 1.02) * tall, 100.0) / 100.0

    def at(left: float, chance: Ratio) -> XY:
        return (field.x0 + left / end * (field.x1 - field.x0), field.y1 - chance / high * (field.y1 - field.y0))

    for k in range(round(end / step) + 1):
        x = at(k * step, 0.0)[0]
        drawing.line((x, field.y0), (x, field.y1), theme.grid, 0.2)
        places = 0 if step >= 1 else 2
        drawing.text((x, field.y1 + 3.6), number_text(k * step, places), _TYPE, anchor="middle", colour=theme.mute)
    for k in range(round(100.0 * high / tall) + 1):
        y = at(0.0, k * tall / 100.0)[1]
        drawing.line((field.x0, y), (field.x1, y), theme.grid, 0.2)
        drawing.text(
            (field.x0 - 1.4, y + 0.95), number_text(k * tall, 0 if tall >= 1 else 1), _TYPE, anchor="end",
            colour=theme.mute,
        )  # fmt: skip
    drawing.path(
        path_data([(field.x0, field.y0), (field.x0, field.y1), (field.x1, field.y1)]), stroke=theme.mute, width=0.3
    )
    money = f", {currency}" if currency else ""
    drawing.text(
        (field.x1, field.y1 + 8.0), f"expected price of what is left over{money}", _TYPE, anchor="end",
        colour=theme.mute,
    )  # fmt: skip
    title = "chance of a second trip, %"
    drawing.text((1.4, field.y0 - 4.2), title, _TYPE, colour=theme.mute)
    crowd = Crowd(Box(field.x0 + 0.5, 0.5, field.x1, field.y1 - 0.5))
    crowd.block(Box(1.4, field.y0 - 4.2 - _TYPE, 1.4 + width(title, _TYPE), field.y0 - 3.4))
    y = at(0.0, accepted)[1]
    drawing.line((field.x0, y), (field.x1, y), theme.ink, 0.4, dash="1.6 1.0")
    crowd.wire((field.x0, y), (field.x1, y), 2.0)
    line = [at(p.left, p.chance) for p in shown]
    drawing.path(path_data(line, places=2), stroke=theme.plum, width=0.6)
    for a, b in pairwise(line):
        crowd.wire(a, b, 2.0)
    for p in shown:
        drawing.circle(at(p.left, p.chance), 0.55, fill=theme.plum)
    here = at(chosen.left, chosen.chance)
    drawing.circle(here, 1.5, fill=theme.sheet, stroke=theme.ink, width=0.6)
    crowd.block(around(here, 3.6, 3.6))
    spares = f"{chosen.spares} spares: {number_text(100.0 * chosen.chance, 1)} %"
    for point, words in (
        (here, spares),
        ((field.x1 - 8.0, y), f"accepted {number_text(100.0 * accepted, 1)} %"),
        (line[0], f"no spares: {number_text(100.0 * shown[0].chance, 1)} %"),
    ):
        spot = crowd.choose(ring(point, width(words, 2.9), 2.8, (2.2, 4.0, 6.0, 9.0, 13.0), gap=1.6))
        if spot is not None:
            if spot.leader is not None:
                drawing.line(*spot.leader, theme.mute, 0.18)
            drawing.text((spot.box.x0, spot.box.y1 - 0.6), words, 2.9, halo=True)
    return drawing.svg()
