"""A bench sheet's drawing: an assembly from the front and from its right side, to scale, with every piece of tube."""

from collections.abc import Mapping

from wetside.basis.quantity import System
from wetside.basis.si import Metre
from wetside.fabricate.bench import BenchWork
from wetside.fabricate.reading import Fabrication
from wetside.pipework.spec import ItemKind, Vec
from wetside.sheets.draw.bench_parts import Face, draw_bodies, draw_cuts, draw_joints, tube_lines
from wetside.sheets.draw.bench_words import TABLE, care_lines, draw_care, draw_key, draw_table, figure, label, measure
from wetside.sheets.draw.border import drawing_size, frame, title_block
from wetside.sheets.draw.letters import width
from wetside.sheets.draw.measures import SIZE
from wetside.sheets.draw.place import Box, Crowd, around
from wetside.sheets.draw.stand import Stand
from wetside.sheets.draw.svg import Drawing
from wetside.sheets.draw.theme import LIGHT, Theme

SCALES: dict[System, tuple[float, ...]] = {
    System.METRIC: (5, 8, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100),
    System.US: (4, 6, 8, 12, 16, 24, 32, 48, 64, 96),
}
GAP = 15.0
"""Between the two views, mm."""


def bench_drawing(
    work: BenchWork,
    fabrication: Fabrication,
    kinds: Mapping[int, ItemKind],
    stand: Stand,
    *,
    datum: str,
    system: System,
    theme: Theme = LIGHT,
    title: str = "Bench sheet",
    job: str = "",
    size: tuple[float, float] | None = None,
    valves: Mapping[int, str] | None = None,
) -> str:
    """The drawing as SVG text.

    Front and right side to one scale; distances from the datum along two edges, lengths as cut on the tubes and in the
    list; joints made on the bench are dots, those made in place are rings.

    :param kinds: kind of item that a body is, by the body's index
    :param datum: name of the connection that distances are measured from
    :param valves: three-way valves that stand in a tee's place, by the body's index
    :param size: width and height in mm; a page laid sideways when not given
    """
    named = valves or {}
    w, h = size or drawing_size("us-letter" if system is System.US else "a4")
    drawing = Drawing(w, h, theme, title, f"bench {title}")
    inside = frame(drawing)
    points = _points(work, fabrication)
    # room for the longest figure on the left and at the foot
    figures = [stand(fabrication.bodies[k].at) for k in work.bodies]
    across = max(width(figure(v[k], system), SIZE) for v in figures for k in (0, 1, 2))
    field_ = Box(inside.x0 + across + 11.5, inside.y0 + 6.5, inside.x1 - TABLE - 5.0, inside.y1 - across - 23.0)
    seen = [stand(p) for p in points]
    low = [min(p[k] for p in seen) for k in range(3)]
    high = [max(p[k] for p in seen) for k in range(3)]
    wide, deep, tall = (max(high[k] - low[k], 0.03) for k in range(3))
    scale = _scale(wide, deep, tall, field_, system)
    per_m = 1000.0 / scale
    spare = field_.x1 - field_.x0 - GAP - (wide + deep) * per_m
    left = field_.x0 + max(spare, 0.0) * 0.4
    base = field_.y1 - max(field_.y1 - field_.y0 - tall * per_m, 0.0) * 0.35
    crowd = Crowd(Box(inside.x0 + 1, inside.y0 + 1, inside.x1 - TABLE - 2.0, inside.y1 - 1))
    side_x = left + wide * per_m + GAP + max(spare, 0.0) * 0.3
    front = Face(0, (left - low[0] * per_m, base + low[2] * per_m), per_m, drawing, crowd, stand,
                  Box(left, base - tall * per_m, left + wide * per_m, base))  # fmt: skip
    side = Face(1, (side_x - low[1] * per_m, base + low[2] * per_m), per_m, drawing, crowd, stand,
                 Box(side_x, base - tall * per_m, side_x + deep * per_m, base))  # fmt: skip
    flat = high[1] - low[1] < 1e-3
    titles = (f"front, seen looking {stand.looking}", "right side: all in one plane" if flat else "right side")
    for face, words in zip((front, side), titles, strict=True):
        at = ((face.place.x0 + face.place.x1) / 2, inside.y0 + 4.4)
        x = min(max(at[0], inside.x0 + 4 + width(words, 3.2) / 2), inside.x1 - TABLE - 4 - width(words, 3.2) / 2)
        drawing.text((x, at[1]), words, 3.2, anchor="middle", weight=600)
        crowd.block(around((x, at[1] - 1), width(words, 3.2), 4.0))
    lines = tube_lines(work, fabrication)
    measure(front, side, work, fabrication, system, inside)
    for face in (front, side):
        draw_cuts(face, work, fabrication, lines)
        draw_bodies(face, work, fabrication, kinds, named)
        draw_joints(face, work, fabrication)
    label(front, side, work, fabrication, kinds, lines, system, named)
    column = Box(inside.x1 - TABLE, inside.y0, inside.x1, inside.y1 - 17.0)
    care = care_lines(work, fabrication, kinds, named)
    draw_table(drawing, work, fabrication, column, system, 4.2 + 3.3 * len(care) if care else 0.0)
    draw_care(drawing, care, column)
    draw_key(drawing, (inside.x0 + 4.0, inside.y1 - 10.5), per_m, system)
    said = f"scale 1:{scale:g}; distances from {datum}, centre to centre"
    title_block(drawing, None, title, [job, said])
    return drawing.svg()


def _points(work: BenchWork, fabrication: Fabrication) -> list[Vec]:
    points = [fabrication.bodies[k].at for k in work.bodies]
    for line in tube_lines(work, fabrication):
        points.extend(line.points)
    return points


def _scale(wide: Metre, deep: Metre, tall: Metre, room: Box, system: System) -> float:
    for scale in SCALES[system]:
        across = (wide + deep) * 1000 / scale + GAP
        if across <= room.x1 - room.x0 and tall * 1000 / scale <= room.y1 - room.y0:
            return scale
    return SCALES[system][-1]
