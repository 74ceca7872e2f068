"""Space drawn out of scale but in order: short distances stretched until symbols fit, long ones as long as the sheet
allows. What was level, plumb or in line stays so."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from itertools import accumulate, pairwise

from wetside.basis.record import record
from wetside.pipework.spec import Vec
from wetside.sheets.draw.lines import SAME, Line
from wetside.sheets.draw.place import Box
from wetside.sheets.draw.svg import XY


@record(kw_only=False)
class Axis:
    """One coordinate: metres in the house → mm before projection, straight between stops."""

    world: tuple[float, ...]
    paper: tuple[float, ...]
    beyond: float

    def __call__(self, v: float) -> float:
        if not self.world:
            return v * self.beyond
        if v <= self.world[0]:
            return self.paper[0] + (v - self.world[0]) * self.beyond
        if v >= self.world[-1]:
            return self.paper[-1] + (v - self.world[-1]) * self.beyond
        k = bisect_right(self.world, v) - 1
        f = (v - self.world[k]) / (self.world[k + 1] - self.world[k])
        return self.paper[k] + f * (self.paper[k + 1] - self.paper[k])


Need = tuple[float, float, float]
"""From, to (metres), and the least distance between them on paper (mm)."""


def stops(values: Iterable[float]) -> tuple[float, ...]:
    """Distinct coordinates in order; those closer than a millimetre are one."""
    kept: list[float] = []
    for v in sorted(values):
        if not kept or v - kept[-1] > SAME:
            kept.append(v)
    return tuple(kept)


Asked = list[tuple[int, int, float]]
"""From stop, to stop, least distance on paper; short spans first."""


def asked_of(world: tuple[float, ...], needs: Iterable[Need]) -> Asked:
    """Needs by the stops that they lie between, the largest of each pair."""

    def stop(v: float) -> int:
        return max(0, bisect_right(world, v + SAME) - 1)

    most: dict[tuple[int, int], float] = {}
    for low, high, least in needs:
        key = (stop(low), stop(high))
        if key[1] > key[0]:
            most[key] = max(most.get(key, 0.0), least)
    return [(i, j, most[i, j]) for i, j in sorted(most, key=lambda k: (k[1] - k[0], k))]


def stretched(world: tuple[float, ...], asked: Asked, per_m: float, power: float) -> Axis:
    """An axis that gives each stop-to-stop gap `per_m * gap**power` and more where it is asked for."""
    gaps = [per_m * (b - a) ** power for a, b in pairwise(world)]
    for i, j, least in asked:
        have = sum(gaps[i:j])
        if have < least:
            span = world[j] - world[i]
            for k in range(i, j):
                # half by length, half evenly: neighbours stay in proportion and none stays at nothing
                share = 0.5 * (world[k + 1] - world[k]) / span + 0.5 / (j - i)
                gaps[k] += (least - have) * share
    return Axis(world, tuple(accumulate(gaps, initial=0.0)) if world else (), per_m)


@record(kw_only=False)
class View:
    """From the house to the paper."""

    axes: tuple[Axis, Axis, Axis]
    ways: tuple[XY, XY, XY]
    """Where east, north and up go on the paper, per mm along the axis."""
    towards: Vec
    """Direction from the scene to the eye, for what hides what."""
    origin: XY = (0.0, 0.0)
    factor: float = 1.0

    def raw(self, p: Vec) -> XY:
        m = [axis(v) for axis, v in zip(self.axes, p, strict=True)]
        return (
            sum(v * w[0] for v, w in zip(m, self.ways, strict=True)),
            sum(v * w[1] for v, w in zip(m, self.ways, strict=True)),
        )

    def __call__(self, p: Vec) -> XY:
        x, y = self.raw(p)
        return (self.origin[0] + self.factor * x, self.origin[1] + self.factor * y)

    def depth(self, p: Vec) -> float:
        return sum(axis(v) * w for axis, v, w in zip(self.axes, p, self.towards, strict=True))


def _dominant(a: Vec, b: Vec) -> int | None:
    d = [abs(v - u) for u, v in zip(a, b, strict=True)]
    k = d.index(max(d))
    return k if d[k] > SAME else None


def needs_of(
    lines: Sequence[Line], room: Callable[[Line, int], float], clearance: float
) -> tuple[list[Need], list[Need], list[Need]]:
    """What the lines ask of each axis: room for what sits on them, and distance between tubes side by side.

    :param room: half the room that a bead of a line asks for along the line, mm
    """
    needs: tuple[list[Need], list[Need], list[Need]] = ([], [], [])
    level: list[tuple[int, Vec, Vec, str]] = []
    for line in lines:
        for k in range(len(line.beads) - 1):
            a, b = line.beads[k].at, line.beads[k + 1].at
            axis = _dominant(a, b)
            if axis is None:
                continue
            least = room(line, k) + room(line, k + 1)
            needs[axis].append((min(a[axis], b[axis]), max(a[axis], b[axis]), least))
            level.append((axis, a, b, line.leg.name))
    for n, (axis, a, b, _) in enumerate(level):
        for other, c, d, _ in level[n + 1 :]:
            if other != axis:
                continue
            low = max(min(a[axis], b[axis]), min(c[axis], d[axis]))
            high = min(max(a[axis], b[axis]), max(c[axis], d[axis]))
            if high - low <= SAME:
                continue
            apart = [k for k in range(3) if k != axis and abs(a[k] - c[k]) > SAME]
            if len(apart) == 1:
                k = apart[0]
                needs[k].append((min(a[k], c[k]), max(a[k], c[k]), clearance))
    return needs


def arrange(
    points: Sequence[Vec],
    needs: tuple[Sequence[Need], Sequence[Need], Sequence[Need]],
    ways: tuple[XY, XY, XY],
    towards: Vec,
    room: Box,
    *,
    power: float = 1.0,
    margin: float = 0.0,
) -> View:
    """The largest view of the points that fits the room, in its middle."""
    worlds = tuple(stops(p[k] for p in points) for k in range(3))
    asked = tuple(asked_of(worlds[k], needs[k]) for k in range(3))
    spots = sorted({tuple(max(0, bisect_right(worlds[k], p[k] + 1e-9) - 1) for k in range(3)) for p in points})
    w, h = room.x1 - room.x0 - 2 * margin, room.y1 - room.y0 - 2 * margin

    def view(per_m: float) -> tuple[View, Box]:
        axes = tuple(stretched(worlds[k], asked[k], per_m, power) for k in range(3))
        made = View(axes, ways, towards)  # pyright: ignore[reportArgumentType]
        xs, ys = ([[v * way[c] for v in axis.paper] for axis, way in zip(axes, ways, strict=True)] for c in (0, 1))
        across = [xs[0][i] + xs[1][j] + xs[2][k] for i, j, k in spots] or [0.0]
        down = [ys[0][i] + ys[1][j] + ys[2][k] for i, j, k in spots] or [0.0]
        return made, Box(min(across), min(down), max(across), max(down))

    low, high = 0.2, 400.0
    for _ in range(22):
        mid = (low * high) ** 0.5
        _, box = view(mid)
        if box.x1 - box.x0 <= w and box.y1 - box.y0 <= h:
            low = mid
        else:
            high = mid
    made, box = view(low)
    factor = min(1.0, w / max(box.x1 - box.x0, 1e-6), h / max(box.y1 - box.y0, 1e-6))
    mx, my = room.middle
    cx, cy = box.middle
    return View(made.axes, ways, towards, (mx - factor * cx, my - factor * cy), factor)
