"""Tubes of one storey on the plan, drawn to scale."""

from collections.abc import Callable, Mapping, Sequence

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.house.spec import House, Point
from wetside.pipework.spec import Tube, Vec
from wetside.sheets.draw.letters import width
from wetside.sheets.draw.lines import Line
from wetside.sheets.draw.place import Crowd, Spot, around, beside
from wetside.sheets.draw.svg import XY, Drawing, path_data
from wetside.sheets.draw.theme import DASH
from wetside.sheets.draw.tubes import weight

_FLAT = 0.03
"""A stretch whose plan length is below this is a riser or a drop, m."""
HIDDEN = 1.5
"""Paper length, mm, over which a tube may lie on another before it is drawn beside it."""
STEP_ASIDE = 1.2
"""Paper, mm."""


def band(house: House, storey: str) -> tuple[Metre, Metre]:
    """Heights between which tube belongs to the storey's plan: its rooms and the void under its floor."""
    levels = sorted(house.storeys, key=lambda s: s.level_m)
    i = next(k for k, s in enumerate(levels) if s.name == storey)
    low = levels[i - 1].level_m + levels[i - 1].height_m if i else float("-inf")
    high = levels[i].level_m + levels[i].height_m if i + 1 < len(levels) else float("inf")
    return low, high


@record(kw_only=False)
class Stretch:
    """A stretch of tube on the plan; `riser` tells where an upright one leaves the storey: "up", "down", "both", or
    "" for a drop inside it; `None` for tube that lies."""

    line: int
    a: Vec
    b: Vec
    tube: Tube
    riser: str | None


def stretches(lines: Sequence[Line], low: Metre, high: Metre) -> list[Stretch]:
    found: list[Stretch] = []
    for i, line in enumerate(lines):
        for k, tube in enumerate(line.tubes):
            a, b = line.beads[k].at, line.beads[k + 1].at
            bottom, top = min(a[2], b[2]), max(a[2], b[2])
            if top < low or bottom >= high or (top == low and bottom < low):
                continue
            flat = ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
            riser: str | None = None
            if flat < _FLAT:
                up, down = top >= high, bottom < low
                riser = "both" if up and down else "up" if up else "down" if down else ""
            found.append(Stretch(i, a, b, tube, riser))
    return found


def _overlaid(some: Sequence[tuple[XY, XY]], others: Sequence[tuple[XY, XY]], shift: XY, near: float) -> float:
    """Paper length over which the shifted lines of one side lie on those of the other."""
    total = 0.0
    for a, b in some:
        dx, dy = b[0] - a[0], b[1] - a[1]
        n = (dx * dx + dy * dy) ** 0.5
        if n < 0.5:
            continue
        u, v = dx / n, dy / n
        for c, d in others:
            moved = [(p[0] + shift[0] - a[0], p[1] + shift[1] - a[1]) for p in (c, d)]
            if any(abs(x * v - y * u) > near for x, y in moved):
                continue
            s, t = sorted(x * u + y * v for x, y in moved)
            total += max(0.0, min(t, n) - max(s, 0.0))
    return total


def shifts(
    found: Sequence[Stretch], lines: Sequence[Line], sides: Mapping[str, str], paper: Callable[[Point], XY]
) -> dict[int, XY]:
    """How far each line is moved on paper: not at all, unless it lies on one that is drawn before it.

    Flow stands where it is; a return or another tube steps beside what it would hide behind. Risers and drops are
    drawn where they are, so that holes can be scaled off the sheet.
    """
    by_line: dict[int, list[tuple[XY, XY]]] = {}
    for s in found:
        if s.riser is None:
            by_line.setdefault(s.line, []).append((paper(s.a[:2]), paper(s.b[:2])))
    order = {"flow": 0, "return": 1, "other": 2}
    chosen: dict[int, XY] = {}
    placed: list[tuple[XY, XY]] = []
    for i in sorted(by_line, key=lambda i: (order[sides.get(lines[i].leg.name, "other")], i)):
        mine = by_line[i]
        step: XY = (0.0, 0.0)
        if sides.get(lines[i].leg.name, "other") != "flow" and _overlaid(placed, mine, step, 0.5) > HIDDEN:
            d = STEP_ASIDE
            tries: list[XY] = [(d, d), (-d, d), (-d, -d), (d, -d), (2 * d, 2 * d), (-2 * d, -2 * d)]
            step = min(tries, key=lambda t: round(_overlaid(placed, mine, t, 0.95), 1))
        chosen[i] = step
        placed.extend(((p[0] + step[0], p[1] + step[1]), (q[0] + step[0], q[1] + step[1])) for p, q in mine)
    return chosen


def draw_plan_tubes(
    drawing: Drawing,
    crowd: Crowd,
    lines: Sequence[Line],
    found: Sequence[Stretch],
    sides: Mapping[str, str],
    paper: Callable[[Point], XY],
) -> tuple[list[tuple[XY, XY, Stretch]], bool]:
    """Draws lying tube, risers and drops; answers the lying stretches on paper for their labels, and whether any tube
    had to step aside."""
    t = drawing.theme
    moved = shifts(found, lines, sides, paper)
    flat: list[tuple[XY, XY, Stretch]] = []
    by_line: dict[int, list[Stretch]] = {}
    for s in found:
        by_line.setdefault(s.line, []).append(s)
    order = {"other": 0, "return": 1, "flow": 2}
    risers: dict[tuple[int, int], tuple[XY, set[str], str]] = {}
    for i in sorted(by_line, key=lambda i: (order[sides.get(lines[i].leg.name, "other")], i)):
        side = sides.get(lines[i].leg.name, "other")
        dx, dy = moved.get(i, (0.0, 0.0))

        def at(p: Vec, dx: float = dx, dy: float = dy) -> XY:
            x, y = paper(p[:2])
            return (x + dx, y + dy)

        drawing.open(f"leg:{lines[i].leg.name}", f"leg {side}")
        chains: list[tuple[float, list[XY]]] = []
        for s in by_line[i]:
            a, b = (at(s.a), at(s.b)) if s.riser is None else (paper(s.a[:2]), paper(s.b[:2]))
            if s.riser is None:
                flat.append((a, b, s))
                crowd.wire(a, b)
                wide = weight(s.tube.outside_m)
                if chains and chains[-1][0] == wide and chains[-1][1][-1] == a:
                    chains[-1][1].append(b)
                else:
                    chains.append((wide, [a, b]))
            elif s.riser:
                key = (round(a[0] / 0.8), round(a[1] / 0.8))
                risers.setdefault(key, (a, set(), side))[1].update({"up", "down"} if s.riser == "both" else {s.riser})
            else:
                drawing.circle(a, 0.5, fill=t.side(side))
        for wide, points in chains:
            drawing.path(path_data(points), stroke=t.side(side), width=wide, dash=DASH.get(side))
        drawing.close()
    for a, *_ in risers.values():
        crowd.block(around(a, 3.0, 3.0))
    for a, ways, side in risers.values():
        _riser(drawing, crowd, a, ways, t.side(side))
    return flat, any(step != (0.0, 0.0) for step in moved.values())


def _riser(drawing: Drawing, crowd: Crowd, at: XY, ways: set[str], colour: str) -> None:
    """A ring at the tube with arrows beside it: where it goes on."""
    t = drawing.theme
    drawing.open(None, "riser")
    drawing.circle(at, 1.3, fill=t.sheet, stroke=colour, width=0.5)
    drawing.circle(at, 0.4, fill=colour)
    wide = 1.6 * len(ways)
    spots = [
        Spot(around((at[0] + u * (1.6 + wide / 2), at[1] + v * 3.2), wide, 3.0), k * 0.1)
        for k, (u, v) in enumerate(((1, 0), (-1, 0), (0, -1), (0, 1), (1, -0.6), (-1, -0.6), (1, 0.6), (-1, 0.6)))
    ]
    spot = crowd.choose(spots, clear=0.05) or spots[0]
    y = spot.box.middle[1]
    for k, word in enumerate(sorted(ways)):
        s = -1 if word == "up" else 1
        x = spot.box.x0 + 0.8 + 1.6 * k
        drawing.path(path_data([(x, y - s * 1.4), (x, y + s * 0.4)], places=2), stroke=t.ink, width=0.3)
        head = [(x - 0.6, y + s * 0.3), (x + 0.6, y + s * 0.3), (x, y + s * 1.5)]
        drawing.path(path_data(head, closed=True, places=2), fill=t.ink)
    drawing.close()


def label_plan_tubes(
    drawing: Drawing, crowd: Crowd, lines: Sequence[Line], flat: Sequence[tuple[XY, XY, Stretch]]
) -> None:
    """Tube sizes along the longest stretch of each leg and tube, where there is room."""
    size = 2.5
    best: dict[tuple[str, str], list[tuple[float, XY, XY]]] = {}
    for a, b, s in flat:
        n = ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
        best.setdefault((lines[s.line].leg.name, s.tube.size), []).append((n, a, b))
    for (_, words), parts in sorted(best.items(), key=lambda x: (-max(p[0] for p in x[1]), x[0])):
        w = width(words, size)
        parts.sort(key=lambda p: (-p[0], p[1]))
        if parts[0][0] < w * 0.8:
            continue
        spot = crowd.choose(
            [s for n, a, b in parts[:3] if n >= w * 0.8 for s in beside(a, b, w, 2.3, off=0.8)], most=3.0
        )
        if spot is not None:
            drawing.text((spot.box.x0, spot.box.y1 - 0.45), words, size, halo=True)
