"""Where labels go: first free of several slots, never on another label, on a line only where nothing better is left."""

from collections import defaultdict
from collections.abc import Iterable
from math import ceil, floor
from typing import NamedTuple

from wetside.basis.record import record
from wetside.sheets.draw.letters import ASCENT, DESCENT, width
from wetside.sheets.draw.svg import XY

_CELL = 8.0


class Box(NamedTuple):
    x0: float
    y0: float
    x1: float
    y1: float

    def grown(self, by: float) -> "Box":
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def meets(self, other: "Box") -> bool:
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1

    def within(self, other: "Box") -> bool:
        return self.x0 >= other.x0 and self.y0 >= other.y0 and self.x1 <= other.x1 and self.y1 <= other.y1

    @property
    def middle(self) -> XY:
        return ((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)


def around(at: XY, w: float, h: float) -> Box:
    """The box of that width and height about a point."""
    return Box(at[0] - w / 2, at[1] - h / 2, at[0] + w / 2, at[1] + h / 2)


def text_box(at: XY, words: str, size: float, *, anchor: str = "start", weight: int = 500, narrow: bool = True) -> Box:
    """The box that a line of type fills, `at` its anchor on the baseline."""
    w = width(words, size, weight=weight, narrow=narrow)
    x = at[0] - {"start": 0.0, "middle": w / 2, "end": w}[anchor]
    return Box(x, at[1] - ASCENT * size, x + w, at[1] + DESCENT * size)


def length_inside(a: XY, b: XY, box: Box) -> float:
    """How much of the line a–b lies inside the box."""
    t0, t1 = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, d, low, high in ((a[0], dx, box.x0, box.x1), (a[1], dy, box.y0, box.y1)):
        if abs(d) < 1e-9:
            if p < low or p > high:
                return 0.0
            continue
        u, v = (low - p) / d, (high - p) / d
        t0, t1 = max(t0, min(u, v)), min(t1, max(u, v))
        if t0 >= t1:
            return 0.0
    return (t1 - t0) * (dx * dx + dy * dy) ** 0.5


@record(kw_only=False)
class Spot:
    """A place that a label could take. The smaller `dislike`, the sooner it is taken; `leader` runs from the label's
    edge to the thing."""

    box: Box
    dislike: float = 0.0
    leader: tuple[XY, XY] | None = None


class Crowd:
    """Everything on the sheet that a label has to keep clear of."""

    def __init__(self, bounds: Box) -> None:
        self.bounds = bounds
        self._boxes: dict[tuple[int, int], list[Box]] = defaultdict(list)
        self._wires: dict[tuple[int, int], list[tuple[XY, XY, float]]] = defaultdict(list)

    @staticmethod
    def _cells(box: Box) -> Iterable[tuple[int, int]]:
        for i in range(floor(box.x0 / _CELL), ceil(box.x1 / _CELL) + 1):
            for j in range(floor(box.y0 / _CELL), ceil(box.y1 / _CELL) + 1):
                yield i, j

    def block(self, box: Box) -> None:
        """Nothing may cover this box."""
        for cell in self._cells(box):
            self._boxes[cell].append(box)

    def wire(self, a: XY, b: XY, weight: float = 1.0) -> None:
        """A line that labels keep off when they can."""
        steps = max(1, ceil(max(abs(b[0] - a[0]), abs(b[1] - a[1])) / _CELL))
        seen: set[tuple[int, int]] = set()
        for k in range(steps):
            p = (a[0] + (b[0] - a[0]) * k / steps, a[1] + (b[1] - a[1]) * k / steps)
            q = (a[0] + (b[0] - a[0]) * (k + 1) / steps, a[1] + (b[1] - a[1]) * (k + 1) / steps)
            seen.update(self._cells(Box(min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1]))))
        for cell in seen:
            self._wires[cell].append((a, b, weight))

    def free(self, box: Box) -> bool:
        """On the sheet and on no blocked box."""
        if not box.within(self.bounds):
            return False
        return not any(box.meets(other) for cell in self._cells(box) for other in self._boxes.get(cell, ()))

    def crossed(self, box: Box) -> float:
        """Weighted length of lines inside the box."""
        wires = {w for cell in self._cells(box) for w in self._wires.get(cell, ())}
        return sum(length_inside(a, b, box) * weight for a, b, weight in sorted(wires))

    def _leader_cost(self, a: XY, b: XY, through: bool) -> float | None:
        """What a leader crosses; `None` when it would run through a label. What it points at doesn't count."""
        cost = 0.0
        meant = {
            o
            for cell in self._cells(around(b, 1.0, 1.0))
            for o in self._boxes.get(cell, ())
            if around(b, 0.6, 0.6).meets(o)
        }
        n = max(2, ceil(((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5 / 1.5))
        for k in range(n):
            dot = around((a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n), 0.8, 0.8)
            met = {o for cell in self._cells(dot) for o in self._boxes.get(cell, ()) if dot.meets(o)}
            if met - meant:
                if not through:
                    return None
                cost += 20.0
            if met or (0 < k < n - 1 and self.crossed(dot) > 0):
                cost += 1.5
        return cost

    def choose(
        self, spots: Iterable[Spot], *, most: float = 1e9, clear: float = 0.3, through: bool = False
    ) -> Spot | None:
        """The best free spot, which is then taken; `None` when none costs at most `most`.

        :param through: a leader may run across other labels, as a last resort
        """
        best: Spot | None = None
        least = most
        for spot in spots:
            if spot.dislike >= least or not self.free(spot.box.grown(clear)):
                continue
            cost = spot.dislike + self.crossed(spot.box.grown(clear))
            if spot.leader is not None and cost < least:
                extra = self._leader_cost(*spot.leader, through)
                if extra is None:
                    continue
                cost += extra
            if cost < least:
                best, least = spot, cost
                if cost <= 0.0:
                    break
        if best is not None:
            self.block(best.box)
            if best.leader is not None:
                self.wire(*best.leader, weight=0.5)
        return best


def ring(at: XY, w: float, h: float, distances: Iterable[float], *, gap: float = 0.0) -> list[Spot]:
    """Spots about a point, near ones first; those farther than a hand's breadth of type get a leader.

    :param gap: how far from the point the leader ends
    """
    spots: list[Spot] = []
    ways = ((1, -1), (-1, -1), (1, 1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1), (2, -1), (-2, -1), (2, 1), (-2, 1),
            (1, -2), (-1, -2), (1, 2), (-1, 2))  # fmt: skip
    for d in distances:
        for k, (ux, uy) in enumerate(ways):
            n = (ux * ux + uy * uy) ** 0.5
            x, y = at[0] + d * ux / n, at[1] + d * uy / n
            cx = x + (w / 2 if ux > 0 else -w / 2 if ux < 0 else 0.0)
            cy = y + (h / 2 if uy > 0 else -h / 2 if uy < 0 else 0.0)
            box = around((cx, cy), w, h)
            near = (min(max(at[0], box.x0), box.x1), min(max(at[1], box.y0), box.y1))
            away = ((near[0] - at[0]) ** 2 + (near[1] - at[1]) ** 2) ** 0.5
            leader = None
            if away > 3.0:
                f = gap / away
                tip = (at[0] + (near[0] - at[0]) * f, at[1] + (near[1] - at[1]) * f)
                leader = (near, tip)
            spots.append(Spot(box, d * 0.35 + k * 0.02, leader))
    return spots


def beside(a: XY, b: XY, w: float, h: float, *, off: float = 1.0) -> list[Spot]:
    """Spots for a level label along the line a–b, on both sides, the middle first."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = (dx * dx + dy * dy) ** 0.5
    if length < 1e-6:
        return ring(a, w, h, (off,))
    nx, ny = -dy / length, dx / length
    reach = off + abs(nx) * w / 2 + abs(ny) * h / 2
    spots: list[Spot] = []
    for k, t in enumerate((0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)):
        p = (a[0] + dx * t, a[1] + dy * t)
        for side in (-1, 1) if ny > 0 or (ny == 0 and nx < 0) else (1, -1):
            at = (p[0] + side * nx * reach, p[1] + side * ny * reach)
            spots.append(Spot(around(at, w, h), k * 0.05 + (0.02 if side == 1 else 0.0)))
    return spots
