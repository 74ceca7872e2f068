"""What surrounds a drawing: frame, title block, scale bar, rulers, north arrow, legend."""

from collections.abc import Callable, Sequence
from math import cos, floor, radians, sin

from wetside.basis.quantity import FOOT, System
from wetside.basis.record import record
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.place import Box, Crowd, around
from wetside.sheets.draw.svg import XY, Drawing, path_data

SIZES = {"a4": (267.0, 178.0), "us-letter": (249.0, 184.0)}
"""Room for a drawing on a sheet laid sideways, in mm: the paper less the pack's margins and running head."""
BLOCK_W, BLOCK_H = 74.0, 16.0


def drawing_size(paper: str, *, upright: bool = False) -> tuple[float, float]:
    """Width and height in mm of a whole-page drawing on ``"a4"`` or ``"us-letter"``."""
    w, h = SIZES.get(paper, SIZES["a4"])
    return (h, w) if upright else (w, h)


def frame(drawing: Drawing) -> Box:
    """A thin line round the sheet; answers the room inside."""
    drawing.rect(0.3, 0.3, drawing.width - 0.6, drawing.height - 0.6, stroke=drawing.theme.ink, width=0.35)
    return Box(0.3, 0.3, drawing.width - 0.3, drawing.height - 0.3)


def title_block(drawing: Drawing, crowd: Crowd | None, title: str, rows: Sequence[str]) -> Box:
    """The block in the lower right corner: the drawing's title over the job and how it is to be read."""
    t = drawing.theme
    inside = BLOCK_W - 5.0
    words = [clip(r, 2.7, inside) for r in rows if r][:3]
    high = 8.2 + 3.7 * len(words)
    box = Box(drawing.width - 0.3 - BLOCK_W, drawing.height - 0.3 - high, drawing.width - 0.3, drawing.height - 0.3)
    drawing.open("title-block", "title-block")
    drawing.rect(box.x0, box.y0, BLOCK_W, high, fill=t.sheet, stroke=t.ink, width=0.35)
    drawing.rect(box.x0, box.y0, 1.4, high, fill=t.plum)
    name = clip(title, 4.0, inside, weight=600, narrow=False)
    drawing.text((box.x0 + 3.6, box.y0 + 5.3), name, 4.0, weight=600, narrow=False)
    for k, row in enumerate(words):
        drawing.text((box.x0 + 3.6, box.y0 + 9.6 + 3.7 * k), row, 2.7, colour=t.mute)
    drawing.close()
    if crowd is not None:
        crowd.block(box)
    return box


def north_arrow(drawing: Drawing, at: XY, crowd: Crowd | None = None, *, turned: float = 0.0) -> None:
    """An arrow to the north; `turned` degrees clockwise from straight up on the paper."""
    t = drawing.theme
    c, s = cos(radians(turned)), sin(radians(turned))

    def xy(u: float, v: float) -> XY:
        return (at[0] + u * c + v * s, at[1] + u * s - v * c)

    drawing.open("north", "north")
    drawing.path(path_data([xy(0, 4.6), xy(1.9, -3.4), xy(0, -2.0)], closed=True), fill=t.ink)
    drawing.path(path_data([xy(0, 4.6), xy(-1.9, -3.4), xy(0, -2.0)], closed=True), stroke=t.ink, fill=t.sheet)
    x, y = xy(0, 6.6)
    drawing.text((x, y + 1.0), "N", 3.2, anchor="middle", weight=600)
    drawing.close()
    if crowd is not None:
        crowd.block(around(at, 8.0, 17.0))


@record(kw_only=False)
class Ruler:
    """Paper from world along one axis: `paper = origin + world * per_m`."""

    origin: float
    per_m: float

    def __call__(self, world: float) -> float:
        return self.origin + world * self.per_m


def _step(per_m: float, unit: float) -> float:
    """Ruler step in the unit, so that ticks are at least 7 mm apart."""
    for step in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0):
        if step * unit * per_m >= 7.0:
            return step
    return 100.0


def rulers(drawing: Drawing, x: Ruler, y: Ruler, room: Box, system: System) -> None:
    """Metre or foot rulers along the upper and left edge of `room`; numbers upright, ticks inward."""
    t = drawing.theme
    unit, word = (FOOT, "ft") if system is System.US else (1.0, "m")
    step = _step(abs(x.per_m), unit)
    drawing.open("rulers", "rulers")
    drawing.line((room.x0, room.y0), (room.x1, room.y0), t.mute, 0.2)
    drawing.line((room.x0, room.y0), (room.x0, room.y1), t.mute, 0.2)
    drawing.text((room.x0 - 1.2, room.y0 - 1.4), word, 2.4, anchor="end", colour=t.mute)
    for ruler, low, high, level in ((x, room.x0, room.x1, True), (y, room.y0, room.y1, False)):
        ends = sorted(((low - ruler.origin) / ruler.per_m, (high - ruler.origin) / ruler.per_m))
        k = floor(ends[0] / (step * unit))
        while (world := k * step * unit) <= ends[1] + 1e-9:
            at = ruler(world)
            k += 1
            if at < low + 1.5 or at > high - 2.0:
                continue
            words = f"{world / unit:.0f}".replace("-", "−")
            if level:
                drawing.line((at, room.y0), (at, room.y0 - 2.0), t.mute, 0.2)
                drawing.text((at + 0.7, room.y0 - 1.2), words, 2.4, colour=t.mute)
            else:
                drawing.line((room.x0, at), (room.x0 - 2.0, at), t.mute, 0.2)
                drawing.text((room.x0 - 1.0, at - 0.7), words, 2.4, anchor="end", colour=t.mute)
    drawing.close()


def scale_bar(drawing: Drawing, at: XY, per_m: float, system: System) -> float:
    """A bar of alternate fields from `at` to the right; answers its length on paper in mm."""
    t = drawing.theme
    unit, word = (FOOT, "ft") if system is System.US else (1.0, "m")
    step = next((s for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0) if s * unit * per_m >= 9.0), 50.0)
    field = step * unit * per_m
    count = max(2, min(4, int(46.0 // field)))
    drawing.open("scale-bar", "scale-bar")
    for k in range(count):
        drawing.rect(
            at[0] + k * field, at[1], field, 1.3, fill=t.ink if k % 2 == 0 else t.sheet, stroke=t.ink, width=0.2
        )
    for k in range(count + 1):
        words = f"{k * step:g}" + (f" {word}" if k == count else "")
        drawing.text((at[0] + k * field, at[1] + 4.2), words, 2.4, anchor="middle", colour=t.mute)
    drawing.close()
    return count * field


@record(kw_only=False)
class LegendRow:
    """A sample, drawn about a point within 9 × 4 mm, and its word."""

    words: str
    sample: Callable[[XY], str]


PITCH = 4.9
"""Height of a legend's row, mm."""


def legend_height(rows: Sequence[LegendRow], room: float) -> float:
    """Height of the legend when its columns are to fit `room` mm side by side; four rows at least."""
    wide = max((width(r.words, 2.7) for r in rows), default=0.0) + 14.2
    columns = max(1, int((room + 4.0) // wide))
    return PITCH * max(4, -(-len(rows) // columns))


def legend(drawing: Drawing, crowd: Crowd | None, rows: Sequence[LegendRow], corner: XY, *, lowest: float) -> Box:
    """Samples in columns from the upper left `corner` down to `lowest`; answers the box that they fill."""
    size, pitch = 2.7, PITCH
    per = max(1, int((lowest - corner[1] + 0.01) // pitch))
    x, right = corner[0], corner[0]
    drawing.open("legend", "legend")
    for first in range(0, len(rows), per):
        column = rows[first : first + per]
        wide = max(width(r.words, size) for r in column)
        for k, row in enumerate(column):
            y = corner[1] + pitch * (k + 0.5)
            drawing.add(row.sample((x + 4.5, y)))
            drawing.text((x + 10.2, y + 0.95), row.words, size, colour=drawing.theme.mute)
        right = x + 10.2 + wide
        x = right + 4.0
    drawing.close()
    box = Box(corner[0], corner[1], right, corner[1] + pitch * min(per, len(rows)))
    if crowd is not None and rows:
        crowd.block(box)
    return box
