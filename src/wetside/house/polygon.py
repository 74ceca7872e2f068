"""Plane geometry of outlines: area, validity, overlap, edges that meet, point inside.

Outlines are rings of points in metres, in either turning sense, not closed by a repeated point. Edges are numbered
from 0 here: edge i runs from corner i to corner i + 1. Everything is exact but for rounding; only what a tape can't
tell apart (`TOUCH`) counts as the same place.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from wetside.basis.record import record
from wetside.basis.si import Metre, SquareMetre
from wetside.house.spec import Point

Outline = Sequence[Point]

TOUCH: Metre = 0.002
"""Lines closer than this are the same line."""


@record(kw_only=False)
class Flaw:
    """Why an outline encloses no room. `first` and `second` are edges, from 0."""

    kind: Literal["too few corners", "same corner twice", "edges cross", "no area"]
    first: int = 0
    second: int = 0


@record(kw_only=False)
class Edge:
    """One edge of an outline with its unit direction and unit outward normal."""

    start: Point
    end: Point
    length_m: Metre
    along: Point
    outward: Point

    def at(self, distance: Metre) -> Point:
        """The point that far from the edge's start."""
        return (self.start[0] + self.along[0] * distance, self.start[1] + self.along[1] * distance)

    def project(self, point: Point) -> tuple[Metre, Metre]:
        """Distance along the edge and outward from it."""
        x, y = point[0] - self.start[0], point[1] - self.start[1]
        return x * self.along[0] + y * self.along[1], x * self.outward[0] + y * self.outward[1]


@record(kw_only=False)
class Meeting:
    """Two edges of different outlines face each other between two distances along the first, `gap_m` apart.

    A negative gap means that the outlines overlap there.
    """

    start_m: Metre
    end_m: Metre
    gap_m: Metre


def signed_area(outline: Outline) -> SquareMetre:
    """Area, positive when the corners run anticlockwise (shoelace formula)."""
    x0, y0 = outline[0]
    total = 0.0
    for i, (xa, ya) in enumerate(outline):
        xb, yb = outline[(i + 1) % len(outline)]
        total += (xa - x0) * (yb - y0) - (xb - x0) * (ya - y0)
    return total / 2


def area(outline: Outline) -> SquareMetre:
    """Area of a simple outline."""
    return abs(signed_area(outline))


def perimeter(outline: Outline) -> Metre:
    """Length all round."""
    return sum(math.dist(p, outline[(i + 1) % len(outline)]) for i, p in enumerate(outline))


def middle(outline: Outline) -> Point:
    """Centre of area of a simple outline."""
    x0, y0 = outline[0]
    sx = sy = twice = 0.0
    for i, (xa, ya) in enumerate(outline):
        xb, yb = outline[(i + 1) % len(outline)]
        cross = (xa - x0) * (yb - y0) - (xb - x0) * (ya - y0)
        sx += (xa + xb - 2 * x0) * cross
        sy += (ya + yb - 2 * y0) * cross
        twice += cross
    return (x0 + sx / (3 * twice), y0 + sy / (3 * twice))


def edges(outline: Outline) -> tuple[Edge, ...]:
    """The edges of a simple outline, in its own order."""
    turn = math.copysign(1.0, signed_area(outline))
    found: list[Edge] = []
    for i, p in enumerate(outline):
        q = outline[(i + 1) % len(outline)]
        length = math.dist(p, q)
        ux, uy = (q[0] - p[0]) / length, (q[1] - p[1]) / length
        found.append(Edge(p, q, length, (ux, uy), (turn * uy, -turn * ux)))
    return tuple(found)


def _side(p: Point, q: Point, r: Point) -> float:
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])


def distance(point: Point, p: Point, q: Point) -> Metre:
    """From a point to the straight piece p–q."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    square = dx * dx + dy * dy
    t = 0.0 if square == 0 else ((point[0] - p[0]) * dx + (point[1] - p[1]) * dy) / square
    t = min(max(t, 0.0), 1.0)
    return math.dist(point, (p[0] + t * dx, p[1] + t * dy))


def _cross(p: Point, q: Point, r: Point, s: Point) -> bool:
    """The pieces p–q and r–s cross or touch."""
    if (_side(p, q, r) > 0) != (_side(p, q, s) > 0) and (_side(r, s, p) > 0) != (_side(r, s, q) > 0):
        return True
    return min(distance(p, r, s), distance(q, r, s), distance(r, p, q), distance(s, p, q)) <= TOUCH


def flaws(outline: Outline) -> tuple[Flaw, ...]:
    """Everything that keeps an outline from being a simple polygon; empty when it is one."""
    n = len(outline)
    if n < 3:
        return (Flaw("too few corners"),)
    same = tuple(Flaw("same corner twice", i, (i + 1) % n) for i in range(n)
                 if math.dist(outline[i], outline[(i + 1) % n]) <= TOUCH)  # fmt: skip
    if same:
        return same
    far = max(outline, key=lambda c: math.dist(c, outline[0]))
    if all(distance(c, outline[0], far) <= TOUCH for c in outline):
        return (Flaw("no area"),)
    found: list[Flaw] = []
    for i in range(n):
        p, q = outline[i], outline[(i + 1) % n]
        for j in range(i + 1, n):
            r, s = outline[j], outline[(j + 1) % n]
            if j == i + 1 or (i == 0 and j == n - 1):
                # Neighbours share a corner; they are wrong only when one folds back along the other.
                own, others = (p, s) if j == i + 1 else (q, r)
                if distance(own, r, s) <= TOUCH or distance(others, p, q) <= TOUCH:
                    found.append(Flaw("edges cross", i, j))
            elif _cross(p, q, r, s):
                found.append(Flaw("edges cross", i, j))
    return tuple(found)


def _boxes_apart(a: Outline, b: Outline) -> bool:
    ax, ay, bx, by = [p[0] for p in a], [p[1] for p in a], [p[0] for p in b], [p[1] for p in b]
    return max(ax) <= min(bx) or max(bx) <= min(ax) or max(ay) <= min(by) or max(by) <= min(ay)


_Line = tuple[float, float, float, float]


def _slanting(outline: Outline) -> list[_Line]:
    """Edges that are not upright, left end first."""
    lines: list[_Line] = []
    for i, (xa, ya) in enumerate(outline):
        xb, yb = outline[(i + 1) % len(outline)]
        if xa < xb:
            lines.append((xa, ya, xb, yb))
        elif xb < xa:
            lines.append((xb, yb, xa, ya))
    return lines


def _spans(lines: list[_Line], x: float) -> list[float]:
    """Heights at which an upright at x enters and leaves the polygon, by turns."""
    return sorted(ya + (yb - ya) * (x - xa) / (xb - xa) for xa, ya, xb, yb in lines if xa < x < xb)


def overlap_area(a: Outline, b: Outline) -> SquareMetre:
    """Area common to two simple outlines, convex or not.

    The plane is cut into upright slabs at every corner and every crossing. No edges cross inside a slab, so what both
    polygons hold there is a stack of trapezia, whose area is the slab's width times the length on its middle line.
    """
    if _boxes_apart(a, b):
        return 0.0
    of_a, of_b = _slanting(a), _slanting(b)
    cuts = {p[0] for p in a} | {p[0] for p in b}
    for xa, ya, xb, yb in of_a:
        slope = (yb - ya) / (xb - xa)
        for xc, yc, xd, yd in of_b:
            difference = slope - (yd - yc) / (xd - xc)
            low, high = max(xa, xc), min(xb, xd)
            if difference == 0 or low >= high:
                continue
            at_low = (ya + slope * (low - xa)) - (yc + (yd - yc) / (xd - xc) * (low - xc))
            x = low - at_low / difference
            if low < x < high:
                cuts.add(x)
    left = max(min(p[0] for p in a), min(p[0] for p in b))
    right = min(max(p[0] for p in a), max(p[0] for p in b))
    xs = sorted(x for x in cuts if left <= x <= right)
    total = 0.0
    for x0, x1 in pairwise(xs):
        mid = (x0 + x1) / 2
        ys_a, ys_b = _spans(of_a, mid), _spans(of_b, mid)
        for i in range(0, len(ys_a) - 1, 2):
            for j in range(0, len(ys_b) - 1, 2):
                total += (x1 - x0) * max(0.0, min(ys_a[i + 1], ys_b[j + 1]) - max(ys_a[i], ys_b[j]))
    return total


def meeting(edge: Edge, other: Edge, least: Metre, most: Metre) -> Meeting | None:
    """Where `other`, an edge of another outline, faces `edge` at a gap between `least` and `most` along all of it.

    Only edges whose outward sides face each other count, over a length longer than `TOUCH`.
    """
    if edge.outward[0] * other.outward[0] + edge.outward[1] * other.outward[1] > -0.99:
        return None
    (t0, d0), (t1, d1) = sorted((edge.project(other.start), edge.project(other.end)))
    low, high = max(0.0, t0), min(edge.length_m, t1)
    if high - low <= TOUCH:
        return None
    slope = (d1 - d0) / (t1 - t0)
    at_low, at_high = d0 + slope * (low - t0), d0 + slope * (high - t0)
    if min(at_low, at_high) < least or max(at_low, at_high) > most:
        return None
    return Meeting(low, high, (at_low + at_high) / 2)


def inside(outline: Outline, point: Point) -> bool:
    """The point is in the outline or within `TOUCH` of it."""
    x, y = point
    odd = False
    for i, p in enumerate(outline):
        q = outline[(i + 1) % len(outline)]
        if (p[1] > y) != (q[1] > y) and x < p[0] + (q[0] - p[0]) * (y - p[1]) / (q[1] - p[1]):
            odd = not odd
    return odd or any(distance(point, p, outline[(i + 1) % len(outline)]) <= TOUCH for i, p in enumerate(outline))
