"""Sticks and coils with the pieces that are cut from each, to scale: cut as drawn, from the left."""

from wetside.basis.quantity import System, tape
from wetside.sheets.cuts import CutRow, CutsSheet, StickRow
from wetside.sheets.draw.border import frame, title_block
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.measures import spread
from wetside.sheets.draw.place import Box
from wetside.sheets.draw.svg import Drawing, path_data, tag
from wetside.sheets.draw.theme import LIGHT, Theme

HIGH = 5.2
"""Height of a stick, mm."""
PITCH = 9.6
LEFT, RIGHT = 13.0, 8.0


def stick_sheets(
    sheet: CutsSheet, *, theme: Theme = LIGHT, job: str = "", size: tuple[float, float] = (178.0, 267.0)
) -> list[str]:
    """SVG texts, one for each page."""
    rows: list[tuple[str, StickRow | None]] = []
    for tube in dict.fromkeys(s.tube for s in sheet.sticks):
        rows.append((tube, None))
        rows.extend((tube, s) for s in sheet.sticks if s.tube == tube)
    room = size[1] - 12.0 - 22.0
    pages: list[list[tuple[str, StickRow | None]]] = []
    left = 0.0
    for k, row in enumerate(rows):
        need = PITCH if row[1] is not None else PITCH * 0.9
        # a tube's name stays with its first stick
        ahead = need + (PITCH if row[1] is None and k + 1 < len(rows) else 0.0)
        if ahead > left:
            pages.append([])
            left = room
            if row[1] is not None:
                pages[-1].append((row[0], None))
                left -= PITCH * 0.9
        pages[-1].append(row)
        left -= need
    cuts = {c.name: c for c in sheet.cuts}
    longest = {
        t: max(s.stock_m for s in sheet.sticks if s.tube == t) for t in dict.fromkeys(s.tube for s in sheet.sticks)
    }
    return [
        _page(page, sheet, cuts, longest, theme, job, size, "Sticks" if len(pages) == 1 else f"Sticks {k}")
        for k, page in enumerate(pages, start=1)
    ]


def _page(
    rows: list[tuple[str, StickRow | None]], sheet: CutsSheet, cuts: dict[str, CutRow], longest: dict[str, float],
    theme: Theme, job: str, size: tuple[float, float], title: str,
) -> str:  # fmt: skip
    w, h = size
    system = System(sheet.units)
    drawing = Drawing(w, h, theme, title, title)
    inside = frame(drawing)
    _hatch(drawing)
    y = inside.y0 + 7.0
    for tube, stick in rows:
        per_m = (inside.x1 - inside.x0 - LEFT - RIGHT) / longest[tube]
        if stick is None:
            scale = 1000.0 / per_m
            drawing.text((inside.x0 + 4.0, y), f"{clip(tube, 3.4, 80.0)}", 3.4, weight=600)
            words = f"{tape(longest[tube], system)} to the full width, 1:{scale:.0f}"
            drawing.text((inside.x1 - RIGHT, y), words, 2.6, anchor="end", colour=theme.mute)
            y += PITCH * 0.9
            continue
        _stick(drawing, stick, cuts, Box(inside.x0 + LEFT, y - HIGH, inside.x1 - RIGHT, y), per_m, system)
        y += PITCH
    own = "number with a ring: an offcut that is at hand" if any(s is not None and s.own for _, s in rows) else ""
    title_block(drawing, None, title, [job, "to scale; cut from the left; hatched: left over", own])
    return drawing.svg()


def _stick(drawing: Drawing, stick: StickRow, cuts: dict[str, CutRow], box: Box, per_m: float, system: System) -> None:
    t = drawing.theme
    drawing.open(f"stick:{stick.number}", "stick")
    middle = (box.y0 + box.y1) / 2
    if stick.own:
        drawing.circle((box.x0 - 6.0, middle), 3.0, stroke=t.ink, width=0.35)
    drawing.text((box.x0 - 6.0, middle + 1.0), str(stick.number), 3.0, anchor="middle", weight=600)
    x = box.x0
    short: list[tuple[float, str]] = []
    lost = stick.kerf_m / max(len(stick.cuts), 1)
    for name in stick.cuts:
        cut = cuts[name]
        wide = cut.length_m * per_m
        drawing.rect(x, box.y0, wide, HIGH, fill=t.sheet, stroke=t.ink, width=0.35)
        if not _inside(drawing, name, tape(cut.length_m, system), x, wide, middle):
            short.append((x + wide / 2, name))
        x += wide + lost * per_m
    _below(drawing, short, box)
    if stick.offcut_m * per_m > 0.2:
        wide = stick.offcut_m * per_m
        drawing.rect(x, box.y0, wide, HIGH, fill=f"url(#{drawing.reference('left-over')})", stroke=t.mute, width=0.2)
        words = tape(stick.offcut_m, system)
        if width(words, 2.4) + 1.6 < wide:
            w = width(words, 2.4) + 1.0
            drawing.rect(x + (wide - w) / 2, middle - 1.5, w, 3.0, fill=t.sheet)
            drawing.text((x + wide / 2, middle + 0.85), words, 2.4, anchor="middle", colour=t.mute)
    drawing.close()


def _inside(drawing: Drawing, name: str, length: str, x: float, wide: float, middle: float) -> bool:
    """Number and length where they fit, else the number alone, turned where it must be; whether it could be said."""
    both = f"{name}  {length}"
    if width(both, 2.6, weight=600) + 1.0 < wide:
        drawing.text((x + wide / 2, middle + 0.95), both, 2.6, anchor="middle", weight=600)
    elif width(name, 2.4, weight=600) + 0.6 < wide:
        drawing.text((x + wide / 2, middle + 0.85), name, 2.4, anchor="middle", weight=600)
    elif wide > 2.6:
        drawing.text((x + wide / 2 + 0.7, middle + width(name, 1.9) / 2), name, 1.9, turned=-90.0)
    else:
        return False
    return True


def _below(drawing: Drawing, short: list[tuple[float, str]], box: Box) -> None:
    """Numbers of pieces too short to write in, side by side under the stick."""
    if not short:
        return
    pitch = max(width(name, 1.9) for _, name in short) + 0.9
    places = spread([x for x, _ in short], pitch, box.x0, box.x1)
    for (x, name), to in zip(short, places, strict=True):
        points = [(x, box.y1), (x, box.y1 + 0.4), (to, box.y1 + 1.3)]
        drawing.path(path_data(points, places=2), stroke=drawing.theme.ink, width=0.15)
        drawing.text((to, box.y1 + 2.9), name, 1.9, anchor="middle")


def _hatch(drawing: Drawing) -> None:
    line = tag("path", d=path_data([(0.0, 2.0), (2.0, 0.0)]), stroke=drawing.theme.mute, stroke_width=0.2)
    drawing.define(
        "left-over",
        tag("pattern", line, id=drawing.reference("left-over"), width=2.0, height=2.0, patternUnits="userSpaceOnUse"),
    )
